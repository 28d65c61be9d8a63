"""Which phantom loads one element like which patient."""

from loopwright.brief.records.body import BodyRequest
from loopwright.brief.records.record import Positive, Record, UnitVector

__all__ = ["LoadRequest", "LoadingRequest"]


class LoadRequest(Record):
    """A patient or a phantom, and where the element is laid on it.

    Attributes
    ----------
    towards
        Unit vector from the origin towards the element; None for the usual place.
    """

    name: str
    body: BodyRequest
    towards: UnitVector | None = None


class LoadingRequest(Record):
    """One round element on all of them.

    Attributes
    ----------
    diameter_m
        To the conductor's centre-line. [m]
    stand_off_m
        From the skin to the conductor's centre-line. [m]
    """

    diameter_m: Positive
    stand_off_m: Positive
    patients: tuple[LoadRequest, ...]
    phantoms: tuple[LoadRequest, ...]
