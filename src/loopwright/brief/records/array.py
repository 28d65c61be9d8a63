"""The receive elements that are asked for: one by one, or as a tiling."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from loopwright.brief.records.record import Positive, Record, UnitVector, Vector

__all__ = ["ArrayRequest", "ElementRequest", "ElementShape", "TilingPattern", "TilingRequest", "TilingSpan"]

ElementShape = Literal["circle", "square"]
TilingPattern = Literal["hexagonal", "rectangular"]
TilingSpan = Literal["whole", "patch"]
Count = Annotated[int, Field(ge=1)]


class ElementRequest(Record):
    """One plane element.

    Attributes
    ----------
    size_m
        Diameter of a circle or side of a square, to the conductor's centre-line. [m]
    centre_m
        Centre in the body frame. [m]
    normal
        Unit vector away from the body.
    gaps
        Number of gaps for capacitors, evenly spaced; every one is a port.
    """

    name: str
    shape: ElementShape
    size_m: Positive
    centre_m: Vector
    normal: UnitVector
    gaps: Count


class TilingRequest(Record):
    """Equal elements laid over the surface of the body.

    Attributes
    ----------
    rows
        Rows along z; None on a sphere or an ellipsoid, or where the patch is to be as square as it goes.
    size_m
        Diameter or side; None when it follows from the surface, the count and the overlap. [m]
    overlap
        Distance between the centres of neighbours over the size; None when it follows from the size.
    stand_off_m
        From the skin to the conductor's centre-line. [m]
    span
        ``whole`` closes round the body, or covers a closed surface; ``patch`` lies on one side of it.
    facing
        Unit vector from the origin towards the middle of the patch, or to the first element of a ring.
    crossing_separation_m
        Radial distance between two conductors where they cross. [m]
    """

    pattern: TilingPattern
    shape: ElementShape
    count: Count
    rows: Count | None = None
    size_m: Positive | None = None
    overlap: Positive | None = None
    stand_off_m: Positive
    gaps: Count
    span: TilingSpan
    facing: UnitVector = (0.0, -1.0, 0.0)
    crossing_separation_m: Positive = 1e-3


class ArrayRequest(Record):
    """Either explicit elements or a tiling, never both."""

    elements: tuple[ElementRequest, ...] = ()
    tiling: TilingRequest | None = None

    @model_validator(mode="after")
    def _one_of_the_two(self) -> Self:
        if bool(self.elements) == (self.tiling is not None):
            raise ValueError("an array is given either by its elements or by a tiling")
        return self

    @property
    def count(self) -> int:
        """Number of elements."""
        return len(self.elements) if self.tiling is None else self.tiling.count
