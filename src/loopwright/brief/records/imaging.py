"""What the images shall be like, and where they are judged."""

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
    "SliceRequest",
    "SphereRegion",
    "WholeBodyRegion",
]

Axis = Literal["x", "y", "z"]
Plane = Literal["axial", "coronal", "sagittal"]
Depth = Annotated[float, Field(ge=0)]
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


RegionRequest = WholeBodyRegion | SphereRegion | BoxRegion


class AccelerationRequest(Record):
    """Regular undersampling along one or two directions.

    Attributes
    ----------
    factors
        Reduction factor along each direction.
    field_of_view_m
        Full field of view along each direction, before reduction. [m]
    """

    name: str
    factors: tuple[Annotated[float, Field(ge=1)], ...]
    directions: tuple[Axis, ...]
    field_of_view_m: tuple[Positive, ...]

    @property
    def reduction(self) -> float:
        """Product of the factors."""
        product = 1.0
        for factor in self.factors:
            product *= factor
        return product


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
