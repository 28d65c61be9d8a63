"""Body: shape, material, layers, voxel."""

import math
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from loopwright.brief.defaults import ARMS
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Absent, Choice, Key
from loopwright.brief.lists import QuantityList
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import (
    LEAST_HALVES,
    MOST_VOXELS,
    Arms,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    FigureAge,
    HeadRequest,
    LayerRequest,
    LimbPart,
    LimbRequest,
    SlabRequest,
    SphereRequest,
    TrunkRequest,
)
from loopwright.brief.topics.bottle import bottle_form
from loopwright.brief.topics.facts import body_box_m, half_extents_m
from loopwright.brief.topics.imported import labels_form, surface_form
from loopwright.brief.topics.material import MaterialPart
from loopwright.brief.topics.patient import patient_form
from loopwright.ground.units import engineering_text

__all__ = ["BODY"]


_LAYER = Form(
    title="layer",
    keys=(
        Quantity(
            name="thickness",
            field="thickness_m",
            unit="m",
            low="0.1 mm",
            high="200 mm",
            sample="2 mm",
            meaning="Thickness of the shell.",
        ),
        MaterialPart(meaning="What it is made of."),
    ),
    build=LayerRequest,
)

_VOXEL = Quantity(
    name="voxel",
    field="voxel_m",
    unit="m",
    low="0.5 mm",
    high="20 mm",
    sample="5 mm",
    meaning="Side of the cubes in which the field is computed; at least five fit between the centre and the skin.",
)
_MATERIAL = MaterialPart(meaning="What the core is made of.")
_LAYERS = Parts(
    name="layers",
    meaning="Shells from outside inward, inside the outer size. Left out: none.",
    of=_LAYER,
    most=8,
    absent=Absent.ALLOWED,
)


def _layers_fit(draft: Draft) -> Iterator[Trouble]:
    half, layers, size = half_extents_m(None, draft.values), draft.get("layers"), draft.get("size")
    if half is None or layers is None:
        return
    room, of = (min(half), "smallest half-axis") if size is None else (size[1], "size along y")
    together = sum(layer.thickness_m for layer in layers)
    if together >= room:
        yield Trouble(
            key="layers",
            found=f"layers of {engineering_text(together, 'm')} together",
            allowed=f"less than {engineering_text(room, 'm')}, the {of} of the body",
            remedy="make the layers thinner, or the last one the core",
        )


def _something_conducts(draft: Draft) -> Iterator[Trouble]:
    core, layers = draft.get("material"), draft.get("layers") or ()
    if core is None:
        return
    materials = (core, *(layer.material for layer in layers))
    if all(isinstance(one, ExplicitMaterial) and one.sigma_s_per_m == 0 for one in materials):
        yield Trouble(
            key="material",
            found="no material that conducts",
            allowed="a conductivity above 0 S/m in the core or in a layer",
            remedy="give the conductivity of the sample; without loss it makes no noise, and SNR has no bound",
        )


def _voxel_fits(shape: str) -> Rule:
    """Refuse voxels too coarse for a body of this shape, or too many of them."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        half, voxel_m = half_extents_m(shape, draft.values), draft.get("voxel")
        if half is None or voxel_m is None:
            return
        least_m = min(half)
        most = least_m / LEAST_HALVES
        if voxel_m > most:
            yield Trouble(
                key="voxel",
                found=f"{engineering_text(voxel_m, 'm')} in a body of half-axis {engineering_text(least_m, 'm')}",
                allowed=f"at most {engineering_text(most, 'm')}, so that five fit between centre and skin",
                remedy="make the voxel smaller",
            )
        box = body_box_m(shape, draft.values)
        if box is not None:
            yield from _not_too_many(math.prod(high - low for low, high in zip(*box, strict=True)), voxel_m)

    return rule


def _not_too_many(box_m3: float, voxel_m: float) -> Iterator[Trouble]:
    count = box_m3 / voxel_m**3
    if count > MOST_VOXELS:
        least = (box_m3 / MOST_VOXELS) ** (1 / 3)
        yield Trouble(
            key="voxel",
            found=f"{engineering_text(voxel_m, 'm')}, which makes {count / 1e6:.0f} million voxels",
            allowed=f"at most {MOST_VOXELS / 1e6:.0f} million voxels",
            remedy=f"make the voxel larger than {engineering_text(least, 'm', digits=2)}",
        )


_SIZES: Mapping[str, str] = {
    "file": "only a `surface` or `labels` is brought as a file",
    "radius": "only a sphere has a `radius`",
    "diameter": "write the `radius` of a sphere, or `semi_axes`",
    "semi_axes": "a sphere has one `radius`",
    "size": "only a slab has a `size`; write `radius` or `semi_axes`, as the shape asks",
    "height": "only an elliptic cylinder or a bottle has a `height`",
    "length": "only a limb has a `length`",
    "shoulder": "only a bottle has a `shoulder`",
    "wall": "only a bottle has a `wall`",
    "wall_permittivity": "only a bottle has a `wall`",
    "age": "only a patient, head, trunk or limb has an `age`",
    "arms": "only a trunk has `arms`, and the `pose` of a patient",
    "part": "only a limb or a patient has a `part`",
    "tissue": "write `material`",
    "layers": "the layers of a head, trunk or limb are its own",
    "material": "the tissues of a head, trunk or limb are its own",
}


def _shape(title: str, build: Any, *sizes: Key) -> Form:
    """Form of a shape with a core and layers."""
    return Form(
        title=title,
        keys=(*sizes, _VOXEL, _MATERIAL, _LAYERS),
        rules=(_layers_fit, _voxel_fits(title), _something_conducts),
        build=build,
        strangers=_SIZES,
    )


def _figure(title: str, build: Any, *further: Key, notes: str = "") -> Form:
    """Form of a stylised figure, whose sizes and tissues follow from its age."""
    age = Choice(name="age", options=get_args(FigureAge), meaning="Age of the stylised figure; boys where they differ.")
    return Form(
        title=title,
        keys=(*further, age, _VOXEL),
        rules=(_voxel_fits(title),),
        build=build,
        strangers=_SIZES,
        notes=notes,
    )


def _semi_axes(count: int, sample: str, meaning: str) -> QuantityList:
    return QuantityList(
        name="semi_axes",
        field="semi_axes_m",
        unit="m",
        low="10 mm",
        high="500 mm",
        lengths=(count,),
        sample=sample,
        meaning=meaning,
    )


_OF_FILES: Mapping[str, str] = {
    "radius": "the size of a body from a file is that of the file",
    "diameter": "the size of a body from a file is that of the file",
    "semi_axes": "the size of a body from a file is that of the file",
    "size": "the size of a body from a file is that of the file",
    "orientation": "write `axes`",
    "tissue": "write `material`, or with labels `tissues`",
}

BODY = Variants(
    title="body",
    by="shape",
    meaning="Shape of the body. Its centre is the origin of the body frame, of a head the middle of its circumference. "
    "`surface` and `labels` bring it as a file.",
    forms={
        "sphere": _shape(
            "sphere",
            SphereRequest,
            Quantity(
                name="radius",
                field="radius_m",
                unit="m",
                low="10 mm",
                high="500 mm",
                sample="84 mm",
                meaning="Radius of the skin.",
            ),
        ),
        "ellipsoid": _shape(
            "ellipsoid",
            EllipsoidRequest,
            _semi_axes(3, "[75 mm, 95 mm, 90 mm]", "Half-axes along x, y and z."),
        ),
        "elliptic cylinder": _shape(
            "elliptic cylinder",
            EllipticCylinderRequest,
            _semi_axes(2, "[150 mm, 100 mm]", "Half-axes along x and y; its axis is z."),
            Quantity(
                name="height",
                field="height_m",
                unit="m",
                low="20 mm",
                high="1.5 m",
                sample="400 mm",
                meaning="Length along z.",
            ),
        ),
        "bottle": bottle_form(_VOXEL, rules=(_voxel_fits("bottle"), _something_conducts), strangers=_SIZES),
        "slab": _shape(
            "slab",
            SlabRequest,
            QuantityList(
                name="size",
                field="size_m",
                unit="m",
                low="20 mm",
                high="1.5 m",
                lengths=(3,),
                sample="[400 mm, 150 mm, 400 mm]",
                meaning="Size along x, y and z; layers count from the front face, which looks to -y.",
            ),
        ),
        "head": _figure(
            "head",
            HeadRequest,
            notes="The origin is the middle of its circumference, which is also that of the brain; chin and neck lie "
            "at negative z.",
        ),
        "trunk": _figure(
            "trunk",
            TrunkRequest,
            Choice(
                name="arms",
                options=get_args(Arms),
                default=ARMS,
                meaning="Whether arms lie beside the trunk, 30 mm from its side.",
            ),
        ),
        "patient": patient_form(_VOXEL),
        "limb": _figure(
            "limb",
            LimbRequest,
            Choice(name="part", options=get_args(LimbPart), meaning="Which limb, and where along it."),
            Quantity(
                name="length",
                field="length_m",
                unit="m",
                low="40 mm",
                high="600 mm",
                sample="300 mm",
                meaning="Length along z; the ends are flat cuts.",
            ),
        ),
        "surface": surface_form(
            _layers_fit,
            _voxel_fits("surface"),
            _something_conducts,
            voxel=_VOXEL,
            material=_MATERIAL,
            layers=_LAYERS,
            strangers=_OF_FILES,
        ),
        "labels": labels_form(_voxel_fits("labels"), voxel=_VOXEL, strangers=_OF_FILES),
    },
)
