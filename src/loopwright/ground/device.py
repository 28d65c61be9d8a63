"""Which processor does the heavy work."""

from enum import Enum


class Device(Enum):
    """Where the fields in the body are computed; the results agree to the tolerance of the solution."""

    CPU = "cpu"
    GPU = "gpu"
