"""What tape, stadiometer and balance say of a body of triangles.

A tape spans hollows, so every circumference is the perimeter of the convex hull of a plane section.

- Length: from the lowest point of the heels to the crown, standing.
- Mass: the volume inside the skin times :data:`DENSITY_KG_PER_M3`.
- Head circumference: in the plane through the glabella (the foremost point between the brows) and the point of the head
  that is farthest from it, level from ear to ear; the ears are left out.
- Head length: between those two points. Head breadth: the greatest width of the head, ears left out, at or above the
  level of the eyes.
- Chest and abdomen: level sections at the nipples and at the navel, arms left out.
- Thigh: across the line from hip to knee, halfway. Knee: across the line from hip to ankle, at the knee.
- Wrist: across the forearm, a twentieth of its length above the wrist.

Limbs are measured on the left; the bodies are symmetric.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from loopwright.bodies.patients.family import Points, part_shares
from loopwright.ground.body_shapes import body_shapes

__all__ = ["DENSITY_KG_PER_M3", "girth_m", "head_ends_m", "measured"]

Real = NDArray[np.float64]

#: Of a body with the air in its lungs, all from memory: fat weighs 900 and the rest 1060 to 1100 kg/m^3, so with 12 to
#: 30 per cent fat 1025 to 1050; lungs at rest, lying down, hold 2 to 4 per cent of the volume as air: 1000 to 1016.
DENSITY_KG_PER_M3 = 1010.0

_REGIONS = {
    "head": ("head",),
    "trunk": ("trunk", "neck", "left shoulder", "right shoulder"),
    "left leg": ("left thigh", "left shank"),
    "left forearm": ("left forearm", "left hand"),
}


def measured(body: Points) -> dict[str, float]:
    """All measures of a body by name, in metres, square metres and kilograms; ratios as pure numbers."""
    glabella, back = head_ends_m(body)
    breadth, depth = _head_breadth_m(body), float(np.linalg.norm(back - glabella))
    hip, knee, ankle = (body.joint_m(f"left {name}") for name in ("hip", "knee", "ankle"))
    elbow, wrist = body.joint_m("left elbow"), body.joint_m("left wrist")
    upwards = np.array([0.0, 0.0, 1.0])
    across_head = np.cross(back - glabella, [1.0, 0.0, 0.0])
    surface = body.surface
    return {
        "length": float(np.ptp(body.vertices_m[:, 2])),
        "mass": surface.volume_m3 * DENSITY_KG_PER_M3,
        "head circumference": girth_m(body, "head", glabella, across_head),
        "head length": depth,
        "head breadth": breadth,
        "head breadth over length": breadth / depth,
        "chest circumference": girth_m(body, "trunk", body.mark_m("left nipple"), upwards),
        "abdomen circumference": girth_m(body, "trunk", body.mark_m("navel"), upwards),
        "thigh circumference": girth_m(body, "left leg", (hip + knee) / 2, knee - hip),
        "knee circumference": girth_m(body, "left leg", knee, ankle - hip),
        "wrist circumference": girth_m(body, "left forearm", wrist + (elbow - wrist) / 20, wrist - elbow),
        "surface area": surface.area_m2,
    }


def head_ends_m(body: Points) -> tuple[Real, Real]:
    """The glabella and the point of the head farthest from it, shapes (3,). [m]"""
    glabella = body.mark_m("glabella")
    head = body.points_m[_vertices_of("head")]
    return glabella, np.asarray(head[np.argmax(np.sum((head - glabella) ** 2, axis=1))])


def girth_m(body: Points, region: str, through_m: Real, normal: Real) -> float:
    """Length of a tape round head, trunk, left leg or left forearm, in the plane through a point [m] (3,). [m]"""
    unit = normal / np.linalg.norm(normal)
    edges = _edges_of(region)
    height = (body.points_m - through_m) @ unit
    low, high = height[edges[:, 0]], height[edges[:, 1]]
    cut = (low > 0) != (high > 0)
    share = (low[cut] / (low[cut] - high[cut]))[:, None]
    a, b = (body.points_m[edges[cut, k]] for k in range(2))
    first = np.cross(unit, [0.0, 1.0, 0.0] if abs(unit[1]) < 0.9 else [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    crossings = a + share * (b - a)
    return float(ConvexHull(crossings @ np.stack([first, np.cross(unit, first)], axis=1)).area)


def _head_breadth_m(body: Points) -> float:
    head = body.points_m[_vertices_of("head")]
    return float(2 * np.abs(head[head[:, 2] >= body.joint_m("left eye")[2], 0]).max())


@cache
def _vertices_of(region: str) -> NDArray[np.int64]:
    """Vertices of the skin that follow a region more than anything else; of the head, without its ears."""
    shapes = body_shapes()
    columns = [shapes.part_names.index(part) for part in _REGIONS[region]]
    inside = part_shares()[: len(shapes.ears), columns].sum(axis=1) > 0.5
    return np.flatnonzero(inside & ~shapes.ears if region == "head" else inside)


@cache
def _edges_of(region: str) -> NDArray[np.int64]:
    """Edges of the skin with both ends in a region, each once, shape (edges, 2)."""
    shapes = body_shapes()
    inside = np.zeros(len(shapes.ears), dtype=bool)
    inside[_vertices_of(region)] = True
    edges = np.concatenate([shapes.triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    return edges[(edges[:, 0] < edges[:, 1]) & inside[edges].all(axis=1)]
