"""What gets how hot: from power in parts and traces to temperatures of surfaces and tissue."""

from loopwright.heating.layers import Layer, Outside

__all__ = ["Layer", "Outside"]
