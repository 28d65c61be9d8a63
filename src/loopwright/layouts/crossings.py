"""Which elements cross, on which layer each one stands, and how much room is left."""

from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.solids import Solid
from loopwright.layouts.distances import polygon_distance_m

Real = NDArray[np.float64]

#: Points per segment at which its way to the skin is measured: a chord sags most in its middle.
_PROBES = 8
#: Centres within this multiple of the nearest one belong to the nearest ring: below the diagonal of a square, sqrt(2).
_RING = 1.3


def layers_of(outlines_m: Real, *, separation_m: float) -> tuple[int, ...]:
    """Layer of each element, so that no two which come closer than the separation share one.

    Parameters
    ----------
    outlines_m : ndarray, shape (elements, segments, 3)
        Outlines, all at the least stand-off. [m]
    separation_m : float
        Distance between layers. [m]

    Returns
    -------
    tuple of int
        Greedy colouring of the graph of crossings, in the order of the elements: each takes the lowest free layer.
    """
    return coloured(crossings_of(outlines_m, separation_m=separation_m), order=range(len(outlines_m)))


def crossings_of(outlines_m: Real, *, separation_m: float) -> tuple[set[int], ...]:
    """For each outline (elements, segments, 3) [m] the others that come closer than the separation [m]."""
    crossing: tuple[set[int], ...] = tuple(set() for _ in outlines_m)
    for i, j in near_pairs(list(outlines_m), margin_m=separation_m):
        if polygon_distance_m(outlines_m[i], outlines_m[j]) < separation_m:
            crossing[j].add(i)
            crossing[i].add(j)
    return crossing


def coloured(crossing: Sequence[set[int]], *, order: Iterable[int]) -> tuple[int, ...]:
    """Layer of each element where each in turn takes the lowest that no element crossing it has yet."""
    layers: dict[int, int] = {}
    for element in order:
        taken = {layers[other] for other in crossing[element] if other in layers}
        layers[element] = next(layer for layer in range(len(taken) + 1) if layer not in taken)
    return tuple(layers[element] for element in range(len(crossing)))


def near_pairs(outlines_m: list[Real], *, margin_m: float) -> list[tuple[int, int]]:
    """Pairs of outlines whose enclosing spheres come closer than a margin [m]."""
    middles = [outline.mean(axis=0) for outline in outlines_m]
    radii = [
        np.linalg.norm(outline - middle, axis=1).max() for outline, middle in zip(outlines_m, middles, strict=True)
    ]
    return [
        (i, j)
        for i, j in combinations(range(len(outlines_m)), 2)
        if np.linalg.norm(middles[i] - middles[j]) < radii[i] + radii[j] + margin_m
    ]


def least_conductor_distance_m(outlines_m: list[Real]) -> tuple[float, int, int] | None:
    """Least distance between the lines of two elements, and which two; None for a single element. [m]"""
    best: tuple[float, int, int] | None = None
    margin = 0.0
    while best is None and len(outlines_m) > 1:
        pairs = near_pairs(outlines_m, margin_m=margin)
        found = [(polygon_distance_m(outlines_m[i], outlines_m[j]), i, j) for i, j in pairs]
        # Pairs left out are further apart than the margin, so only a smaller distance settles the matter.
        best = min((entry for entry in found if entry[0] <= margin or len(pairs) == _all(outlines_m)), default=None)
        margin = 2 * margin + 5e-3
    return best


def least_skin_distances_m(outlines_m: list[Real], solid: Solid) -> Real:
    """Least distance of every element's line from the skin, negative where it enters the body; (elements,). [m]"""
    share = (np.arange(_PROBES) / _PROBES)[:, None, None]
    least = []
    for outline in outlines_m:
        points = outline * (1 - share) + np.roll(outline, -1, axis=0) * share
        least.append(-solid.depth_m(points.reshape(-1, 3)).max())
    return np.array(least)


def nearest_ring(centres_m: Real) -> tuple[tuple[int, int], ...]:
    """Pairs of neighbours among centres (elements, 3) [m]: no further apart than 1.3 of either's nearest distance."""
    if len(centres_m) < 2:
        return ()
    distance = np.linalg.norm(centres_m[:, None] - centres_m[None], axis=2)
    np.fill_diagonal(distance, np.inf)
    nearest = distance.min(axis=1)
    reach = _RING * np.maximum(nearest[:, None], nearest[None])
    return tuple((int(i), int(j)) for i, j in np.argwhere(distance <= reach) if i < j)


def _all(outlines_m: list[Real]) -> int:
    return len(outlines_m) * (len(outlines_m) - 1) // 2
