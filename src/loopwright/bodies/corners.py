"""Areas of the unit disc and volumes of the unit ball cut by axis-parallel lines and planes, in closed form.

Every voxel and every face of a body bounded by ellipsoids and elliptic cylinders is a difference of these corner
measures at its nodes, so that thin layers are neither lost nor doubled whatever the voxel size.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def disc_corner_area(x: ArrayLike, y: ArrayLike) -> Real:
    """Area of the unit disc inside [0, x] times [0, y], odd in each argument.

    Parameters
    ----------
    x, y : array_like, broadcastable
        Corner in units of the radius; may be negative or infinite. [1]

    Returns
    -------
    ndarray
        Signed area in units of the radius squared; an area between nodes is its second difference. [1]
    """
    x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    u, v = np.minimum(np.abs(x), 1), np.minimum(np.abs(y), 1)
    crossing = np.sqrt(1 - v * v)  # the line y = v meets the circle here
    under_arc = np.where(u > crossing, _area_under_arc(np.maximum(u, crossing)) - _area_under_arc(crossing), 0)
    return np.asarray(np.sign(x) * np.sign(y) * (v * np.minimum(u, crossing) + under_arc))


def ball_corner_volume(x: ArrayLike, y: ArrayLike, z: ArrayLike) -> Real:
    """Volume of the unit ball inside [0, x] times [0, y] times [0, z], odd in each argument.

    Parameters
    ----------
    x, y, z : array_like, broadcastable
        Corner in units of the radius; may be negative or infinite. [1]

    Returns
    -------
    ndarray
        Signed volume in units of the radius cubed; the volume in a cell is its third difference. [1]

    Notes
    -----
    Inclusion and exclusion of :func:`_far_corner_volume`; differences lose about 1e-16 of the whole ball.
    """
    x, y, z = (np.asarray(part, dtype=float) for part in (x, y, z))
    u, v, w = (np.minimum(np.abs(part), 1) for part in (x, y, z))
    inside = (
        _far_corner_volume(0, 0, 0)
        - (_far_corner_volume(u, 0, 0) + _far_corner_volume(0, v, 0) + _far_corner_volume(0, 0, w))
        + (_far_corner_volume(u, v, 0) + _far_corner_volume(u, 0, w) + _far_corner_volume(0, v, w))
        - _far_corner_volume(u, v, w)
    )
    return np.asarray(np.sign(x) * np.sign(y) * np.sign(z) * inside)


def _area_under_arc(t: Real) -> Real:
    """Integral of sqrt(1 - t^2) from 0."""
    return np.asarray((t * np.sqrt(np.maximum(1 - t * t, 0)) + np.arcsin(t)) / 2)


def _far_corner_volume(a: ArrayLike, b: ArrayLike, c: ArrayLike) -> Real:
    """Volume of the unit ball where x >= a, y >= b, z >= c, for a, b, c >= 0; zero when the corner is outside.

    Divergence theorem with the position vector: 3 V = S - a A_a - b A_b - c A_c, where A are the plane faces and S is
    the spherical patch, by Gauss and Bonnet: its three angles less pi, less the geodesic curvature a phi_a of each
    small circle.
    """
    a, b, c = np.broadcast_arrays(*(np.asarray(part, dtype=float) for part in (a, b, c)))
    inside = a * a + b * b + c * c < 1
    a, b, c = (np.where(inside, part, 0) for part in (a, b, c))
    patch, faces = -np.pi * np.ones_like(a), np.zeros_like(a)
    for p, q, r in ((a, b, c), (b, c, a), (c, a, b)):
        to_q, to_r = np.sqrt(1 - (p * p + q * q)), np.sqrt(1 - (r * r + p * p))  # where edges meet the sphere
        phi = np.arctan2(to_q, q) - np.arctan2(r, to_r)
        patch += np.arctan2(to_q, p * q) - p * phi
        faces += p * (((1 - p * p) * phi - q * to_q - r * to_r) / 2 + q * r)
    return np.where(inside, (patch - faces) / 3, 0)
