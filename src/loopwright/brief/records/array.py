"""The receive elements that are asked for: one by one, or as a tiling."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from loopwright.brief.records.carrier import CarrierRequest, FilmCarrierRequest
from loopwright.brief.records.record import Positive, Record, UnitVector, Vector

__all__ = [
    "ArrayRequest",
    "CoverRequest",
    "ElementRequest",
    "ElementShape",
    "OpeningRequest",
    "PieceRequest",
    "SeamRequest",
    "TilingPattern",
    "TilingRequest",
    "TilingSpan",
    "ZeroCoupling",
]

ElementShape = Literal["circle", "square"]
TilingPattern = Literal["hexagonal", "rectangular"]
TilingSpan = Literal["whole", "patch"]
PieceGround = Literal["body", "plane"]
ZeroCoupling = Literal["zero coupling"]
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


class SeamRequest(Record):
    """Where rings open, so that they can be laid round the body like a jacket.

    Attributes
    ----------
    towards
        Unit vector from the origin to the middle of the seam.
    gap_m
        Distance round the body, at the stand-off, that the centre-lines of elements on either side keep. [m]
    """

    towards: UnitVector
    gap_m: Positive


class OpeningRequest(Record):
    """A part of the surface that stays free, such as a face: a ball about the point where a ray leaves the body.

    Attributes
    ----------
    towards
        Unit vector from the origin to its middle.
    radius_m
        Radius of the ball, in which no centre of an element lies. [m]
    """

    towards: UnitVector
    radius_m: Positive


class CoverRequest(Record):
    """The part of a surface of triangles in which the centres of a whole span lie.

    Attributes
    ----------
    lowest_m, highest_m
        Heights along z of the planes that bound it, at the front and at the back of the body; None where only its own
        end or cut bounds it. [m]
    free
        Parts that stay free.
    """

    lowest_m: tuple[float, float] | None = None
    highest_m: tuple[float, float] | None = None
    free: tuple[OpeningRequest, ...] = ()


class TilingRequest(Record):
    """Elements laid over the surface of the body, equal or graded from row to row.

    Attributes
    ----------
    rows
        Rows along z; None on a sphere or an ellipsoid, or where the patch is to be as square as it goes.
    size_m
        Diameter or side; None when it follows from the surface, the count and the overlap. [m]
    sizes_m
        Diameters or sides of the rows, from the feet upwards, in place of one size. [m]
    overlap
        Distance between the centres of neighbours over the size; None when it follows from the size; or a search for
        the distances at which neighbours have no mutual inductance.
    stand_off_m
        From the skin to the conductor's centre-line. [m]
    span
        ``whole`` closes round the body, or covers a closed surface; ``patch`` lies on one side of it.
    facing
        Unit vector from the origin towards the middle of the patch, or to the first element of a ring.
    crossing_separation_m
        Radial distance between two conductors where they cross. [m]
    row_pitch_m
        Distance between the rows of a whole span along z; None for that of the pattern. [m]
    seam
        Where the rings of a whole span open; None where they close.
    cover
        What a whole span covers on a surface of triangles; None for all of it.
    """

    pattern: TilingPattern
    shape: ElementShape
    count: Count
    rows: Count | None = None
    size_m: Positive | None = None
    sizes_m: tuple[Positive, ...] | None = None
    overlap: Positive | ZeroCoupling | None = None
    stand_off_m: Positive
    gaps: Count
    span: TilingSpan
    facing: UnitVector = (0.0, -1.0, 0.0)
    crossing_separation_m: Positive = 1e-3
    row_pitch_m: Positive | None = None
    seam: SeamRequest | None = None
    cover: CoverRequest | None = None


class PieceRequest(Record):
    """One of the pieces that an array is put together from.

    Attributes
    ----------
    name
        Elements of the piece go by it and a number.
    lies_on
        ``body``: the piece follows the skin; ``plane``: it is a flat plate, square to its facing direction, that clears
        the body by its stand-off.
    """

    name: str
    lies_on: PieceGround
    tiling: TilingRequest


class ArrayRequest(Record):
    """Explicit elements, or one tiling with or without a carrier, or pieces with a tiling each."""

    elements: tuple[ElementRequest, ...] = ()
    tiling: TilingRequest | None = None
    pieces: tuple[PieceRequest, ...] = ()
    carrier: CarrierRequest | None = None

    @model_validator(mode="after")
    def _one_of_the_three(self) -> Self:
        if bool(self.elements) + (self.tiling is not None) + bool(self.pieces) != 1:
            raise ValueError("an array is given by its elements, by a tiling or by pieces: one of the three")
        if self.carrier is not None and self.tiling is None:
            raise ValueError("a carrier holds the elements of a tiling")
        return self

    @property
    def film(self) -> FilmCarrierRequest | None:
        """The film that carries the tiling; None where it stretches or nothing is said."""
        return self.carrier if isinstance(self.carrier, FilmCarrierRequest) else None

    @property
    def count(self) -> int:
        """Number of elements."""
        return len(self.elements) + sum(tiling.count for tiling in self.tilings)

    @property
    def tilings(self) -> tuple[TilingRequest, ...]:
        """The one tiling, or that of every piece."""
        return tuple(piece.tiling for piece in self.pieces) if self.tiling is None else (self.tiling,)

    @property
    def asks_for_zero_coupling(self) -> bool:
        """Whether a search for zero coupling has to be made."""
        return any(tiling.overlap == "zero coupling" for tiling in self.tilings)
