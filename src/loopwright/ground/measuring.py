"""How the array stood while it was measured."""

from enum import Enum

__all__ = ["Load", "Others"]


class Load(Enum):
    """What the array lay on."""

    BODY = "body"
    NONE = "none"


class Others(Enum):
    """How the elements that were not measured were left."""

    OPEN = "open"
    DETUNED = "detuned"
