"""A body with other girths: every part scaled across its own axis, the head about the joint on which it sits.

The trunk is scaled about its spine and carries shoulders and hips with it; a limb is scaled about the lines between its
joints; hand and foot follow wrist and shank. Factors change smoothly along an axis, and between two parts by the shares
with which the skin follows them, so a smooth closed skin stays one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from loopwright.bodies.patients.family import Points, part_shares
from loopwright.ground.body_shapes import body_shapes

__all__ = ["Girths", "with_girths"]

Real = NDArray[np.float64]

_LEAST_SHARE = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Girths:
    """Natural logarithms of the factors by which each part grows across; the head in breadth and in depth."""

    head_breadth: float = 0.0
    head_depth: float = 0.0
    chest: float = 0.0
    abdomen: float = 0.0
    thigh: float = 0.0
    knee: float = 0.0
    arm: float = 0.0
    wrist: float = 0.0

    @property
    def hips(self) -> float:
        """Between abdomen and thighs."""
        return (self.abdomen + self.thigh) / 2

    @property
    def neck(self) -> float:
        """Between chest and head."""
        return (self.chest + (self.head_breadth + self.head_depth) / 2) / 2

    @property
    def shank(self) -> float:
        """At the ankle and of the foot: half of what the knee grows."""
        return self.knee / 2


def with_girths(body: Points, girths: Girths) -> Points:
    """The same body, its parts grown across by these factors."""
    names, shares = body_shapes().part_names, part_shares()
    moved = body.points_m.copy()
    hung: dict[str, Real] = {}
    for side in ("left", "right"):
        for joint, limb in (("shoulder", ("upper arm", "forearm", "hand")), ("hip", ("thigh", "shank", "foot"))):
            at_m = body.joint_m(f"{side} {joint}")
            carried = _of_trunk(body, girths, at_m[None])[0]
            hung |= {f"{side} {part}": carried for part in limb}
    for column, name in enumerate(names):
        near = np.flatnonzero(shares[:, column] > _LEAST_SHARE)
        step = _of_part(body, girths, name, body.points_m[near])
        moved[near] += shares[near, column, None] * (step + hung.get(name, 0.0))
    return Points(points_m=moved)


def _of_part(body: Points, girths: Girths, name: str, points_m: Real) -> Real:
    """Steps that a part takes for itself at these points."""
    side, _, part = name.partition(" ")
    if name == "head":
        height = (girths.head_breadth + girths.head_depth) / 2
        factors = np.exp([girths.head_breadth, girths.head_depth, height])
        return np.asarray((factors - 1) * (points_m - body.joint_m("head")))
    if part == "hand":
        return np.asarray(np.expm1(girths.wrist) * (points_m - body.joint_m(f"{side} wrist")))
    if part == "foot":
        return np.asarray(np.expm1(girths.shank) * (points_m - body.joint_m(f"{side} ankle")) * [1, 1, 0])
    limbs: dict[str, tuple[str, str, tuple[float, ...]]] = {
        "upper arm": ("shoulder", "elbow", (girths.arm, girths.arm)),
        "forearm": ("elbow", "wrist", (girths.arm, girths.wrist)),
        "thigh": ("hip", "knee", (girths.thigh, girths.thigh, girths.knee)),
        "shank": ("knee", "ankle", (girths.knee, girths.shank)),
    }
    if part in limbs:
        first, second, logs = limbs[part]
        return _across(body, points_m, (f"{side} {first}", f"{side} {second}"), logs)
    return _of_trunk(body, girths, points_m)


def _across(body: Points, points_m: Real, joints: tuple[str, str], logs: tuple[float, ...]) -> Real:
    """Steps away from the line between two joints, by factors evenly spaced from its beginning to its end."""
    start, end = (body.joint_m(joint) for joint in joints)
    along = (points_m - start) @ (end - start) / np.sum((end - start) ** 2)
    off = points_m - start - along[:, None] * (end - start)
    return np.asarray(np.expm1(_eased(along, np.linspace(0, 1, len(logs)), logs))[:, None] * off)


def _of_trunk(body: Points, girths: Girths, points_m: Real) -> Real:
    """Steps of trunk, shoulders and neck away from the spine, level by level."""
    spine = np.array(
        [body.joint_m(name) for name in ("pelvis", "lumbar spine", "lower spine", "middle spine", "upper spine")]
        + [body.joint_m("neck"), body.joint_m("head")]
    )
    z = points_m[:, 2]
    middle_y = PchipInterpolator(spine[:, 2], spine[:, 1])(np.clip(z, spine[0, 2], spine[-1, 2]))
    levels = [body.joint_m("left hip")[2], body.mark_m("navel")[2], body.mark_m("left nipple")[2], spine[-2, 2]]
    logs = _eased(z, np.array(levels), (girths.hips, girths.abdomen, girths.chest, girths.neck))
    off = np.stack([points_m[:, 0], points_m[:, 1] - middle_y, np.zeros_like(z)], axis=1)
    return np.asarray(np.expm1(logs)[:, None] * off)


def _eased(at: Real, knots: Real, values: tuple[float, ...]) -> Real:
    """Values between knots, flat at each knot and beyond the ends."""
    cell = np.clip(np.searchsorted(knots, at) - 1, 0, len(knots) - 2)
    share = np.clip((at - knots[cell]) / (knots[cell + 1] - knots[cell]), 0, 1)
    share = share**2 * (3 - 2 * share)
    held = np.array(values)
    return np.asarray(held[cell] * (1 - share) + held[cell + 1] * share)
