"""What the images shall be like, and where they are judged."""

from math import prod
from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record, Vector
from loopwright.brief.records.ultimate import NoUltimate, UltimateRequest

__all__ = [
    "AccelerationRequest",
    "Axis",
    "BoxRegion",
    "ImagingRequest",
    "Plane",
    "RegionRequest",
    "RegularAcceleration",
    "ShapedRegion",
    "ShiftedAcceleration",
    "SimultaneousSlices",
    "SliceRequest",
    "SphereRegion",
    "TissueRegion",
    "WholeBodyRegion",
]

Axis = Literal["x", "y", "z"]
Plane = Literal["axial", "coronal", "sagittal"]
Depth = Annotated[float, Field(ge=0)]
Whole = Annotated[int, Field(ge=1)]
_NORMALS: dict[Plane, Axis] = {"axial": "z", "coronal": "y", "sagittal": "x"}


class WholeBodyRegion(Record):
    """All of the body deeper than this below the skin. [m]"""

    kind: Literal["whole body"] = "whole body"
    least_depth_m: Depth


class SphereRegion(Record):
    """The part of the body inside a sphere and deeper than this below the skin. [m]"""

    kind: Literal["sphere"] = "sphere"
    centre_m: Vector
    radius_m: Positive
    least_depth_m: Depth


class BoxRegion(Record):
    """The part of the body inside a box and deeper than this below the skin. [m]"""

    kind: Literal["box"] = "box"
    min_m: Vector
    max_m: Vector
    least_depth_m: Depth


class TissueRegion(Record):
    """The voxels filled mostly by one of these tissues of the body, deeper than this below the skin. [m]"""

    kind: Literal["tissue"] = "tissue"
    tissues: tuple[str, ...]
    least_depth_m: Depth


ShapedRegion = WholeBodyRegion | SphereRegion | BoxRegion
RegionRequest = ShapedRegion | TissueRegion


class RegularAcceleration(Record):
    """Every R-th line along one or two directions.

    Attributes
    ----------
    factors
        Reduction factor along each direction.
    field_of_view_m
        Full field of view along each direction, before reduction. [m]
    """

    kind: Literal["regular"] = "regular"
    name: str
    factors: tuple[Annotated[float, Field(ge=1)], ...]
    directions: tuple[Axis, ...]
    field_of_view_m: tuple[Positive, ...]

    @property
    def reduction(self) -> float:
        """By how much the sampling of a voxel is shortened: SNR falls by its root."""
        return prod(self.factors)


class ShiftedAcceleration(Record):
    """Every R-th line along two directions, each sampled line of the first moved along the second past the one before.

    Attributes
    ----------
    factors
        Reduction factor along each direction, whole numbers.
    shift
        How far each line is moved past the one before, in steps of the second direction's sampling (one over its field
        of view); 0 is the regular pattern.
    field_of_view_m
        Full field of view along each direction, before reduction. [m]
    """

    kind: Literal["shifted"] = "shifted"
    name: str
    factors: tuple[Whole, Whole]
    directions: tuple[Axis, Axis]
    field_of_view_m: tuple[Positive, Positive]
    shift: Annotated[int, Field(ge=0)]

    @property
    def reduction(self) -> float:
        """By how much the sampling of a voxel is shortened: SNR falls by its root."""
        return float(prod(self.factors))


class SimultaneousSlices(Record):
    """Several slices excited at once, shifted against each other in the plane; undersampled there if asked.

    The slices lie symmetric in a slab of their number times their distance, and move through it together until all of
    it is imaged. What lies outside the slab is not excited.

    Attributes
    ----------
    slices
        How many are excited at once.
    normal
        Axis that stands on the slices.
    slice_distance_m
        From one slice to the next that is excited with it. [m]
    slab_centre_m
        Middle of the slab along the normal. [m]
    direction
        Direction in the plane that is phase encoded.
    field_of_view_m
        Full field of view along that direction, before reduction. [m]
    factor
        Reduction factor along that direction.
    shift_fraction
        Displacement of each slice against the one before it, in fields of view.
    """

    kind: Literal["simultaneous slices"] = "simultaneous slices"
    name: str
    slices: Annotated[int, Field(ge=2)]
    normal: Axis
    slice_distance_m: Positive
    slab_centre_m: float = 0.0
    direction: Axis
    field_of_view_m: Positive
    factor: Annotated[float, Field(ge=1)] = 1.0
    shift_fraction: Annotated[float, Field(ge=0, lt=1)] = 0.0

    @property
    def reduction(self) -> float:
        """By how much the sampling of a voxel is shortened: the factor in the plane, whatever the number of slices."""
        return self.factor


AccelerationRequest = RegularAcceleration | ShiftedAcceleration | SimultaneousSlices


class SliceRequest(Record):
    """One plane through the maps, to be drawn; ``at_m`` is its coordinate along its normal. [m]"""

    plane: Plane
    at_m: float

    @property
    def normal(self) -> Axis:
        """Axis of the body frame that stands on the plane."""
        return _NORMALS[self.plane]


class ImagingRequest(Record):
    """Region, accelerations and the voxel of the image.

    Attributes
    ----------
    voxel_volume_m3
        Volume of a voxel of the image (not of the computing grid). [m^3]
    bandwidth_hz
        Effective noise bandwidth of one voxel: one over the total time for which the receiver samples. [Hz]
    """

    region: RegionRequest
    accelerations: tuple[AccelerationRequest, ...] = ()
    voxel_volume_m3: Positive
    bandwidth_hz: Positive
    slices: tuple[SliceRequest, ...] = ()
    ultimate: UltimateRequest = NoUltimate()
