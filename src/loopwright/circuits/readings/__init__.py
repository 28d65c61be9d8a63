"""What would instruments on the bench read: decoupling, detuning, quality factors?"""
