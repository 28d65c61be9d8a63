"""Named points of a fitted body: centres of its joints, and marks on its skin."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.patients.family import Points
from loopwright.bodies.patients.measures import head_ends_m
from loopwright.ground.body_shapes import body_shapes

__all__ = ["landmarks_m"]


def landmarks_m(body: Points) -> dict[str, NDArray[np.float64]]:
    """Points by name, each (3,). [m]

    Joints are called as the bone or joint is, "left knee", "upper spine"; marks of the skin "nasion", "navel". "crown"
    is the highest point, "back of the head" the one farthest from the glabella, and a heel the hindmost of a sole.
    """
    shapes = body_shapes()
    vertices = body.vertices_m
    found = {name: body.joint_m(name) for name in shapes.joint_names}
    found |= {name: body.mark_m(name) for name in shapes.marks}
    found["crown"] = vertices[np.argmax(vertices[:, 2])]
    found["back of the head"] = head_ends_m(body)[1]
    for side in ("left", "right"):
        foot = vertices[shapes.part_weights[:, shapes.part_names.index(f"{side} foot")] > 0.5]
        found[f"{side} heel"] = foot[np.argmax(foot[:, 1])]
    return {name: np.array(point) for name, point in found.items()}
