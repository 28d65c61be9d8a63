"""What does the array do while the scanner transmits? From the field to faults, heat, limits and probes."""

from loopwright.transmission.chain import while_transmitting

__all__ = ["while_transmitting"]
