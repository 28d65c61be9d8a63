"""How close the conductors of an array, as draped, come to the surface of the patient."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element
from loopwright.limits.assessing import assess
from loopwright.limits.limit import Assessment
from loopwright.limits.limit_set import LimitName, LimitSet

__all__ = ["Spacing", "assess_spacing", "least_spacing"]

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

#: Places along a segment between which no point is closer to the skin than told by more than this. [m]
MISSED_M = 100e-6
#: Longest piece that is looked at first, and shortest that is cut. [m]
_FIRST_M, _SHORTEST_M = 2e-3, 10e-6
#: Pieces whose ends are closest are searched for the place between; each search closes in by this factor a step.
_POLISHED, _STEPS, _GOLDEN = 16, 32, (5**0.5 - 1) / 2

_LIMITS = (
    (
        "Of the conductor of the elements alone, its centre-line less half of its height: a strip lies along the skin, "
        "so its edges count as far from it as its middle, and over a hollow they come closer."
    ),
    "Boards, traps, joints and cables have no place in the layout: their distance is not known.",
    "As draped, before anybody presses on it: padding that is pressed leaves less.",
)


class Skin(Protocol):
    """What has an outer surface."""

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the surface, positive inside; shape (n,). [m]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spacing:
    """Least distance from a conductor to the skin, and where.

    Attributes
    ----------
    distance_m : float
        Negative where the conductor enters the body. [m]
    element : str
        Name of the element that comes closest; the first of those that are equally close.
    place_m : tuple of 3 floats
        Point of its centre-line in the body frame. [m]
    each_m : ndarray, shape (E,)
        Least distance of every element. [m]
    missed_m : float
        No point between those that were looked at is closer than told by more than this. [m]
    limits : tuple of str
        What is not in the number.
    """

    distance_m: float
    element: str
    place_m: Triple
    each_m: Real
    missed_m: float
    limits: tuple[str, ...] = _LIMITS


def least_spacing(elements: Iterable[Element], skin: Skin, *, half_height_m: float) -> Spacing:
    """Least distance from the conductor of an array to a body.

    Parameters
    ----------
    elements : iterable of Element
        As draped: closed polygons of straight segments, all of whose points count and not their corners alone.
    skin : Skin
        The body, whole or a surface of it. Where its depth outside is a lower bound, so is the distance: that of an
        ellipsoid, a block and an uncut surface of triangles is exact, and so is that beside the side of a column.
    half_height_m : float
        From the centre-line of the conductor to its own surface towards the skin: half the thickness of a strip, half
        the diameter of a wire. [m]

    Returns
    -------
    Spacing

    Raises
    ------
    OutsideModelError
        If there are no elements, or the height is negative.

    Notes
    -----
    Along a line a distance changes by no more than the way, so a piece of length h between ends at d1 and d2 has no
    point closer than (d1 + d2 - h) / 2. Pieces that could hold a closer point than the closest known one, by more than
    ``missed_m``, are halved. The closest are then searched by golden section, which is exact where the distance has one
    least value on them, as it has beside a convex body.
    """
    several = tuple(elements)
    if not several or half_height_m < 0:
        raise OutsideModelError("a spacing needs an element, and a conductor whose height is not negative")
    found = [_closest(element.vertices_m, skin) for element in several]
    each_m = np.array([distance_m for distance_m, _ in found]) - half_height_m
    at = int(np.argmin(each_m))
    x, y, z = found[at][1].tolist()
    return Spacing(
        distance_m=float(each_m[at]), element=several[at].name, place_m=(x, y, z), each_m=each_m, missed_m=MISSED_M
    )


def assess_spacing(spacing: Spacing, limits: LimitSet) -> Assessment:
    """Hold the least distance against its limit, in the millimetres of the packaged one; ``missed_m`` is uncertain."""
    x, y, z = (round(coordinate * 1e3) + 0 for coordinate in spacing.place_m)
    return assess(
        limits.named(LimitName.SPACING),
        spacing.distance_m * 1e3,
        uncertainty=spacing.missed_m * 1e3,
        why=f"element {spacing.element} near x {x} mm, y {y} mm, z {z} mm, as drawn; laying by hand is not in it",
    )


def _closest(vertices_m: Real, skin: Skin) -> tuple[float, Real]:
    """Least distance of a closed polygon (n, 3) [m], and the place. [m]"""
    starts, ends = _pieces(vertices_m)
    first, second = -skin.depth_m(starts), -skin.depth_m(ends)
    best_m = min(first.min(), second.min())
    done: list[tuple[Real, Real, Real]] = []
    while len(starts):
        length = np.linalg.norm(ends - starts, axis=1)
        wanted = ((first + second - length) / 2 < best_m - MISSED_M) & (length > _SHORTEST_M)
        done.append((starts[~wanted], ends[~wanted], np.minimum(first, second)[~wanted]))
        starts, ends, first, second = starts[wanted], ends[wanted], first[wanted], second[wanted]
        middles = (starts + ends) / 2
        between = -skin.depth_m(middles) if len(middles) else first
        best_m = min(best_m, between.min(initial=np.inf))
        starts, ends = np.vstack([starts, middles]), np.vstack([middles, ends])
        first, second = np.concatenate([first, between]), np.concatenate([between, second])
    a, b, near = (np.concatenate(parts) for parts in zip(*done, strict=True))
    kept = np.argsort(near, kind="stable")[:_POLISHED]
    return _polished(a[kept], b[kept], skin)


def _pieces(vertices_m: Real) -> tuple[Real, Real]:
    """Starts and ends of the pieces that are looked at first, shape (pieces, 3) each. [m]"""
    after = np.roll(vertices_m, -1, axis=0)
    count = int(np.ceil(np.linalg.norm(after - vertices_m, axis=1).max() / _FIRST_M))
    shares = np.linspace(0, 1, count + 1)[:, None, None]
    nodes = vertices_m * (1 - shares) + after * shares
    return nodes[:-1].reshape(-1, 3), nodes[1:].reshape(-1, 3)


def _polished(starts: Real, ends: Real, skin: Skin) -> tuple[float, Real]:
    """Least distance on these pieces, each by golden section, and the place. [m]"""
    way, low, high = ends - starts, np.zeros(len(starts)), np.ones(len(starts))

    def distance_m(share: Real) -> Real:
        return -skin.depth_m(starts + share[:, None] * way)

    inner, outer = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_inner, at_outer = distance_m(inner), distance_m(outer)
    for _ in range(_STEPS):
        left = at_inner <= at_outer
        low, high = np.where(left, low, inner), np.where(left, outer, high)
        new = np.where(left, high - _GOLDEN * (high - low), low + _GOLDEN * (high - low))
        at_new = distance_m(new)
        inner, outer = np.where(left, new, outer), np.where(left, inner, new)
        at_inner, at_outer = np.where(left, at_new, at_outer), np.where(left, at_inner, at_new)
    shares = np.stack([np.zeros_like(low), (low + high) / 2, np.ones_like(low)])
    distances = np.stack([distance_m(share) for share in shares])
    row, piece = np.unravel_index(int(np.argmin(distances)), distances.shape)
    return float(distances[row, piece]), starts[piece] + shares[row, piece] * way[piece]
