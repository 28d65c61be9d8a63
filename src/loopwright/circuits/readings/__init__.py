"""What instruments on the bench would read: decoupling, detuning, quality factors."""
