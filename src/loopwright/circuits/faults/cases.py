"""One condition of the whole array: the state of every element, and what of it is wrong."""

from dataclasses import dataclass
from enum import Enum

from loopwright.circuits.states import ElementState

__all__ = ["ArrayCase", "Wearing"]


class Wearing(Enum):
    """How the carrier lies; all but the first are faults of a flexible array and need a port network of their own."""

    AS_DESIGNED = "as designed"
    FOLDED = "two elements folded over each other"
    STRETCHED = "stretched"
    WET = "wet surface"
    INSIDE_OUT = "worn inside out"


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayCase:
    """What the array is in.

    Attributes
    ----------
    name : str
        In words, as tables print it: "actively detuned", "unplugged", "E03: trap diode open, actively detuned".
    states : tuple of ElementState
        One for each element, faults included.
    failed : tuple of int
        Elements in which something is wrong, counted from nought; empty for a normal condition.
    family : str
        Name of the normal condition that it departs from; its own name where it is one.
    wearing : Wearing
    """

    name: str
    states: tuple[ElementState, ...]
    failed: tuple[int, ...] = ()
    family: str
    wearing: Wearing = Wearing.AS_DESIGNED
