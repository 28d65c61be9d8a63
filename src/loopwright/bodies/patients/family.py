"""The shape of a body before it is fitted: between newborn, baby, child and grown-up of one sex.

Three shapes of each sex are artists' work, the newborn is what lies beyond their baby as seen from their child. A body
between two of them is a straight mean of both, shared by where the middle length of its age lies between theirs.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.body_shapes import body_shapes
from loopwright.ground.growth import middle_sizes
from loopwright.ground.surface import Surface

__all__ = ["Points", "blended", "follows", "part_shares"]

Real = NDArray[np.float64]

#: What is put on the artists' baby, which has the proportions of one year, to make a newborn: so much of its difference
#: from their child that crown to crotch becomes 0.67 of the length, the middle at birth (from memory).
_YOUNGER = 0.136

#: Ages in years, to whose middle length the newborn, the baby, the child and the grown-up of the artists belong.
_STAGES = (0.0, 1.0, 10.0, 20.0)

_SMOOTHINGS = 12

#: The part with which each joint moves; the joints of one side of a limb are told by their first word.
_JOINT_PART = {
    "head": "head",
    "eye": "head",
    "neck": "neck",
    "clavicle": "shoulder",
    "scapula": "shoulder",
    "shoulder": "upper arm",
    "elbow": "forearm",
    "wrist": "hand",
    "middle knuckle": "hand",
    "middle fingertip": "hand",
    "hip": "thigh",
    "knee": "shank",
    "ankle": "foot",
    "toes": "foot",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Points:
    """A standing body as points: the vertices of its skin, then the centres of its joints, shape (points, 3). [m]"""

    points_m: Real

    @property
    def vertices_m(self) -> Real:
        """Vertices of the skin, shape (vertices, 3). [m]"""
        return self.points_m[: len(body_shapes().part_weights)]

    @property
    def surface(self) -> Surface:
        """The skin as a closed surface. [m]"""
        return Surface(vertices_m=self.vertices_m, triangles=body_shapes().triangles)

    def joint_m(self, name: str) -> Real:
        """Centre of a joint, shape (3,). [m]"""
        shapes = body_shapes()
        return np.asarray(self.points_m[len(shapes.part_weights) + shapes.joint_names.index(name)])

    def mark_m(self, name: str) -> Real:
        """A mark on the skin, shape (3,). [m]"""
        return np.asarray(self.points_m[body_shapes().marks[name]])


def blended(sex: str, *, length_m: float, fatness: float) -> Points:
    """The body of a sex whose age has this middle length [m], as long as its shapes make it.

    ``fatness`` from -1 to 1 moves it to the lightest and the heaviest body of the artists.
    """
    extreme = "maxweight" if fatness > 0 else "minweight"
    shapes = body_shapes().shapes_m
    baby, child, young = (
        shapes[f"{sex} {age}"] + abs(fatness) * shapes[f"{sex} {age} {extreme}"] for age in ("baby", "child", "young")
    )
    newborn = baby + _YOUNGER * (baby - child)
    step = float(np.interp(length_m, _stage_lengths_m(sex), range(len(_STAGES))))
    shares = np.clip(1 - np.abs(step - np.arange(len(_STAGES))), 0, 1)
    return Points(points_m=np.tensordot(shares, np.array([newborn, baby, child, young]), axes=1))


@cache
def _stage_lengths_m(sex: str) -> tuple[float, ...]:
    return tuple(middle_sizes(sex, age_years=age)["length"].value for age in _STAGES)


@cache
def part_shares() -> Real:
    """How much each point follows each part, rows adding up to one, shape (points, parts).

    The artists' weights of the skin are smoothed along its edges, so that neighbouring parts may change size without a
    crease between them.
    """
    shapes = body_shapes()
    a, b, c = shapes.triangles.T
    ends = np.concatenate([a, b, c, b, c, a]), np.concatenate([b, c, a, a, b, c])
    weights = shapes.part_weights
    degree = np.bincount(ends[0], minlength=len(weights))[:, None]
    for _ in range(_SMOOTHINGS):
        around = np.stack(
            [np.bincount(ends[0], weights=column[ends[1]], minlength=len(weights)) for column in weights.T], axis=1
        )
        weights = (weights + around / degree) / 2
    joints = np.array([[float(part == follows(joint)) for part in shapes.part_names] for joint in shapes.joint_names])
    shares = np.concatenate([weights, joints])
    shares.setflags(write=False)
    return shares


def follows(joint: str) -> str:
    """Name of the part with which a joint moves; all joints of the spine move with the trunk."""
    side, _, name = joint.partition(" ")
    if side in ("left", "right"):
        part = _JOINT_PART[name]
        return part if part == "head" else f"{side} {part}"
    return _JOINT_PART.get(joint, "trunk")
