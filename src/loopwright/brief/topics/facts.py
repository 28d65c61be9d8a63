"""What the rules of one topic need to know of the topics before it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from loopwright.brief.forms import Draft
from loopwright.ground.tables import child_trunk_rows

__all__ = ["AXES", "NO_FACTS", "Facts", "body_facts", "half_extents_m", "ring_perimeter_m", "spread_distance_m"]

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
        Half of its size along x, y and z. [m]
    voxel_m
        Voxel of its grid. [m]
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
    voxel_m: float | None = None
    span: str | None = None
    element_count: int | None = None
    most_gaps: int | None = None
    smallest_size_m: float | None = None
    crossing_separation_m: float | None = None


NO_FACTS = Facts()


def body_facts(draft: Draft) -> Facts:
    """What the later topics need to know of the body, as far as it could be read."""
    return Facts(body_kind=draft.get("shape"), half_extents_m=half_extents_m(draft.values), voxel_m=draft.get("voxel"))


def half_extents_m(values: Mapping[str, object]) -> Triple | None:
    """Half of the size of a body along x, y and z, from the keys that were read. [m]"""
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
            row = next(row for row in child_trunk_rows() if row.age == age)
            return row.semi_axis_x_m, row.semi_axis_y_m, row.height_m / 2
        case _:
            return None


def ring_perimeter_m(half_x_m: float, half_y_m: float) -> float:
    """Perimeter of an ellipse, to 1e-4 for any that a body has. [m]

    References
    ----------
    [ramanujan1914] second approximation (from memory, tested here
    against the complete elliptic integral).
    """
    h = ((half_x_m - half_y_m) / (half_x_m + half_y_m)) ** 2
    return math.pi * (half_x_m + half_y_m) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))


def spread_distance_m(half_extents_m: Triple, count: int) -> float:
    """Rough distance between neighbours when so many points share a closed surface. [m]

    The surface counts as that of a sphere of the mean radius, tiled hexagonally; good to about a tenth, which is all
    that a bound on sizes needs.
    """
    radius = math.prod(half_extents_m) ** (1 / 3)
    return float(radius * math.sqrt(8 * math.pi / (math.sqrt(3) * count)))
