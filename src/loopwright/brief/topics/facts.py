"""What the rules of one topic need to know of the topics before it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from loopwright.brief.forms import Draft
from loopwright.brief.records import BOTTLE_WALL, TissueByName
from loopwright.brief.topics.orienting import box_of_file_m
from loopwright.ground.figures import (
    ARM_CLEARANCE_M,
    HEAD_TISSUES,
    LIMB_TISSUES,
    PATIENT_TISSUES,
    TRUNK_TISSUES,
    figure_of,
    head_size,
    limb_semi_axes_m,
    ring_perimeter_m,
)

__all__ = [
    "AXES",
    "LEAST_STAND_OFF_M",
    "NO_FACTS",
    "Box",
    "Facts",
    "body_box_m",
    "body_facts",
    "half_extents_m",
    "ring_perimeter_m",
    "spread_distance_m",
]

#: Axes of the body frame, in their order.
AXES = ("x", "y", "z")

Triple = tuple[float, float, float]
Box = tuple[Triple, Triple]

#: Tissues of the stylised figures, by the word that names the shape.
_OF_FIGURES = {"head": HEAD_TISSUES, "trunk": TRUNK_TISSUES, "limb": LIMB_TISSUES, "patient": PATIENT_TISSUES}


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is known so far; None where it could not be read.

    Attributes
    ----------
    body_kind
        Kind of the body.
    half_extents_m
        Half-axes along x, y and z of the part on which elements can be laid: without neck and arms, and of a head
        those of the cap. [m]
    ground_m
        Lower and upper corner, in the body frame, of that part: of a head without its neck. [m]
    box_m
        Lower and upper corner, in the body frame, of the box that holds all of it, neck and arms too. [m]
    voxel_m
        Voxel of its grid. [m]
    tissue_names
        Names of its materials: those that the brief gives, or those of the stylised figure.
    span
        Span of the tiling, where the array is one.
    element_count, most_gaps, least_gaps
        Number of elements, and the largest and least number of gaps in one of them.
    smallest_size_m
        Smallest diameter or side among the elements. [m]
    crossing_separation_m
        Radial distance between conductors that cross, where the array is a tiling. [m]
    crossing_separation_key
        Key that this distance is written at.
    conductor_height_m
        Room that the conductor takes where it is crossed: diameter of a wire, thickness of a strip. [m]
    seam_gap_m
        Gap of the seam between centre-lines, where the array has one. [m]
    film_stand_off_m
        What the layers under the conductor come to, where a film carries the array. [m]
    """

    body_kind: str | None = None
    half_extents_m: Triple | None = None
    ground_m: Box | None = None
    box_m: Box | None = None
    voxel_m: float | None = None
    tissue_names: tuple[str, ...] | None = None
    span: str | None = None
    element_count: int | None = None
    most_gaps: int | None = None
    least_gaps: int | None = None
    smallest_size_m: float | None = None
    crossing_separation_m: float | None = None
    crossing_separation_key: str = "array.tiling.crossing_separation"
    conductor_height_m: float | None = None
    seam_gap_m: float | None = None
    film_stand_off_m: float | None = None

    def with_body_of(self, other: "Facts") -> "Facts":
        """Return these facts with those of another body in place of its own."""
        return replace(self, **{name: getattr(other, name) for name in _OF_BODY})


_OF_BODY = ("body_kind", "half_extents_m", "ground_m", "box_m", "voxel_m", "tissue_names")

NO_FACTS = Facts()

#: Least stand-off of a tiling. [m]
LEAST_STAND_OFF_M = 0.5e-3


def body_facts(draft: Draft) -> Facts:
    """What the later topics need to know of the body, as far as it could be read."""
    shape = draft.get("shape")
    return Facts(
        body_kind=shape,
        half_extents_m=half_extents_m(shape, draft.values),
        ground_m=_ground_m(shape, draft.values),
        box_m=body_box_m(shape, draft.values),
        voxel_m=draft.get("voxel"),
        tissue_names=_OF_FIGURES.get(shape) or _tissue_names(draft),
    )


def _tissue_names(draft: Draft) -> tuple[str, ...] | None:
    if "tissues" in draft.values:
        of_labels = [one.material for one in draft.values["tissues"] if one.material is not None]
        return tuple(dict.fromkeys(one.tissue if isinstance(one, TissueByName) else one.name for one in of_labels))
    core, layers = draft.get("material"), draft.get("layers")
    if core is not None and draft.get("shape") == "bottle":
        return BOTTLE_WALL, core.tissue if isinstance(core, TissueByName) else core.name
    if core is None or ("layers" in draft.written and layers is None):
        return None
    materials = (*(layer.material for layer in layers or ()), core)
    return tuple(dict.fromkeys(one.tissue if isinstance(one, TissueByName) else one.name for one in materials))


def half_extents_m(shape: str | None, values: Mapping[str, object]) -> Triple | None:
    """Half-axes of a body of this shape along x, y and z, without neck and arms, from the keys that were read. [m]"""
    match values:
        case {"radius": float(r)}:
            return _round_half_extents_m(shape, r, values)
        case {"semi_axes": (float(a), float(b), float(c))}:
            return a, b, c
        case {"semi_axes": (float(a), float(b)), "height": float(h)}:
            return a, b, h / 2
        case {"size": (float(x), float(y), float(z))}:
            return x / 2, y / 2, z / 2
        case {"age": str(age)}:
            return _figure_half_extents_m(shape, age, values)
        case _:
            return _file_half_extents_m(values)


def _file_half_extents_m(values: Mapping[str, object]) -> Triple | None:
    """Half-axes of a body from a file; None for any other. [m]"""
    box = box_of_file_m(values)
    if box is None:
        return None
    x, y, z = ((high - low) / 2 for low, high in zip(*box, strict=True))
    return x, y, z


def _round_half_extents_m(shape: str | None, radius_m: float, values: Mapping[str, object]) -> Triple | None:
    """Half-axes of a sphere, or half the sizes of a bottle. [m]"""
    match values:
        case {"height": float(height), "shoulder": float(shoulder)}:
            return radius_m, radius_m, (height + shoulder) / 2
        case _:
            return None if shape == "bottle" else (radius_m, radius_m, radius_m)


def _figure_half_extents_m(shape: str | None, age: str, values: Mapping[str, object]) -> Triple | None:
    """Half-axes of a stylised figure. [m]"""
    match shape, values:
        case "head", _:
            return head_size(age).semi_axes_m
        case "trunk", _:
            figure = figure_of(age)
            return *figure.trunk_m, figure.trunk_height_m / 2
        case "limb", {"part": str(part), "length": float(length)}:
            return *limb_semi_axes_m(part, age), length / 2
        case _:
            return None


def _ground_m(shape: str | None, values: Mapping[str, object]) -> Box | None:
    """Lower and upper corner of the part of a body on which elements can be laid. [m]"""
    if "file" in values:
        return box_of_file_m(values)
    half = half_extents_m(shape, values)
    if half is None:
        return None
    x, y, z = half
    match shape, values:
        case "head", {"age": str(age)}:
            return (-x, -y, head_size(age).neck_top_m), half
        case "bottle", {"height": float(height), "shoulder": float(shoulder)}:
            return (-x, -y, -height), (x, y, shoulder)
        case _:
            return (-x, -y, -z), half


def body_box_m(shape: str | None, values: Mapping[str, object]) -> Box | None:
    """Lower and upper corner of a body of this shape with neck and arms, from the keys that were read. [m]"""
    if "file" in values:
        return box_of_file_m(values)
    half = half_extents_m(shape, values)
    if half is None:
        return None
    x, y, z = half
    match shape, values:
        case "head", {"age": str(age)}:
            return (-x, -y, head_size(age).neck_end_m), (x, y, z)
        case "bottle", {"height": float(height), "shoulder": float(shoulder)}:
            return (-x, -y, -height), (x, y, shoulder)
        case "trunk", {"age": str(age), "arms": "beside"}:
            x += ARM_CLEARANCE_M + 2 * figure_of(age).arm_radius_m
        case "trunk", _ if "arms" not in values:
            return None  # what stands there could not be read, so the width is not known
    return (-x, -y, -z), (x, y, z)


def spread_distance_m(half_extents_m: Triple, count: int) -> float:
    """Rough distance between neighbours when so many points share a closed surface. [m]

    The surface counts as that of a sphere of the mean radius, tiled hexagonally; good to about a tenth, which is all
    that a bound on sizes needs.
    """
    radius = math.prod(half_extents_m) ** (1 / 3)
    return float(radius * math.sqrt(8 * math.pi / (math.sqrt(3) * count)))
