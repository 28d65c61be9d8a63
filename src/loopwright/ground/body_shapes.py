"""The packaged shapes of bodies: closed surfaces over the same triangles, by sex, age and weight.

Made once by ``scripts/build-bodies.py``; the notice beside the file says of what, and by whom. They are artists' work:
no shape is from a scan.
"""

from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

__all__ = ["BodyShapes", "body_shapes"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BodyShapes:
    """Shapes over shared triangles, standing with the arms away; x to the left, y to posterior, z to the head.

    The points of a shape are the vertices of its skin and after them the centres of its joints.

    Attributes
    ----------
    triangles
        Corners, counted among the vertices, shape (triangles, 3).
    shapes_m
        Points by name, each (points, 3) [m]: "male child" is a whole body, "male child maxweight" what is added to it.
    joint_names
        Names of the points after the vertices, in their order.
    marks
        Vertex of each named mark on the skin.
    part_names
        Head, neck, trunk, and the parts of the limbs, left and right.
    part_weights
        How much each vertex follows each part, rows adding up to one, shape (vertices, parts).
    ears
        Whether a vertex belongs to an ear, shape (vertices,).
    """

    triangles: NDArray[np.int64]
    shapes_m: MappingProxyType[str, NDArray[np.float64]]
    joint_names: tuple[str, ...]
    marks: MappingProxyType[str, int]
    part_names: tuple[str, ...]
    part_weights: NDArray[np.float64]
    ears: NDArray[np.bool_]


@cache
def body_shapes() -> BodyShapes:
    """Read the packaged shapes."""
    with (resources.files("loopwright.ground") / "data" / "body_shapes.npz").open("rb") as stream:
        held = dict(np.load(stream, allow_pickle=False))
    weights = held["part_weights"].astype(np.float64)
    shapes = held["shapes"] * float(held["step_m"])
    for array in (weights, shapes):
        array.setflags(write=False)
    return BodyShapes(
        triangles=held["triangles"].astype(np.int64),
        shapes_m=MappingProxyType(dict(zip(held["shape_names"].tolist(), shapes, strict=True))),
        joint_names=tuple(held["joint_names"].tolist()),
        marks=MappingProxyType(dict(zip(held["mark_names"].tolist(), held["mark_vertices"].tolist(), strict=True))),
        part_names=tuple(held["part_names"].tolist()),
        part_weights=weights / weights.sum(axis=1, keepdims=True),
        ears=held["ears"],
    )
