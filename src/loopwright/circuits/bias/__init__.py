"""Do the bias lines, diodes and fuses hold, and what changes between the two frequencies that are both called 3 T?"""
