"""Surfaces that a whole span covers without rows: how their elements are spread, moved and bordered."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from loopwright.brief.records import CoverRequest, TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.cells import Cells, barest_m, cells_of, circumradius_m
from loopwright.layouts.curved import EllipsoidSkin, Feet, frames
from loopwright.layouts.layout import Element
from loopwright.layouts.mesh_skin import MeshSkin
from loopwright.layouts.skins import Skin
from loopwright.layouts.spreads import spread_directions

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Rounds in which every centre moves to the middle of its cell.
_ROUNDS = 120
#: Elements reach past the border of what their cells cover: by this share of the distance of centres at a cut.
_PAST = 0.35
#: Least number of pieces of the surface for each element, so that cells have middles.
_LEAST_PIECES = 12
#: Weight on moves over the size on a surface with a border: a move by a tenth counts as a coefficient of 0.002.
_HOLDING = 0.02
#: Cells that touch only at a corner of the free border are no neighbours: further apart than so many mean distances.
_FURTHEST = 1.6


class CoverGround(Protocol):
    """What a search on a surface covered without rows has to know of it."""

    @property
    def holding(self) -> float:
        """Weight that holds elements at their start, over a coupling coefficient for a move by the size."""

    def past_m(self, outlines_m: Real) -> Real:
        """How far outlines (elements, n, 3) [m] reach past where the body is cut; (elements,), or (0,) if uncut. [m]"""

    def even(self, count: int) -> Feet:
        """Feet spread evenly, always the same."""

    def scattered(self, count: int, rng: np.random.Generator) -> Feet:
        """Feet from a random start, relaxed."""

    def stepped(self, feet: Feet, step_m: Real) -> Feet:
        """Feet after small steps (elements, 2) [m] along and across."""

    def under(self, elements: Sequence[Element]) -> Feet:
        """Feet of elements that were laid on it before."""

    def cells(self, feet: Feet) -> Cells:
        """Which elements border on each other."""

    def barest_m(self, points_m: Real, triangles: Integers) -> Real:
        """Way from the middle of each triangle of centres (elements, 3) [m] to its corners; (triangles,). [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedGround:
    """A whole ellipsoid."""

    skin: EllipsoidSkin

    @property
    def holding(self) -> float:
        """None: elements hold one another."""
        return 0.0

    def past_m(self, outlines_m: Real) -> Real:  # noqa: ARG002 - nothing is cut
        """No outline (elements, n, 3) [m] reaches past a cut; shape (0,). [m]"""
        return np.zeros(0)

    def even(self, count: int) -> Feet:
        """Feet spread evenly, always the same."""
        return self.skin.feet_towards(spread_directions(count, semi_axes_m=self.skin.semi_axes_m))

    def scattered(self, count: int, rng: np.random.Generator) -> Feet:
        """Feet from a random start, relaxed."""
        start = random_directions(count, rng)
        return self.skin.feet_towards(spread_directions(count, semi_axes_m=self.skin.semi_axes_m, start=start))

    def stepped(self, feet: Feet, step_m: Real) -> Feet:
        """Feet after small steps (elements, 2) [m] along and across."""
        return self.skin.feet_towards(feet.points_m + step_m[:, :1] * feet.along + step_m[:, 1:] * feet.across)

    def under(self, elements: Sequence[Element]) -> Feet:
        """Feet of elements that were laid on it before: a point of the ellipsoid is along a^2 n."""
        normals = np.array([element.normal for element in elements])
        return self.skin.feet_towards(normals * np.square(self.skin.semi_axes_m))

    def cells(self, feet: Feet) -> Cells:
        """Which elements border on each other."""
        return cells_of(feet)

    def barest_m(self, points_m: Real, triangles: Integers) -> Real:
        """Way from the middle of each triangle of centres (elements, 3) [m] to its corners; (triangles,). [m]"""
        return barest_m(points_m, triangles)


class Pieces(NamedTuple):
    """Pieces of a surface: middles (pieces, 3) [m], areas (pieces,) [m^2], and pairs of pieces that share an edge."""

    middles_m: Real
    areas_m2: Real
    joined: Integers


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeshGround:
    """The part of a surface of triangles that a cover is asked for, in pieces at the stand-off."""

    skin: MeshSkin
    stand_off_m: float
    facing: tuple[float, float, float]
    pieces: Pieces

    @property
    def holding(self) -> float:
        """A little: past a free border nothing keeps elements from sliding away, all growing."""
        return _HOLDING

    def past_m(self, outlines_m: Real) -> Real:
        """How far outlines (elements, n, 3) [m] reach past where the body is cut; (elements,). [m]"""
        return np.maximum(0, self.skin.past_cuts_m(outlines_m).max(axis=1))

    def even(self, count: int) -> Feet:
        """Feet spread evenly, always the same: each in turn furthest from those before, then relaxed."""
        points = self.pieces.middles_m
        chosen = [int(np.argmax(points @ np.asarray(self.facing)))]
        away = np.linalg.norm(points - points[chosen[0]], axis=1)
        while len(chosen) < count:
            chosen.append(int(np.argmax(away)))
            away = np.minimum(away, np.linalg.norm(points - points[chosen[-1]], axis=1))
        return self._relaxed(points[chosen])

    def scattered(self, count: int, rng: np.random.Generator) -> Feet:
        """Feet from a random start, relaxed."""
        share = self.pieces.areas_m2 / self.pieces.areas_m2.sum()
        return self._relaxed(self.pieces.middles_m[rng.choice(len(share), size=count, replace=False, p=share)])

    def stepped(self, feet: Feet, step_m: Real) -> Feet:
        """Feet after small steps (elements, 2) [m] along and across."""
        return self.skin.stepped(feet, step_m, stand_off_m=self.stand_off_m)

    def under(self, elements: Sequence[Element]) -> Feet:
        """Feet of elements that were laid on it before."""
        return self._under(np.array([element.centre_m for element in elements]))

    def cells(self, feet: Feet) -> Cells:
        """Which elements border on each other: those whose cells share an edge, and three that meet."""
        centres = feet.points_m + self.stand_off_m * feet.normal
        owner = cKDTree(centres).query(self.pieces.middles_m)[1]
        meeting = np.sort(owner[self.pieces.joined], axis=1)
        edges = np.unique(meeting[meeting[:, 0] != meeting[:, 1]], axis=0)
        apart = np.linalg.norm(centres[edges[:, 0]] - centres[edges[:, 1]], axis=1)
        nearest = cKDTree(centres).query(centres, k=2)[0][:, 1].mean()
        kept = {(int(i), int(j)) for i, j in edges[apart < _FURTHEST * nearest]}
        beyond = {(i, j): {k for k in range(len(centres)) if (i, k) in kept and (j, k) in kept} for i, j in kept}
        triangles = [(i, j, k) for (i, j), third in sorted(beyond.items()) for k in sorted(third) if k > j]
        return Cells(pairs=tuple(sorted(kept)), triangles=np.array(triangles, dtype=np.int64).reshape(-1, 3))

    def barest_m(self, points_m: Real, triangles: Integers) -> Real:
        """Way from the middle of each triangle of centres (elements, 3) [m] to its corners; (triangles,). [m]"""
        return circumradius_m(points_m, triangles)

    def _relaxed(self, centres_m: Real) -> Feet:
        """Every centre moved to the middle of its cell of the surface, again and again (Lloyd)."""
        points, areas = self.pieces.middles_m, self.pieces.areas_m2
        for _ in range(_ROUNDS):
            owner = cKDTree(centres_m).query(points)[1]
            share = np.bincount(owner, weights=areas, minlength=len(centres_m))
            middle = [np.bincount(owner, weights=areas * points[:, axis], minlength=len(share)) for axis in range(3)]
            centres_m, _ = self.skin.landed(np.stack(middle, axis=1) / share[:, None], level_m=self.stand_off_m)
        return self._under(centres_m)

    def _under(self, centres_m: Real) -> Feet:
        centres_m, normal = self.skin.landed(centres_m, level_m=self.stand_off_m)
        along, across = frames(normal)
        return Feet(points_m=centres_m - self.stand_off_m * normal, along=along, across=across, normal=normal)


def cover_ground(skin: Skin, request: TilingRequest) -> CoverGround | None:
    """What a whole span covers without rows on this skin; None where it goes round in rows.

    Raises
    ------
    OutsideModelError
        If nothing, or too little, is left to cover.
    """
    match skin:
        case EllipsoidSkin():
            return ClosedGround(skin=skin)
        case MeshSkin():
            return MeshGround(
                skin=skin,
                stand_off_m=request.stand_off_m,
                facing=request.facing,
                pieces=_pieces(skin, request),
            )
        case _:
            return None


def _pieces(skin: MeshSkin, request: TilingRequest) -> Pieces:
    """Triangles of the carrier at the stand-off whose middles lie where centres of elements may."""
    surface = skin.carrier_surface(stand_off_m=request.stand_off_m)
    middles, areas = surface.corners_m.mean(axis=1), np.linalg.norm(surface.area_vectors_m2, axis=1)
    inside = skin.between_cuts(middles, inset_m=0.0)
    inset = _PAST * np.sqrt(areas[inside].sum() / request.count)
    inside = skin.between_cuts(middles, inset_m=float(inset))
    if request.cover is not None:
        inside &= _asked(skin, request.cover, middles, request.stand_off_m)
    if inside.sum() < _LEAST_PIECES * request.count:
        raise OutsideModelError(
            f"{areas[inside].sum() * 1e4:.0f} cm^2 of the surface are left for {request.count} elements, which is too "
            "little. Ask for fewer elements, or cover more of the body."
        )
    number = np.cumsum(inside) - 1
    joined = _joined(surface.triangles)
    joined = joined[inside[joined].all(axis=1)]
    return Pieces(middles_m=middles[inside], areas_m2=areas[inside], joined=number[joined])


def _asked(skin: MeshSkin, cover: CoverRequest, points_m: Real, stand_off_m: float) -> NDArray[np.bool_]:
    """Whether points (n, 3) [m] lie between the planes and in none of the free parts; (n,)."""
    front, back = points_m[:, 1].min() + stand_off_m, points_m[:, 1].max() - stand_off_m
    share = (points_m[:, 1] - front) / (back - front)
    inside = np.ones(len(points_m), dtype=bool)
    for heights, sign in ((cover.lowest_m, 1), (cover.highest_m, -1)):
        if heights is not None:
            inside &= sign * (points_m[:, 2] - heights[0] - (heights[1] - heights[0]) * share) >= 0
    for opening in cover.free:
        middle = skin.feet_towards(np.array([opening.towards]))
        centre = middle.points_m + stand_off_m * middle.normal
        inside &= np.linalg.norm(points_m - centre, axis=1) > opening.radius_m
    return inside


def _joined(triangles: Integers) -> Integers:
    """Pairs of triangles that share an edge, shape (pairs, 2)."""
    edges = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    order = np.lexsort(edges.T)
    same = (edges[order][1:] == edges[order][:-1]).all(axis=1)
    return np.asarray(np.stack([order[:-1][same], order[1:][same]], axis=1) % len(triangles))


def random_directions(count: int, rng: np.random.Generator) -> Real:
    """Unit vectors (count, 3), all directions equally likely."""
    points = rng.normal(size=(count, 3))
    return np.asarray(points / np.linalg.norm(points, axis=1, keepdims=True))
