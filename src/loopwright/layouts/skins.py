"""Skins on which elements lie: how a flat outline is laid on a surface that follows the skin at a distance.

A sphere, an ellipsoid or a dome takes an outline along its shortest lines: every point keeps its distance and bearing
from the element's centre; so does a body of triangles. An elliptic column takes it without any stretch, as a film is
wrapped.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipeinc

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin, Feet, frames, one_for_each, unit
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.mesh_skin import MeshSkin

Real = NDArray[np.float64]

_HALVINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnSkin:
    """The side of an elliptic column about the z axis; the ends carry no elements."""

    semi_axes_m: tuple[float, float]
    height_m: float

    @property
    def wrapping(self) -> str:
        """How an outline comes to lie, in one sentence."""
        return "Elements are drawn flat and wrapped round the body without stretch, as a printed film can be."

    def circumference_m(self, *, stand_off_m: float) -> float:
        """Length of the curve that follows the skin at this stand-off [m]. [m]"""
        return float(self._arc_m(np.array(2 * np.pi), np.array(stand_off_m)))

    def feet_towards(self, directions: Real) -> Feet:
        """Feet at mid-height where the projections of these directions (n, 3) on the x-y plane leave the body."""
        if np.any(np.linalg.norm(directions[:, :2], axis=1) < 1e-9):
            raise OutsideModelError("facing points along z, but the ends of a cylinder carry no elements.")
        a, b = self.semi_axes_m
        theta = np.arctan2(directions[:, 1] / b, directions[:, 0] / a)
        return self._feet(theta, np.zeros(len(theta)))

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:
        """Feet at flat positions (n, 2) [m] drawn about one foot on the developed surface at this stand-off [m]."""
        theta = self._theta_after(self._theta(foot.points_m), flat_m[:, 0], np.full(len(flat_m), stand_off_m))
        return self._feet(theta, foot.points_m[:, 2] + flat_m[:, 1])

    def wrapped_m(self, feet: Feet, flat_m: Real, *, stand_off_m: Real) -> Real:
        """Outlines laid about every foot at its stand-off (elements,) [m]; shape (elements, n, 3). [m]

        ``flat_m`` is one outline (n, 2) for all, or one for each (elements, n, 2). [m]
        """
        flat_m = one_for_each(flat_m, feet)
        elements, n = flat_m.shape[:2]
        offset = np.repeat(stand_off_m, n)
        start = np.repeat(self._theta(feet.points_m), n)
        theta = self._theta_after(start, flat_m[..., 0].ravel(), offset)
        height = np.repeat(feet.points_m[:, 2], n) + flat_m[..., 1].ravel()
        placed = self._feet(theta, height)
        return (placed.points_m + offset[:, None] * placed.normal).reshape(elements, n, 3)

    def distances_m(self, feet: Feet, pairs: NDArray[np.int64], *, stand_off_m: float) -> Real:
        """Distances between the centres of pairs (n, 2) on the developed surface at this stand-off [m]; (n,). [m]"""
        arc = self._arc_m(self._theta(feet.points_m), np.full(len(feet.points_m), stand_off_m))
        round_m = self.circumference_m(stand_off_m=stand_off_m)
        apart = arc[pairs[:, 1]] - arc[pairs[:, 0]]
        apart = apart - round_m * np.round(apart / round_m)
        return np.hypot(apart, feet.points_m[pairs[:, 1], 2] - feet.points_m[pairs[:, 0], 2])

    def _feet(self, theta: Real, height_m: Real) -> Feet:
        a, b = self.semi_axes_m
        flat = np.zeros_like(theta)
        normal = unit(np.stack([b * np.cos(theta), a * np.sin(theta), flat], axis=1))
        across = np.tile([0.0, 0.0, 1.0], (len(theta), 1))
        points = np.stack([a * np.cos(theta), b * np.sin(theta), height_m], axis=1)
        return Feet(points_m=points, along=np.cross(across, normal), across=across, normal=normal)

    def _theta(self, points_m: Real) -> Real:
        a, b = self.semi_axes_m
        return np.asarray(np.arctan2(points_m[:, 1] / b, points_m[:, 0] / a))

    def _arc_m(self, theta: Real, stand_off_m: Real) -> Real:
        """Length of the offset curve from the x axis: the ellipse's, and stand-off times the turn of the normal."""
        a, b = self.semi_axes_m
        lag = np.arctan2((a - b) * np.sin(theta) * np.cos(theta), a * np.sin(theta) ** 2 + b * np.cos(theta) ** 2)
        return np.asarray(b * ellipeinc(theta, 1 - (a / b) ** 2) + stand_off_m * (theta + lag))

    def _theta_after(self, theta: Real, way_m: Real, stand_off_m: Real) -> Real:
        """Parameter of the ellipse after a way along the offset curve, by bisection."""
        theta, way_m = np.broadcast_arrays(theta, way_m)
        goal = self._arc_m(theta, stand_off_m) + way_m
        a, b = self.semi_axes_m
        slowest = min(a, b) + stand_off_m * min(a / b, b / a)  # d arc / d theta never falls below it
        low, high = theta + np.minimum(way_m, 0) / slowest, theta + np.maximum(way_m, 0) / slowest
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            short = self._arc_m(middle, stand_off_m) < goal
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray((low + high) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatSkin:
    """A plane on which elements lie: the front of a slab, or a flat plate beside the body.

    ``normal`` is a unit vector away from the body; ``reach_m`` is how far the plane goes from its middle along and
    across, infinite for a plate that is made as large as it has to be.
    """

    middle_m: tuple[float, float, float]
    normal: tuple[float, float, float]
    reach_m: tuple[float, float] = (np.inf, np.inf)

    @property
    def wrapping(self) -> str:
        """How an outline comes to lie, in one sentence."""
        return "Elements lie flat."

    def feet_towards(self, directions: Real) -> Feet:
        """Feet where rays from the origin along these directions (n, 3) meet the plane."""
        towards = directions @ np.asarray(self.normal)
        if np.any(towards < 1e-6 * np.linalg.norm(directions, axis=1)):
            raise OutsideModelError("facing points away from the flat surface on which elements lie.")
        height = np.dot(self.middle_m, self.normal)
        return self._feet(directions * (height / towards)[:, None])

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:  # noqa: ARG002 - as on curved skins
        """Feet at flat positions (n, 2) [m] drawn about one foot."""
        return self._feet(foot.points_m + flat_m[:, :1] * foot.along + flat_m[:, 1:] * foot.across)

    def wrapped_m(self, feet: Feet, flat_m: Real, *, stand_off_m: Real) -> Real:
        """Outlines laid about every foot at its stand-off (elements,) [m]; shape (elements, n, 3). [m]

        ``flat_m`` is one outline (n, 2) for all, or one for each (elements, n, 2). [m]
        """
        flat_m = one_for_each(flat_m, feet)
        centres = feet.points_m + stand_off_m[:, None] * feet.normal
        drawn = flat_m[..., :1] * feet.along[:, None] + flat_m[..., 1:] * feet.across[:, None]
        return np.asarray(centres[:, None] + drawn)

    def distances_m(self, feet: Feet, pairs: NDArray[np.int64], *, stand_off_m: float) -> Real:  # noqa: ARG002 - as above
        """Distances between the centres of pairs (n, 2); shape (n,). [m]"""
        return np.asarray(np.linalg.norm(feet.points_m[pairs[:, 1]] - feet.points_m[pairs[:, 0]], axis=1))

    def _feet(self, points_m: Real) -> Feet:
        normal = np.tile(self.normal, (len(points_m), 1))
        along, across = frames(normal)
        return Feet(points_m=points_m, along=along, across=across, normal=normal)


Skin = EllipsoidSkin | DomeSkin | ColumnSkin | FlatSkin | MeshSkin | FilmSkin
