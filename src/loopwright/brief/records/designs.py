"""Designs of an array that are to be compared."""

from typing import Annotated

from pydantic import Field

from loopwright.brief.records.conductor import ConductorRequest
from loopwright.brief.records.record import Positive, Record

__all__ = ["DesignsRequest"]

Count = Annotated[int, Field(ge=1)]


class DesignsRequest(Record):
    """What is varied about the array of the brief, and where the designs are judged; an empty list varies nothing.

    Attributes
    ----------
    depths_m
        Depths below the skin at which the designs are compared. [m]
    voxel_m
        Voxel of the body for the comparison; None takes that of the body. [m]
    size_m, stand_off_m
        Sizes and stand-offs of the elements. [m]
    overlap
        Distance between the centres of neighbours over the size.
    rows, count
        Rows along z, and numbers of elements.
    conductor
        What the elements are made of.
    """

    depths_m: tuple[Positive, ...]
    voxel_m: Positive | None = None
    size_m: tuple[Positive, ...] = ()
    overlap: tuple[Positive, ...] = ()
    rows: tuple[Count, ...] = ()
    count: tuple[Count, ...] = ()
    stand_off_m: tuple[Positive, ...] = ()
    conductor: tuple[ConductorRequest, ...] = ()
