"""Where triangles of a surface cross one another.

A tree of boxes finds the pairs that may cross; two triangles cross where an edge of one pierces the other.
"""

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface

__all__ = ["crossing_pairs"]

Real = NDArray[np.float64]
Pairs = NDArray[np.int64]

_AT_ONCE = 200_000
#: An edge that ends on a triangle, or passes through its rim, touches it: it does not cross.
_TOUCHING = 1e-7


def crossing_pairs(surface: Surface) -> Pairs:
    """Pairs of triangles that cross.

    Parameters
    ----------
    surface : Surface
        Neighbours share their vertices.

    Returns
    -------
    ndarray of int, shape (pairs, 2)
        Indices of triangles, each pair once. Triangles that only touch, that lie in one plane, or that share an edge
        do not count.
    """
    if not len(surface.triangles):
        return np.zeros((0, 2), dtype=np.int64)
    pairs = _near_pairs(surface.corners_m)
    first, second = surface.triangles[pairs[:, 0]], surface.triangles[pairs[:, 1]]
    shared = (first[:, :, None] == second[:, None, :]).sum(axis=(1, 2))
    pairs = pairs[shared < 2]
    crossing = [
        _cross(*surface.corners_m[pairs[at : at + _AT_ONCE]].transpose(1, 0, 2, 3))
        for at in range(0, len(pairs), _AT_ONCE)
    ]
    return np.asarray(pairs[np.concatenate(crossing)]) if crossing else pairs


def _near_pairs(corners: Real) -> Pairs:
    """Pairs of triangles (n, 3, 3) whose boxes meet, shape (pairs, 2)."""
    order = _along_a_curve(corners.mean(axis=1))
    depth = int(np.ceil(np.log2(max(len(order), 2))))
    low, high = np.full((2**depth, 3), np.inf), np.full((2**depth, 3), -np.inf)
    low[: len(order)], high[: len(order)] = corners.min(axis=1)[order], corners.max(axis=1)[order]
    levels = [(low, high)]
    while len(levels[-1][0]) > 1:
        low, high = levels[-1]
        levels.append((np.minimum(low[::2], low[1::2]), np.maximum(high[::2], high[1::2])))
    pairs = np.zeros((1, 2), dtype=np.int64)
    for low, high in reversed(levels[:-1]):
        pairs = np.concatenate([2 * pairs + children for children in ((0, 0), (0, 1), (1, 0), (1, 1))])
        a, b = pairs.T
        meet = (a <= b) & np.all((low[a] <= high[b]) & (low[b] <= high[a]), axis=1)
        pairs = pairs[meet]
    return np.asarray(order[pairs[pairs[:, 0] < pairs[:, 1]]])


def _along_a_curve(points: Real) -> Pairs:
    """Order of points (n, 3) in which neighbours in the list are neighbours in space: their bits interleaved."""
    low, span = points.min(axis=0), np.ptp(points, axis=0).max()
    whole = ((points - low) / (span or 1) * 1023).astype(np.int64)
    code = np.zeros(len(points), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= (whole[:, axis] >> bit & 1) << (3 * bit + axis)
    return np.argsort(code, kind="stable")


def _cross(first: Real, second: Real) -> NDArray[np.bool_]:
    """Whether triangles (n, 3, 3) cross others of the same number, shape (n,)."""
    found = np.zeros(len(first), dtype=np.bool_)
    for edges, faces in ((first, second), (second, first)):
        for corner in range(3):
            found |= _pierce(edges[:, corner], edges[:, (corner + 1) % 3], faces)
    return found


def _pierce(start: Real, end: Real, faces: Real) -> NDArray[np.bool_]:
    """Whether segments from ``start`` to ``end`` (n, 3) pass through triangles (n, 3, 3), shape (n,).

    By the volumes of the tetrahedra that the ends span with the triangle and with each of its edges (Plucker).
    """
    a, b, c = (faces[:, corner] - start for corner in range(3))
    along = end - start
    normal = np.cross(b - a, c - a)
    height, rise = np.sum(a * normal, axis=1), np.sum(along * normal, axis=1)
    sides = np.stack([np.sum(along * np.cross(u, v), axis=1) for u, v in ((a, b), (b, c), (c, a))])
    size = np.linalg.norm(along, axis=1) * np.linalg.norm(normal, axis=1)
    steep = np.abs(rise) > _TOUCHING * size
    part = height / np.where(steep, rise, 1)
    through = np.all(sides > _TOUCHING * size, axis=0) | np.all(sides < -_TOUCHING * size, axis=0)
    return np.asarray(steep & through & (part > _TOUCHING) & (part < 1 - _TOUCHING))
