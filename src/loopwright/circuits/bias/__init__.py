"""Bias lines of the scanner, the diodes that they switch, fuses, and the two frequencies that are both called 3 T."""
