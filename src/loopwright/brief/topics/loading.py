"""Loading equivalence: one element, patients and phantoms on which it is laid."""

from collections.abc import Iterator

from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Absent, Words
from loopwright.brief.lists import Direction
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import (
    BodyRequest,
    EllipticCylinderRequest,
    LabelsRequest,
    LimbRequest,
    LoadingRequest,
    LoadRequest,
    SlabRequest,
    SurfaceRequest,
    TrunkRequest,
)
from loopwright.brief.topics.body import BODY
from loopwright.brief.topics.facts import half_extents_m
from loopwright.ground.units import engineering_text

__all__ = ["LOADING"]

_MOST = 16


def _side_of_a_column(draft: Draft) -> Iterator[Trouble]:
    """Refuse an element on the end of a column."""
    body, towards = draft.get("body"), draft.get("towards")
    if towards is None or not isinstance(body, EllipticCylinderRequest | TrunkRequest | LimbRequest):
        return
    if max(abs(towards[0]), abs(towards[1])) < 1e-6 * abs(towards[2]):
        yield Trouble(
            key="towards",
            found="a direction along z",
            allowed=f"a direction towards the side of the {body.kind}: its ends carry no elements",
            remedy="write for example `[0, -1, 0]` for the front",
        )


def _not_on_labels(draft: Draft) -> Iterator[Trouble]:
    """Refuse an image as a load: no element can be laid on its stairs."""
    if isinstance(draft.get("body"), LabelsRequest):
        yield Trouble(
            key="body",
            found="labels, on which no element can be laid",
            allowed="a body with a smooth skin",
            remedy="export the surface of the segmentation, and write `shape: surface`",
        )


def _front_of_a_slab(draft: Draft) -> Iterator[Trouble]:
    """Refuse an element behind a slab."""
    body, towards = draft.get("body"), draft.get("towards")
    if isinstance(body, SlabRequest) and towards is not None and towards[1] >= 0:
        yield Trouble(
            key="towards",
            found="a direction away from the front face",
            allowed="a direction towards the front face of the slab, at the least y",
            remedy="leave it out, or write `[0, -1, 0]`",
        )


def _element_fits(draft: Draft) -> Iterator[Trouble]:
    """Refuse an element that is wider than what it lies on."""
    diameter_m, stand_off_m = draft.get("diameter"), draft.get("stand_off")
    if diameter_m is None or stand_off_m is None:
        return
    for key in ("patients", "phantoms"):
        for load in draft.get(key) or ():
            width_m = _width_m(load.body, stand_off_m)
            if width_m is not None and diameter_m >= width_m:
                yield Trouble(
                    key=key,
                    found=f"{load.name}, {engineering_text(width_m, 'm', digits=3)} wide at the stand-off",
                    allowed=f"more than the element's {engineering_text(diameter_m, 'm')}",
                    remedy="take it out, or choose a smaller element",
                )


def _width_m(body: BodyRequest, stand_off_m: float) -> float | None:
    """Least width at the stand-off of what elements lie on, where the brief knows it. [m]"""
    half = _half_extents_m(body)
    if half is None:
        return None
    return 2 * min(half[0], half[2]) if isinstance(body, SlabRequest) else 2 * (min(half[:2]) + stand_off_m)


def _half_extents_m(body: BodyRequest) -> tuple[float, float, float] | None:
    """Half-axes of a body that has been read; None of a patient, whose size is found when it is built. [m]"""
    if isinstance(body, SurfaceRequest):
        x, y, z = ((float(high) - float(low)) / 2 for low, high in zip(*body.surface.box_m, strict=True))
        return x, y, z
    return half_extents_m(body.kind, {name.removesuffix("_m"): value for name, value in body})


def _some_of_both(draft: Draft) -> Iterator[Trouble]:
    for key in ("patients", "phantoms"):
        if draft.get(key) == ():
            yield Trouble(key=key, found="none", allowed=f"one to {_MOST}", remedy=f"add one of the {key}")


_LOAD = Form(
    title="load",
    keys=(
        Words(name="name", longest=40, sample="2 L bottle", meaning="Name to be printed."),
        Direction(
            name="towards",
            absent=Absent.ALLOWED,
            meaning="From the origin of the body towards the middle of the element. Left out: the front, `[0, -1, 0]`; "
            "of a bottle the middle of its straight side.",
        ),
        Part(name="body", of=BODY, meaning="Shape, materials and voxel, with the keys of `body`."),
    ),
    rules=(_side_of_a_column, _front_of_a_slab, _not_on_labels),
    build=LoadRequest,
    strangers={"facing": "write `towards`", "shape": "write it below `body`", "material": "write it below `body`"},
)

LOADING = Form(
    title="loading equivalence",
    keys=(
        Quantity(
            name="diameter",
            field="diameter_m",
            unit="m",
            low="10 mm",
            high="400 mm",
            sample="80 mm",
            meaning="Diameter of the one round element, to the conductor's centre-line.",
        ),
        Quantity(
            name="stand_off",
            field="stand_off_m",
            unit="m",
            low="0.5 mm",
            high="100 mm",
            sample="10 mm",
            meaning="From the skin, or the outside of the phantom, to the conductor's centre-line.",
        ),
        Parts(name="patients", of=_LOAD, most=_MOST, unique="name", meaning="Whom the phantoms stand for."),
        Parts(name="phantoms", of=_LOAD, most=_MOST, unique="name", meaning="What is on the shelf, or could be made."),
    ),
    rules=(_some_of_both, _element_fits),
    build=LoadingRequest,
    strangers={"size": "write `diameter`", "element": "write `diameter` and `stand_off` here"},
    notes="One round element of the brief's conductor is laid on every patient and every phantom in turn, and the "
    "resistance that each adds to it is told, with its change between two grids. Each body costs two field solutions; "
    "of a phantom whose filling is a liquid or given by its conductivity four more on the coarser grid tell at which "
    "conductivity it loads the element like each patient.",
)
