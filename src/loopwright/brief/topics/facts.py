"""What the rules of one topic need to know of the topics before it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from loopwright.brief.forms import Draft
from loopwright.brief.records import TissueByName
from loopwright.ground.figures import ARM_CLEARANCE_M, figure_of, head_size, limb_semi_axes_m, ring_perimeter_m

__all__ = [
    "AXES",
    "NO_FACTS",
    "Facts",
    "body_facts",
    "body_size_m",
    "half_extents_m",
    "ring_perimeter_m",
    "spread_distance_m",
]

#: Axes of the body frame, in their order.
AXES = ("x", "y", "z")

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is known so far; None where it could not be read.

    Attributes
    ----------
    body_kind
        Kind of the body.
    half_extents_m
        Half of the size along x, y and z of the part on which elements can be laid: without neck and arms. [m]
    size_m
        Size of all of it along x, y and z. [m]
    voxel_m
        Voxel of its grid. [m]
    tissue_names
        Names of its materials, where the brief itself gives them.
    neck_top_m
        Height at which the neck of a head begins, below the middle of its ellipsoid. [m]
    span
        Span of the tiling, where the array is one.
    element_count, most_gaps
        Number of elements, and the largest number of gaps in one of them.
    smallest_size_m
        Smallest diameter or side among the elements. [m]
    crossing_separation_m
        Radial distance between conductors that cross, where the array is a tiling. [m]
    """

    body_kind: str | None = None
    half_extents_m: Triple | None = None
    size_m: Triple | None = None
    voxel_m: float | None = None
    tissue_names: tuple[str, ...] | None = None
    neck_top_m: float | None = None
    span: str | None = None
    element_count: int | None = None
    most_gaps: int | None = None
    smallest_size_m: float | None = None
    crossing_separation_m: float | None = None


NO_FACTS = Facts()


def body_facts(draft: Draft) -> Facts:
    """What the later topics need to know of the body, as far as it could be read."""
    return Facts(
        body_kind=draft.get("shape"),
        half_extents_m=half_extents_m(draft.values),
        size_m=body_size_m(draft.values),
        voxel_m=draft.get("voxel"),
        tissue_names=_tissue_names(draft),
        neck_top_m=_neck_top_m(draft),
    )


def _neck_top_m(draft: Draft) -> float | None:
    match draft.values:
        case {"shape": "head", "age": str(age)}:
            return head_size(age).neck_top_m
        case _:
            return None


def _tissue_names(draft: Draft) -> tuple[str, ...] | None:
    core, layers = draft.get("material"), draft.get("layers")
    if core is None or ("layers" in draft.written and layers is None):
        return None
    materials = (*(layer.material for layer in layers or ()), core)
    return tuple(dict.fromkeys(one.tissue if isinstance(one, TissueByName) else one.name for one in materials))


def half_extents_m(values: Mapping[str, object]) -> Triple | None:
    """Half of the size of a body along x, y and z, without neck and arms, from the keys that were read. [m]"""
    match values:
        case {"radius": float(r)}:
            return r, r, r
        case {"semi_axes": (float(a), float(b), float(c))}:
            return a, b, c
        case {"semi_axes": (float(a), float(b)), "height": float(h)}:
            return a, b, h / 2
        case {"size": (float(x), float(y), float(z))}:
            return x / 2, y / 2, z / 2
        case {"age": str(age)}:
            return _figure_half_extents_m(age, values)
        case _:
            return None


def _figure_half_extents_m(age: str, values: Mapping[str, object]) -> Triple | None:
    """Half of the size of a stylised figure; a part is a limb's, arms are a trunk's. [m]"""
    match values:
        case {"part": str(part)}:
            length = values.get("length")
            return (*limb_semi_axes_m(part, age), length / 2) if isinstance(length, float) else None
        case {"arms": str()}:
            figure = figure_of(age)
            return *figure.trunk_m, figure.trunk_height_m / 2
        case _:
            return head_size(age).semi_axes_m


def body_size_m(values: Mapping[str, object]) -> Triple | None:
    """Size of a body along x, y and z with neck and arms, from the keys that were read. [m]"""
    half = half_extents_m(values)
    if half is None:
        return None
    x, y, z = (2 * extent for extent in half)
    match values:
        case {"age": str(age), "arms": "beside"}:
            return x + 2 * ARM_CLEARANCE_M + 4 * figure_of(age).arm_radius_m, y, z
        case {"age": str(), "arms": _} | {"age": str(), "part": _}:
            return x, y, z
        case {"age": str(age)}:
            return x, y, half[2] - head_size(age).neck_end_m
        case _:
            return x, y, z


def spread_distance_m(half_extents_m: Triple, count: int) -> float:
    """Rough distance between neighbours when so many points share a closed surface. [m]

    The surface counts as that of a sphere of the mean radius, tiled hexagonally; good to about a tenth, which is all
    that a bound on sizes needs.
    """
    radius = math.prod(half_extents_m) ** (1 / 3)
    return float(radius * math.sqrt(8 * math.pi / (math.sqrt(3) * count)))
