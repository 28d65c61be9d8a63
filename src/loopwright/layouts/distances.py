"""How close conductors come to each other."""

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]


def polygon_distance_m(first_m: Real, second_m: Real) -> float:
    """Least distance between two closed polygons (n, 3) and (m, 3) [m], as lines without thickness. [m]"""
    p, q = first_m[:, None], np.roll(first_m, -1, axis=0)[:, None]
    r, s = second_m[None], np.roll(second_m, -1, axis=0)[None]
    return float(np.min(segment_distances_m(p, q, r, s)))


def segment_distances_m(p: Real, q: Real, r: Real, s: Real) -> Real:
    """Distances between segments p-q and r-s, points broadcastable to (..., 3) [m]; shape (...). [m]

    Notes
    -----
    The least distance is reached either at an end of one of them or where both common perpendiculars meet.
    """
    ends = [_point_distance(p, r, s), _point_distance(q, r, s), _point_distance(r, p, q), _point_distance(s, p, q)]
    d, e, w = q - p, s - r, p - r
    dd, ee, de = _dot(d, d), _dot(e, e), _dot(d, e)
    determinant = dd * ee - de * de
    skew = determinant > 1e-12 * dd * ee
    safe = np.where(skew, determinant, 1)
    along_first = (de * _dot(e, w) - ee * _dot(d, w)) / safe
    along_second = (dd * _dot(e, w) - de * _dot(d, w)) / safe
    inside = skew & (along_first >= 0) & (along_first <= 1) & (along_second >= 0) & (along_second <= 1)
    between = np.linalg.norm(w + along_first[..., None] * d - along_second[..., None] * e, axis=-1)
    return np.asarray(np.minimum(np.minimum.reduce(ends), np.where(inside, between, np.inf)))


def _point_distance(point: Real, start: Real, end: Real) -> Real:
    """Distance of a point from a segment."""
    way = end - start
    share = np.clip(_dot(point - start, way) / _dot(way, way), 0, 1)
    return np.asarray(np.linalg.norm(point - start - share[..., None] * way, axis=-1))


def _dot(u: Real, v: Real) -> Real:
    return np.asarray(np.sum(u * v, axis=-1))
