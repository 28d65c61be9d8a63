"""The hull of a body on which a taut film lies: the convex hull of the body's profile along the rulings.

The body's part within the film's reach is projected along parallel rulings, or through the tip of a cone; the hull of
the picture is the profile.  So the film touches the highest places, bridges hollows, and nowhere enters the body.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.curved import unit
from loopwright.layouts.films.developable import FilmSkin

__all__ = ["Rulings", "taut_over"]

Real = NDArray[np.float64]

#: Corners of a profile closer than this are one. [m]
_SAME_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Rulings:
    """The straight lines of a hull, by the one through a point of the body.

    ``upwards`` is its unit direction (3,); ``narrowing_per_m`` one over the way from there to the tip, negative where
    the tip is below, zero for parallel rulings. [1/m]
    """

    through_m: Real
    upwards: Real
    narrowing_per_m: float


def taut_over(surface: Surface, rulings: Rulings, *, reach_m: tuple[float, float]) -> FilmSkin:
    """Hull that carries a film over a body.

    Parameters
    ----------
    surface : Surface
        The body.
    rulings : Rulings
        Where the straight lines of the film run.
    reach_m : tuple of float
        From where to where along the rulings the film reaches, from the point that they are told through. [m]

    Returns
    -------
    FilmSkin

    Raises
    ------
    OutsideModelError
        If the body or the film comes too close to the tip of the cone, or there is no body within the reach.

    Notes
    -----
    Of a body that the reach cuts into several parts, as a chest with arms held away, the part at the point counts.
    The whole profile is taken round, also where the film does not go: a hollow is bridged even where the film ends
    within it.
    """
    points = _within_reach_m(surface, rulings, reach_m)
    first, second = _across(rulings.upwards)
    away = points - rulings.through_m
    heights = away @ rulings.upwards
    left = 1 - rulings.narrowing_per_m * heights
    if left.min() < 0.1:
        raise OutsideModelError("the body within the film's reach comes too close to the tip of the cone.")
    picture = np.stack([away @ first, away @ second], axis=1) / left[:, None]
    corners = _hull_m(picture)
    offset = corners[:, :1] * first + corners[:, 1:] * second
    upwards = rulings.upwards - rulings.narrowing_per_m * offset
    tip = np.full(len(corners), np.inf)
    if rulings.narrowing_per_m:
        tip = np.linalg.norm(upwards, axis=1) / rulings.narrowing_per_m
    middle = rulings.through_m + offset.mean(axis=0)
    return FilmSkin(rulings_m=rulings.through_m + offset, upwards=unit(upwards), tip_m=tip, middle_m=middle)


def _within_reach_m(surface: Surface, rulings: Rulings, reach_m: tuple[float, float]) -> Real:
    """Corners of the body between two planes across the rulings, in one piece with the closest to the given point."""
    low, high = reach_m
    heights = (surface.vertices_m - rulings.through_m) @ rulings.upwards
    of_corner = heights[surface.triangles]
    taken = surface.triangles[(of_corner.max(axis=1) > low) & (of_corner.min(axis=1) < high)]
    if not len(taken):
        raise OutsideModelError("there is no body within the film's reach.")
    taken = _in_one_piece(taken, surface.vertices_m, rulings.through_m)
    edges = np.concatenate([taken[:, [0, 1]], taken[:, [1, 2]], taken[:, [2, 0]]])
    edges = edges[edges[:, 0] < edges[:, 1]]
    points = [surface.vertices_m[[v for v in np.unique(taken) if low <= heights[v] <= high]]]
    for level in reach_m:
        start, end = edges[:, 0], edges[:, 1]
        cut = (heights[start] - level) * (heights[end] - level) < 0
        start, end = start[cut], end[cut]
        share = ((level - heights[start]) / (heights[end] - heights[start]))[:, None]
        points.append(surface.vertices_m[start] * (1 - share) + surface.vertices_m[end] * share)
    return np.concatenate(points)


def _in_one_piece(triangles: NDArray[np.int64], vertices_m: Real, at_m: Real) -> NDArray[np.int64]:
    first, second = triangles[:, [0, 1]].ravel(), triangles[:, [1, 2]].ravel()
    links = coo_matrix((np.ones(len(first)), (first, second)), shape=(len(vertices_m),) * 2)
    piece = connected_components(links, directed=False)[1][triangles[:, 0]]
    middles = vertices_m[triangles].mean(axis=1)
    return triangles[piece == piece[np.argmin(np.linalg.norm(middles - at_m, axis=1))]]


def _across(direction: Real) -> tuple[Real, Real]:
    """Two unit vectors that make a right-handed frame with this one."""
    first = np.linalg.svd(direction[None])[2][1]
    return first, np.cross(direction, first)


def _hull_m(picture_m: Real) -> Real:
    """Corners of the convex hull of plane points, against the clock, none closer than a micrometre to the next."""
    corners = picture_m[ConvexHull(picture_m).vertices]
    kept = [corners[0]]
    for corner in corners[1:]:
        if np.linalg.norm(corner - kept[-1]) > _SAME_M and np.linalg.norm(corner - kept[0]) > _SAME_M:
            kept.append(corner)
    return np.array(kept)
