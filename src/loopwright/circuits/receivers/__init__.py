"""Noise of parts and preamplifiers in the coupled array."""
