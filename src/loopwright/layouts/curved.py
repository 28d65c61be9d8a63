"""Curved skins: an outline is laid along shortest lines, every point at its distance and bearing from the centre."""

from abc import abstractmethod
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.closest import closest_on_ellipsoid_m
from loopwright.ground.errors import OutsideModelError

Real = NDArray[np.float64]

#: Steps along one shortest line: exact on a sphere, where few do that are shorter than a quarter turn; on a head-like
#: ellipsoid the end of 40 mm moves by less than two micrometres when they are doubled.
_STEPS, _STEPS_ON_SPHERE = 24, 4
#: Radius of curvature that counts as flat. [m]
_FLAT_M = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """Points of the skin under the centres of elements, with a frame at each.

    ``along`` (u) and ``across`` (v, headwards where it can be) are tangents, ``normal`` points outwards and equals
    along x across; all of shape (elements, 3). Points in metres.
    """

    points_m: Real
    along: Real
    across: Real
    normal: Real


def turned_foot(foot: Feet, turned_rad: float) -> Feet:
    """The same foot with its axes turned against the clock, seen from outside. [rad]"""
    cos, sin = np.cos(turned_rad), np.sin(turned_rad)
    return Feet(
        points_m=foot.points_m,
        along=cos * foot.along + sin * foot.across,
        across=cos * foot.across - sin * foot.along,
        normal=foot.normal,
    )


def frames(normal: Real) -> tuple[Real, Real]:
    """Tangents (along, across), each (n, 3), for unit normals (n, 3): across points headwards, at the poles to -y."""
    upright = np.abs(normal[:, 2:]) > 1 - 1e-9
    towards = np.where(upright, [[0.0, -1.0, 0.0]], [[0.0, 0.0, 1.0]])
    across = unit(towards - np.sum(towards * normal, axis=1, keepdims=True) * normal)
    return np.cross(across, normal), across


class _Curved(Protocol):
    """What a curved skin tells of itself, and how outlines come to lie on it."""

    @property
    @abstractmethod
    def steps(self) -> int:
        """Steps along one shortest line."""

    @abstractmethod
    def closest_m(self, points_m: Real) -> Real:
        """Points of the skin closest to points (n, 3). [m]"""

    @abstractmethod
    def normal(self, skin_m: Real) -> Real:
        """Outward unit normals at points of the skin (n, 3) [m]."""

    @abstractmethod
    def bend_m(self, skin_m: Real, heading: Real) -> Real:
        """Radius with which the skin bends at points (n, 3) along unit tangents (n, 3); shape (n,). [m]"""

    @property
    def wrapping(self) -> str:
        """How an outline comes to lie, in one sentence."""
        return (
            "Every node keeps its distance and bearing from the centre of its element along the surface; across these "
            "lines a doubly curved surface shortens the outline."
        )

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:
        """Feet at flat positions (n, 2) [m] drawn about one foot, with the frame carried along the way."""
        n = len(flat_m)
        distance = np.linalg.norm(flat_m, axis=1)
        turn = np.where(distance > 0, 1, 0)[:, None] * flat_m / np.where(distance > 0, distance, 1)[:, None]
        turn[distance == 0] = [1.0, 0.0]
        start = turn[:, :1] * foot.along + turn[:, 1:] * foot.across
        points, heading = self._follow(np.repeat(foot.points_m, n, axis=0), start, distance, np.full(n, stand_off_m))
        normal = self.normal(points)
        aside = np.cross(normal, heading)
        along = turn[:, :1] * heading - turn[:, 1:] * aside
        return Feet(points_m=points, along=along, across=np.cross(normal, along), normal=normal)

    def wrapped_m(self, feet: Feet, flat_m: Real, *, stand_off_m: Real) -> Real:
        """Outlines laid about every foot at its stand-off (elements,) [m]; shape (elements, n, 3). [m]

        ``flat_m`` is one outline (n, 2) for all, or one for each (elements, n, 2). [m]
        """
        flat_m = one_for_each(flat_m, feet)
        elements, n = flat_m.shape[:2]
        distance = np.linalg.norm(flat_m, axis=2, keepdims=True)
        turn = flat_m / distance
        start = turn[..., :1] * feet.along[:, None] + turn[..., 1:] * feet.across[:, None]
        offset = np.repeat(stand_off_m, n)
        points, _ = self._follow(np.repeat(feet.points_m, n, axis=0), start.reshape(-1, 3), distance.ravel(), offset)
        return (points + offset[:, None] * self.normal(points)).reshape(elements, n, 3)

    def distances_m(self, feet: Feet, pairs: NDArray[np.int64], *, stand_off_m: float) -> Real:
        """Distances between the centres of pairs (n, 2) along the surface at this stand-off [m]; shape (n,). [m]

        Length of the chord's projection: the shortest line on a sphere, an upper bound close to it on an ellipsoid.
        """
        first, second = feet.points_m[pairs[:, 0]], feet.points_m[pairs[:, 1]]
        share = np.linspace(0, 1, 33)[:, None, None]
        chord = (first * (1 - share) + second * share).reshape(-1, 3)
        skin = self.closest_m(chord)
        path = (skin + stand_off_m * self.normal(skin)).reshape(33, -1, 3)
        step = np.linalg.norm(np.diff(path, axis=0), axis=2)
        # A chord of a circle of radius r is 2 r sin(s / 2r) long; r is taken from the turn of the normal.
        normal = self.normal(skin).reshape(33, -1, 3)
        half_turn = np.arcsin(np.clip(np.linalg.norm(np.diff(normal, axis=0), axis=2) / 2, 0, 1))
        return np.asarray(np.sum(step / np.sinc(half_turn / np.pi), axis=0))

    def _feet(self, points_m: Real) -> Feet:
        normal = self.normal(points_m)
        along, across = frames(normal)
        return Feet(points_m=points_m, along=along, across=across, normal=normal)

    def _follow(self, points_m: Real, heading: Real, length_m: Real, stand_off_m: Real) -> tuple[Real, Real]:
        """Skin points and headings at the end of shortest lines of the offset surface.

        One step goes straight ahead, then down to the surface; the straight piece is r tan(h / r) for a step h where
        the surface bends with radius r, which makes it exact on a sphere.
        """
        steps = self.steps
        skin, step = points_m, length_m / steps
        for _ in range(steps):
            bend = self.bend_m(skin, heading) + stand_off_m
            ahead = skin + stand_off_m[:, None] * self.normal(skin)
            ahead = ahead + (bend * np.tan(step / bend))[:, None] * heading
            skin = self.closest_m(ahead)
            normal = self.normal(skin)
            heading = unit(heading - np.sum(heading * normal, axis=1, keepdims=True) * normal)
        return skin, heading


@dataclass(frozen=True, slots=True, kw_only=True)
class EllipsoidSkin(_Curved):
    """The skin of a sphere or an ellipsoid about the origin."""

    semi_axes_m: tuple[float, float, float]

    @property
    def steps(self) -> int:
        """Steps along one shortest line."""
        return _STEPS_ON_SPHERE if np.ptp(self.semi_axes_m) == 0 else _STEPS

    def feet_towards(self, directions: Real) -> Feet:
        """Feet where rays along these directions (n, 3) leave the body."""
        a = np.asarray(self.semi_axes_m)
        return self._feet(directions / np.linalg.norm(directions / a, axis=1, keepdims=True))

    def closest_m(self, points_m: Real) -> Real:
        """Points of the skin closest to points (n, 3). [m]"""
        return closest_on_ellipsoid_m(points_m, self.semi_axes_m)

    def normal(self, skin_m: Real) -> Real:
        """Outward unit normals at points of the skin (n, 3) [m]."""
        return unit(skin_m / np.square(self.semi_axes_m))

    def bend_m(self, skin_m: Real, heading: Real) -> Real:
        """Radius with which the skin bends at points (n, 3) along unit tangents (n, 3); shape (n,). [m]"""
        a2 = np.square(self.semi_axes_m)
        return np.asarray(np.linalg.norm(skin_m / a2, axis=1) / np.sum(heading**2 / a2, axis=1))


@dataclass(frozen=True, slots=True, kw_only=True)
class DomeSkin(_Curved):
    """The skin of half an ellipsoid about the origin, and of the column below it as far as ``height_m``."""

    semi_axes_m: tuple[float, float, float]
    height_m: float

    @property
    def steps(self) -> int:
        """Steps along one shortest line."""
        return _STEPS

    def feet_towards(self, directions: Real) -> Feet:
        """Feet where rays from the origin along these directions (n, 3) leave the cap or the side of the column."""
        points = directions / np.maximum(np.linalg.norm(self._flattened(directions), axis=1, keepdims=True), 1e-12)
        if np.any(points[:, 2] < -self.height_m):
            raise OutsideModelError(
                "facing points below the chin of the head, or the bottom of the bottle, where no element lies."
            )
        return self._feet(points)

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:
        """Feet at flat positions (n, 2) [m] drawn about one foot, with the frame carried along the way."""
        feet = _Curved.walked(self, foot, flat_m, stand_off_m=stand_off_m)
        lowest = -float(feet.points_m[:, 2].min())
        if lowest > self.height_m:
            raise OutsideModelError(
                f"the middle of an element would lie {lowest * 1e3:.0f} mm below the circumference of the head, where "
                f"its chin is {self.height_m * 1e3:.0f} mm below; of a bottle, below the shoulders, where its bottom "
                "is. Use fewer rows, or turn the patch upwards."
            )
        return feet

    def closest_m(self, points_m: Real) -> Real:
        """Points of the skin closest to points (n, 3). [m]"""
        up = points_m[:, 2] > 0
        closest = np.array(points_m)
        closest[up] = closest_on_ellipsoid_m(points_m[up], self.semi_axes_m)
        closest[~up, :2] = closest_on_ellipsoid_m(points_m[~up, :2], self.semi_axes_m[:2])
        return closest

    def normal(self, skin_m: Real) -> Real:
        """Outward unit normals at points of the skin (n, 3) [m]."""
        return unit(self._flattened(skin_m) / self.semi_axes_m)

    def bend_m(self, skin_m: Real, heading: Real) -> Real:
        """Radius with which the skin bends at points (n, 3) along unit tangents (n, 3); shape (n,). [m]"""
        a = np.array(self.semi_axes_m)
        turning = heading / np.where(skin_m[:, 2:] > 0, a, [a[0], a[1], np.inf])
        slope = np.linalg.norm(self._flattened(skin_m) / a, axis=1)
        return np.asarray(slope / np.maximum(np.sum(turning**2, axis=1), slope / _FLAT_M))

    def _flattened(self, points_m: Real) -> Real:
        """Coordinates over half-axes; along z none below the cap, where the column goes straight down."""
        return np.maximum(points_m, [-np.inf, -np.inf, 0.0]) / self.semi_axes_m


def one_for_each(flat_m: Real, feet: Feet) -> Real:
    """Outlines (elements, n, 2) [m] from one for all or one for each. [m]"""
    return np.broadcast_to(flat_m, (len(feet.points_m), *flat_m.shape[-2:]))


def unit(vectors: Real) -> Real:
    """Vectors (..., 3) over their length."""
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))
