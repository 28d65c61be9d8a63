"""The patient or phantom that is asked for."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from loopwright.brief.records.liquid import LiquidMaterial
from loopwright.brief.records.patient import PatientRequest
from loopwright.brief.records.record import Positive, Record
from loopwright.ground.labels import LabelVolume
from loopwright.ground.surface import Surface

__all__ = [
    "BOTTLE_WALL",
    "LEAST_HALVES",
    "MOST_VOXELS",
    "Arms",
    "BodyRequest",
    "BottleRequest",
    "EllipsoidRequest",
    "EllipticCylinderRequest",
    "ExplicitMaterial",
    "FigureAge",
    "FigureRequest",
    "FileOrigin",
    "FileUnit",
    "FormulaRequest",
    "HeadRequest",
    "LabelTissue",
    "LabelsRequest",
    "LayerRequest",
    "LayeredRequest",
    "LimbPart",
    "LimbRequest",
    "MaterialRequest",
    "SlabRequest",
    "SphereRequest",
    "SurfaceParts",
    "SurfaceRequest",
    "TissueByName",
    "TrunkRequest",
    "materials_of",
]

#: Beyond it the memory of a common machine does not hold the fields of a body.
MOST_VOXELS = 20e6
#: So many voxels fit at least between the middle of a body and its nearest side.
LEAST_HALVES = 5
#: Name of the material of a bottle's wall.
BOTTLE_WALL = "wall of the bottle"

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


MaterialRequest = TissueByName | ExplicitMaterial | LiquidMaterial


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


class BottleRequest(Record):
    """A round bottle with rounded shoulders, its axis along z, the middle of the plane where they begin at the origin.

    Attributes
    ----------
    radius_m, height_m, shoulder_m
        Outside: radius, length of the straight side below the shoulders, height of the shoulders above it. [m]
    wall_m
        Thickness of the wall, on the axes and at the bottom. [m]
    wall_eps_r
        Relative permittivity of the wall, which loses nothing.
    """

    kind: Literal["bottle"] = "bottle"
    radius_m: Positive
    height_m: Positive
    shoulder_m: Positive
    wall_m: Positive
    wall_eps_r: Positive
    voxel_m: Positive
    material: MaterialRequest

    @property
    def layers(self) -> tuple[LayerRequest, ...]:
        """The wall."""
        plastic = ExplicitMaterial(name=BOTTLE_WALL, eps_r=self.wall_eps_r, sigma_s_per_m=0.0)
        return (LayerRequest(thickness_m=self.wall_m, material=plastic),)


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


FileUnit = Literal["um", "mm", "cm", "m", "inch"]
FileOrigin = Literal["middle of the box", "as in file"]
SurfaceParts = Literal["one", "largest", "all"]


class _FromFile(Record):
    """What a body from a file keeps of it. ``sha256`` is the digest of its bytes, and stands for the geometry.

    ``axes`` tells where each axis of the file points in the patient.
    """

    model_config = ConfigDict(arbitrary_types_allowed=True)

    file: str
    sha256: str
    unit: FileUnit
    axes: tuple[str, str, str]
    origin: FileOrigin
    voxel_m: Positive
    notes: tuple[str, ...] = Field(default=(), exclude=True)


class SurfaceRequest(_FromFile):
    """A closed surface of triangles, in the body frame; layers from outside inward. [m]"""

    kind: Literal["surface"] = "surface"
    parts: SurfaceParts
    material: MaterialRequest
    layers: tuple[LayerRequest, ...] = ()
    surface: Surface = Field(exclude=True, repr=False)


class LabelTissue(Record):
    """What one label of an image is made of; nothing where it is air."""

    label: int
    material: MaterialRequest | None


class LabelsRequest(_FromFile):
    """An image of labels, in the body frame, 0 where it is air; and what each label is made of. [m]"""

    kind: Literal["labels"] = "labels"
    tissues: tuple[LabelTissue, ...]
    volume: LabelVolume = Field(exclude=True, repr=False)


FigureRequest = HeadRequest | TrunkRequest | LimbRequest
FormulaRequest = SphereRequest | EllipsoidRequest | EllipticCylinderRequest | BottleRequest | SlabRequest
LayeredRequest = FormulaRequest | SurfaceRequest
BodyRequest = LayeredRequest | FigureRequest | LabelsRequest | PatientRequest


def materials_of(request: LayeredRequest | LabelsRequest) -> tuple[MaterialRequest, ...]:
    """What a body is made of: layers from outside inward and the core, or the labels in the order of their table."""
    if isinstance(request, LabelsRequest):
        return tuple(dict.fromkeys(one.material for one in request.tissues if one.material is not None))
    return (*(layer.material for layer in request.layers), request.material)
