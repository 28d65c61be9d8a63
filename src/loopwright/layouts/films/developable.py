"""A developable skin: plane strips joined along straight rulings, as a taut film lies round a body.

At a distance from it each strip stays a strip and each ruling becomes a part of a round cylinder, so the surface there
unrolls into the plane without any strain.  Parallel rulings make a cylinder of any profile, rulings through one tip a
cone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.curved import Feet, frames, one_for_each, turned_foot, unit

__all__ = ["FilmSkin"]

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: A film goes no further than this share of the way from the reference plane to the tip of its cone: a quarter of the
#: radius is left there, and the radius goes to nothing with the way.
_SHORT_OF_TIP = 0.75


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmSkin:
    """A convex hull of ``n`` rulings; seen against ``upwards`` they follow one another against the clock.

    ``rulings_m`` (n, 3) is a point on each [m], all in one plane; ``upwards`` (n, 3) its unit direction; ``tip_m`` (n,)
    how far along it the tip lies [m], negative below, infinite for a cylinder; ``middle_m`` (3,) a point inside [m].
    ``origin`` is the foot of a pattern's origin, with its axes, once a pattern is laid on it.
    """

    rulings_m: Real
    upwards: Real
    tip_m: Real
    middle_m: Real
    origin: Feet | None = None

    @property
    def wrapping(self) -> str:
        """How an outline comes to lie, in one sentence."""
        form = "cylinder" if self.is_cylinder else "cone"
        return f"Elements are drawn flat and laid without stretch on a taut film, a {form} of convex profile."

    @property
    def is_cylinder(self) -> bool:
        """Whether all rulings are parallel."""
        return bool(np.all(np.isinf(self.tip_m)))

    def circumference_m(self, *, stand_off_m: float) -> float:
        """Way once round at this stand-off, square to the rulings of a cylinder [m]. [m]

        Raises
        ------
        OutsideModelError
            If it is a cone, which has no one circumference.
        """
        if not self.is_cylinder:
            raise OutsideModelError("a cone has no one circumference.")
        return float(self._unrolled(stand_off_m).starts_m[2 * len(self.rulings_m), 0])

    def feet_towards(self, directions: Real) -> Feet:
        """Feet where rays from the middle along these directions (n, 3) leave the hull."""
        normals = self._faces()[1]
        towards = directions @ normals.T
        with np.errstate(divide="ignore"):
            way = np.where(towards > 0, np.sum((self.rulings_m - self.middle_m) * normals, axis=1) / towards, np.inf)
        if np.any(np.isinf(way.min(axis=1))):
            raise OutsideModelError("facing points along the rulings of the film, where it is open.")
        face = np.argmin(way, axis=1)
        points = self.middle_m + way[np.arange(len(face)), face][:, None] * directions
        return self._feet(points, normals[face])

    def foot_over(self, point_m: Real, *, turned_rad: float = 0.0) -> Feet:
        """The foot over a point inside or on the hull (3,) [m], its axes turned against the clock. [rad]"""
        normals = self._faces()[1]
        heights = np.sum((point_m - self.rulings_m) * normals, axis=1)
        face = int(np.argmax(heights))
        return turned_foot(self._feet((point_m - heights[face] * normals[face])[None], normals[[face]]), turned_rad)

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:
        """Feet at flat positions (n, 2) [m] drawn about one foot at this stand-off [m], with its axes carried along."""
        return self._laid(foot, flat_m, stand_off_m)

    def wrapped_m(self, feet: Feet, flat_m: Real, *, stand_off_m: Real) -> Real:
        """Outlines laid about every foot at its stand-off (elements,) [m]; shape (elements, n, 3). [m]

        ``flat_m`` is one outline (n, 2) for all, or one for each (elements, n, 2). [m]
        """
        placed = []
        for k, flat in enumerate(one_for_each(flat_m, feet)):
            laid = self._laid(_one_of(feet, k), flat, float(stand_off_m[k]))
            placed.append(laid.points_m + stand_off_m[k] * laid.normal)
        return np.stack(placed)

    def distances_m(self, feet: Feet, pairs: Integers, *, stand_off_m: float) -> Real:
        """Distances between the centres of pairs (n, 2) on the developed surface at this stand-off [m]; (n,). [m]"""
        unrolled = self._unrolled(stand_off_m)
        spots = [self._spot(unrolled, _one_of(feet, k), stand_off_m) for k in range(len(feet.points_m))]
        flat = np.array(
            [[unrolled.flat_m(spot.piece + turn, spot.local_m) for turn in unrolled.turns] for spot in spots]
        )
        apart = np.linalg.norm(flat[pairs[:, 1]] - flat[pairs[:, 0], 1][:, None], axis=2)
        return np.asarray(apart.min(axis=1))

    def _feet(self, points_m: Real, normal: Real) -> Feet:
        along, across = frames(normal)
        return Feet(points_m=points_m, along=along, across=across, normal=normal)

    def _faces(self) -> tuple[Real, Real, Real]:
        """Directions in each plane strip away from its ruling, normals, and ways to the next ruling, all (n, 3)."""
        way = np.roll(self.rulings_m, -1, axis=0) - self.rulings_m
        away = unit(way - np.sum(way * self.upwards, axis=1, keepdims=True) * self.upwards)
        return away, np.cross(away, self.upwards), way

    def _turns_rad(self, normals: Real) -> Real:
        """By how much the normal turns at each ruling (n,)."""
        before = np.roll(normals, 1, axis=0)
        sine = np.sum(np.cross(before, normals) * self.upwards, axis=1)
        return np.asarray(np.maximum(np.arctan2(sine, np.sum(before * normals, axis=1)), 0.0))

    def _unrolled(self, stand_off_m: float) -> "_Unrolled":
        """Rulings in the plane, three times round: the part of a cylinder over each, then the strip behind it."""
        away, normals, way = self._faces()
        after = np.roll(self.upwards, -1, axis=0)
        opening = np.arctan2(np.sum(after * away, axis=1), np.sum(after * self.upwards, axis=1))
        n = len(way)
        steps = np.zeros((2 * n, 2))
        steps[::2, 0] = stand_off_m * self._turns_rad(normals)
        steps[1::2] = np.stack([np.sum(way * away, axis=1), np.sum(way * self.upwards, axis=1)], axis=1)
        steps, turned = np.tile(steps, (3, 1)), np.tile(np.stack([np.zeros(n), opening], axis=1).ravel(), 3)
        heading = np.concatenate([[0.0], np.cumsum(turned)[:-1]])
        right = np.stack([np.cos(heading), -np.sin(heading)], axis=1)
        up = np.stack([np.sin(heading), np.cos(heading)], axis=1)
        ends = np.cumsum(steps[:, :1] * right + steps[:, 1:] * up, axis=0)
        return _Unrolled(starts_m=np.concatenate([np.zeros((1, 2)), ends[:-1]]), right=right, up=up)

    def _spot(self, unrolled: "_Unrolled", foot: Feet, stand_off_m: float) -> "_Spot":
        """Where one foot lies on the unrolled hull: its piece in the middle round, and its place within it."""
        away, normals, _ = self._faces()
        point, normal = foot.points_m[0], foot.normal[0]
        below = np.sum((point - self.rulings_m) * normals, axis=1)
        size = float(np.ptp(self.rulings_m, axis=0).max())
        near = np.flatnonzero(below > below.max() - 1e-9 * size)
        face = int(near[np.argmax(normals[near] @ normal)])
        if normals[face] @ normal > 1 - 1e-12:
            way = point - self.rulings_m[face]
            local = np.array([way @ away[face], way @ self.upwards[face]])
            return _Spot(piece=2 * face + 1 + unrolled.turns[2], local_m=local, away=away[face], up=self.upwards[face])
        ways = point - self.rulings_m
        along = np.sum(ways * self.upwards, axis=1)
        ruling = int(np.argmin(np.linalg.norm(ways - along[:, None] * self.upwards, axis=1)))
        up, before = self.upwards[ruling], normals[ruling - 1]
        angle = np.arctan2(np.cross(before, normal) @ up, before @ normal)
        local = np.array([stand_off_m * angle, along[ruling]])
        return _Spot(piece=2 * ruling + unrolled.turns[2], local_m=local, away=np.cross(up, normal), up=up)

    def _laid(self, foot: Feet, flat_m: Real, stand_off_m: float) -> Feet:
        unrolled = self._unrolled(stand_off_m)
        spot = self._spot(unrolled, foot, stand_off_m)
        axes = np.stack([foot.along[0], foot.across[0]])
        drawn = (
            axes
            @ np.stack([spot.away, spot.up], axis=1)
            @ np.stack([unrolled.right[spot.piece], unrolled.up[spot.piece]])
        )
        places = unrolled.flat_m(spot.piece, spot.local_m) + flat_m @ drawn
        piece, local = unrolled.pieces(spot.piece, places)
        points, normal, away = self._lifted(piece, local, stand_off_m)
        up = self.upwards[(piece // 2) % len(self.upwards)]
        right, upright = unrolled.right[piece], unrolled.up[piece]
        along = (right @ drawn[0])[:, None] * away + (upright @ drawn[0])[:, None] * up
        return Feet(points_m=points, along=along, across=np.cross(normal, along), normal=normal)

    def _lifted(self, piece: Integers, local_m: Real, stand_off_m: float) -> tuple[Real, Real, Real]:
        """Points of the hull, normals and directions away from the ruling, each (n, 3)."""
        away, normals, _ = self._faces()
        ruling = (piece // 2) % len(self.rulings_m)
        up, over = self.upwards[ruling], (piece % 2 == 0)[:, None]
        tip = self.tip_m[ruling]
        if np.any(np.where(tip > 0, local_m[:, 1] > _SHORT_OF_TIP * tip, local_m[:, 1] < _SHORT_OF_TIP * tip)):
            raise OutsideModelError("the film would reach over the tip of its cone. Use a smaller film, or a cylinder.")
        angle = local_m[:, :1] / stand_off_m if stand_off_m > 0 else np.zeros((len(piece), 1))
        before = normals[ruling - 1]
        round_it = np.cos(angle) * before + np.sin(angle) * np.cross(up, before)
        normal = np.where(over, round_it, normals[ruling])
        points = self.rulings_m[ruling] + local_m[:, 1:] * up + np.where(over, 0.0, local_m[:, :1]) * away[ruling]
        return points, normal, np.cross(up, normal)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Spot:
    """A foot on the unrolled hull, and the directions there in space that lie to the right and upwards in it."""

    piece: int
    local_m: Real
    away: Real
    up: Real


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Unrolled:
    """Where every piece starts in the plane, and its directions to the right and upwards, all (pieces, 2)."""

    starts_m: Real
    right: Real
    up: Real

    @property
    def turns(self) -> tuple[int, int, int]:
        """Pieces to the round before, to the same, and to the round behind."""
        once = len(self.starts_m) // 3
        return -once, 0, once

    def flat_m(self, piece: int, local_m: Real) -> Real:
        """Place in the plane (2,) of a place within a piece (2,) [m]. [m]"""
        return np.asarray(self.starts_m[piece] + local_m[0] * self.right[piece] + local_m[1] * self.up[piece])

    def pieces(self, foot: int, places_m: Real) -> tuple[Integers, Real]:
        """Pieces in which places (n, 2) [m] lie that are drawn about a foot's piece, and the places within them."""
        beyond = places_m @ self.right.T > np.sum(self.starts_m * self.right, axis=1)
        ahead = np.logical_and.accumulate(beyond[:, foot:], axis=1).sum(axis=1)
        behind = np.logical_and.accumulate(~beyond[:, foot::-1], axis=1).sum(axis=1)
        piece = foot + np.where(ahead > 0, ahead - 1, -behind)
        if np.any(piece < 0) or np.any(piece >= len(self.starts_m) - 1) or np.ptp(piece) > self.turns[2]:
            raise OutsideModelError("the film is drawn more than once round its hull.")
        away = places_m - self.starts_m[piece]
        return piece, np.stack(
            [np.sum(away * self.right[piece], axis=1), np.sum(away * self.up[piece], axis=1)], axis=1
        )


def _one_of(feet: Feet, k: int) -> Feet:
    return Feet(points_m=feet.points_m[[k]], along=feet.along[[k]], across=feet.across[[k]], normal=feet.normal[[k]])
