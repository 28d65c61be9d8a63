"""Which conductor to take: what others would cost, and when a rigid coil that stands further out is no better."""

from loopwright.brief.records.conductor import ConductorRequest
from loopwright.brief.records.record import Positive, Record

__all__ = ["ConductorChoiceRequest"]


class ConductorChoiceRequest(Record):
    """Conductors to be held against a rigid coil.

    Attributes
    ----------
    rigid
        What the rigid coil is made of.
    further_out_m
        How much further from the skin than the array the rigid coil is tried. [m]
    depths_m
        Depths below the skin, on the axis of one element, at which the two are compared. [m]
    others
        Conductors that the array might be made of, beside that of the brief.
    """

    rigid: ConductorRequest
    further_out_m: tuple[Positive, ...]
    depths_m: tuple[Positive, ...]
    others: tuple[ConductorRequest, ...] = ()
