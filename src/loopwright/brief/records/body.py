"""The patient or phantom that is asked for."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.patient import PatientRequest
from loopwright.brief.records.record import Positive, Record

__all__ = [
    "Arms",
    "BodyRequest",
    "EllipsoidRequest",
    "EllipticCylinderRequest",
    "ExplicitMaterial",
    "FigureAge",
    "FigureRequest",
    "HeadRequest",
    "LayerRequest",
    "LayeredRequest",
    "LimbPart",
    "LimbRequest",
    "MaterialRequest",
    "SlabRequest",
    "SphereRequest",
    "TissueByName",
    "TrunkRequest",
]

FigureAge = Literal["newborn", "6 months", "1 year", "5 years", "10 years", "15 years", "adult female", "adult male"]
Arms = Literal["none", "beside"]
LimbPart = Literal["thigh", "knee", "upper arm", "wrist"]


class TissueByName(Record):
    """A tissue of the packaged dispersion table, by its name there."""

    tissue: str


class ExplicitMaterial(Record):
    """A material whose properties at the Larmor frequency are given.

    Attributes
    ----------
    eps_r
        Relative permittivity.
    sigma_s_per_m
        Conductivity. [S/m]
    """

    name: str
    eps_r: Positive
    sigma_s_per_m: Annotated[float, Field(ge=0)]


MaterialRequest = TissueByName | ExplicitMaterial


class LayerRequest(Record):
    """One shell of constant thickness round what lies inside it. [m]"""

    thickness_m: Positive
    material: MaterialRequest


class SphereRequest(Record):
    """A sphere round the origin of the body frame; layers from outside inward, inside the radius. [m]"""

    kind: Literal["sphere"] = "sphere"
    radius_m: Positive
    voxel_m: Positive
    material: MaterialRequest
    layers: tuple[LayerRequest, ...] = ()


class EllipsoidRequest(Record):
    """An ellipsoid round the origin with its axes along x, y, z; layers from outside inward. [m]"""

    kind: Literal["ellipsoid"] = "ellipsoid"
    semi_axes_m: tuple[Positive, Positive, Positive]
    voxel_m: Positive
    material: MaterialRequest
    layers: tuple[LayerRequest, ...] = ()


class EllipticCylinderRequest(Record):
    """An elliptic cylinder round the origin, its axis along z; layers from outside inward. [m]"""

    kind: Literal["elliptic cylinder"] = "elliptic cylinder"
    semi_axes_m: tuple[Positive, Positive]
    height_m: Positive
    voxel_m: Positive
    material: MaterialRequest
    layers: tuple[LayerRequest, ...] = ()


class SlabRequest(Record):
    """A rectangular block round the origin; layers from its front face, which looks to -y, inward. [m]"""

    kind: Literal["slab"] = "slab"
    size_m: tuple[Positive, Positive, Positive]
    voxel_m: Positive
    material: MaterialRequest
    layers: tuple[LayerRequest, ...] = ()


class TrunkRequest(Record):
    """A stylised trunk of skin, fat, muscle and lungs, with or without arms; its middle is the origin. [m]"""

    kind: Literal["trunk"] = "trunk"
    age: FigureAge
    arms: Arms = "none"
    voxel_m: Positive


class HeadRequest(Record):
    """A stylised head on its neck; the middle of the head's ellipsoid is the origin. [m]"""

    kind: Literal["head"] = "head"
    age: FigureAge
    voxel_m: Positive


class LimbRequest(Record):
    """A stretch of a stylised limb along z; its middle is the origin. [m]"""

    kind: Literal["limb"] = "limb"
    part: LimbPart
    age: FigureAge
    length_m: Positive
    voxel_m: Positive


FigureRequest = HeadRequest | TrunkRequest | LimbRequest
LayeredRequest = SphereRequest | EllipsoidRequest | EllipticCylinderRequest | SlabRequest
BodyRequest = LayeredRequest | FigureRequest | PatientRequest
