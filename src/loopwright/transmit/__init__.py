"""What happens while the scanner transmits: the array in all its states and faults, on the body."""

from loopwright.transmit.exposure import Exposure

__all__ = ["Exposure"]
