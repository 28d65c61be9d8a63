"""Joints of a figure: each a hinge about a fixed axis through its centre.

Near a joint the angle of a point is blended, not its place, so that a bent limb keeps its girth. How far every point
follows is the skinning weight of the packaged shapes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

SIDES = ("left", "right")
SIGN = {"left": 1.0, "right": -1.0}
ARM = ("upper arm", "forearm", "hand")
#: Of the angle of the arm the skin over the collar takes this share (our own choice).
OF_COLLAR = 0.25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stance:
    """A figure in one pose.

    ``landmarks_m`` are joint centres and marks by name, (3,) each [m]; ``shares`` says by name of a body part how far
    every vertex belongs to it, (vertices,) each, together one.
    """

    surface: Surface
    landmarks_m: Mapping[str, Real]
    shares: Mapping[str, Real]

    def share(self, *parts: str) -> Real:
        """How far every vertex belongs to any of these parts, (vertices,)."""
        return np.asarray(sum((self.shares[part] for part in parts), np.zeros(len(self.surface.vertices_m))))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hinge:
    """A joint: centre (3,) [m], unit axis (3,), how much of the angle every vertex takes, and what it carries."""

    centre_m: Real
    axis: Real
    share: Real
    carries: tuple[str, ...]


def turned_m(points_m: Real, centre_m: Real, axis: Real, angle_rad: Real | float) -> Real:
    """Points (n, 3) [m] turned about an axis through a centre [m], each by its own angle (n,) [rad].

    References
    ----------
    Formula of Rodrigues (textbook).
    """
    angle = np.broadcast_to(np.asarray(angle_rad, dtype=float), points_m.shape[:1])[:, None]
    arm = points_m - centre_m
    along = (arm @ axis)[:, None] * axis
    return np.asarray(centre_m + along + (arm - along) * np.cos(angle) + np.cross(axis, arm) * np.sin(angle))


def bent(stance: Stance, hinge: Hinge, angle_rad: float) -> Stance:
    """The figure with one hinge turned by an angle [rad], right-handed about its axis."""
    moved = turned_m(stance.surface.vertices_m, hinge.centre_m, hinge.axis, angle_rad * hinge.share)
    marks = {
        name: turned_m(mark[None], hinge.centre_m, hinge.axis, angle_rad)[0] if name in hinge.carries else mark
        for name, mark in stance.landmarks_m.items()
    }
    return replace(stance, surface=stance.surface.at(moved), landmarks_m=marks)


def elbow(stance: Stance, side: str) -> Hinge:
    """The elbow; a positive angle bends it further."""
    upper, lower = _way(stance, "shoulder", "elbow", side), _way(stance, "elbow", "wrist", side)
    return Hinge(
        centre_m=stance.landmarks_m[f"{side} elbow"],
        axis=_unit(np.cross(upper, lower)),
        share=share_of(stance, side, "forearm", "hand"),
        carries=_marks(side, "wrist", "middle knuckle", "middle fingertip"),
    )


def wrist(stance: Stance, side: str) -> Hinge:
    """The wrist; a positive angle bends the hand towards its palm."""
    hand = stance.surface.vertices_m[share_of(stance, side, "hand") > 0.5]
    width = np.linalg.svd(hand - hand.mean(axis=0), full_matrices=False)[2][1]
    fore = _unit(_way(stance, "elbow", "wrist", side))
    axis = _unit(width - (width @ fore) * fore)
    inwards = np.array([-SIGN[side], 0.0, 0.0])  # standing, the palm looks to the body
    return Hinge(
        centre_m=stance.landmarks_m[f"{side} wrist"],
        axis=axis if np.cross(axis, fore) @ inwards > 0 else -axis,
        share=share_of(stance, side, "hand"),
        carries=_marks(side, "middle knuckle", "middle fingertip"),
    )


def knee(stance: Stance, side: str) -> Hinge:
    """The knee; a positive angle bends it."""
    along = _unit(_way(stance, "hip", "knee", side) + _way(stance, "knee", "ankle", side))
    across = np.array([1.0, 0.0, 0.0])
    return Hinge(
        centre_m=stance.landmarks_m[f"{side} knee"],
        axis=_unit(across - (across @ along) * along),  # turns what hangs down to the back
        share=share_of(stance, side, "shank", "foot"),
        carries=_marks(side, "ankle", "toes"),
    )


def shoulder(stance: Stance, side: str) -> Hinge:
    """The shoulder as a hinge about the line from front to back; a positive angle brings the arm up."""
    return Hinge(
        centre_m=stance.landmarks_m[f"{side} shoulder"],
        axis=np.array([0.0, -SIGN[side], 0.0]),
        share=share_of(stance, side, *ARM) + OF_COLLAR * share_of(stance, side, "shoulder"),
        carries=_marks(side, "elbow", "wrist", "middle knuckle", "middle fingertip"),
    )


def hip(stance: Stance, side: str) -> Hinge:
    """The hip as a hinge from side to side; a positive angle lifts the leg forward."""
    return Hinge(
        centre_m=stance.landmarks_m[f"{side} hip"],
        axis=np.array([-1.0, 0.0, 0.0]),
        share=share_of(stance, side, "thigh", "shank", "foot"),
        carries=_marks(side, "knee", "ankle", "toes"),
    )


def straight_elbow_rad(stance: Stance, side: str) -> float:
    """Angle by which the elbow is bent. [rad]"""
    upper, lower = _unit(_way(stance, "shoulder", "elbow", side)), _unit(_way(stance, "elbow", "wrist", side))
    return float(np.arccos(np.clip(upper @ lower, -1, 1)))


def share_of(stance: Stance, side: str, *parts: str) -> Real:
    """How far every vertex belongs to parts of one side, (vertices,)."""
    return stance.share(*(f"{side} {part}" for part in parts))


def _marks(side: str, *names: str) -> tuple[str, ...]:
    return tuple(f"{side} {name}" for name in names)


def _way(stance: Stance, start: str, end: str, side: str) -> Real:
    return np.asarray(stance.landmarks_m[f"{side} {end}"] - stance.landmarks_m[f"{side} {start}"])


def _unit(vector: Real) -> Real:
    return np.asarray(vector / np.linalg.norm(vector))
