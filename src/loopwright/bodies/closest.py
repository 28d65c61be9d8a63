"""Distances to the surfaces of bodies, from which depth under the skin follows."""

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

#: Halvings of the bracket: enough to exhaust double precision.
_HALVINGS = 70


def closest_on_ellipsoid_m(points_m: Real, semi_axes_m: tuple[float, ...]) -> Real:
    """Closest points of the surface sum (x_i / a_i)^2 = 1, axes along the coordinates, centre at the origin.

    Parameters
    ----------
    points_m : ndarray, shape (n, d)
        Points inside or outside, in two or three dimensions. [m]
    semi_axes_m : tuple of d floats
        Semi-axes a_i. [m]

    Returns
    -------
    ndarray, shape (n, d)
        Points of the surface. [m]

    Notes
    -----
    The closest point is q_i = a_i^2 x_i / (t + a_i^2), where t is the greatest root of the equation
    sum (a_i x_i / (t + a_i^2))^2 = 1, found by bisection (common practice). A coordinate that is zero is moved by 1e-12
    of its semi-axis, so that points on the axes, the centre included, get one of their several closest points.
    """
    a = np.asarray(semi_axes_m)
    x = np.where(np.abs(points_m) < 1e-12 * a, 1e-12 * a, np.abs(points_m))
    low = np.max(a * x - a * a, axis=1)  # one term alone reaches 1 here, so the sum is at least 1
    high = np.linalg.norm(a * x, axis=1) - np.min(a) ** 2  # the sum is at most 1 here
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        outside = np.sum((a * x / (middle[:, None] + a * a)) ** 2, axis=1) > 1
        low, high = np.where(outside, middle, low), np.where(outside, high, middle)
    closest = a * a * x / (high[:, None] + a * a)
    on_surface = closest / np.linalg.norm(closest / a, axis=1, keepdims=True)
    return np.asarray(np.where(np.signbit(points_m), -on_surface, on_surface))


def depth_in_ellipsoid_m(points_m: Real, semi_axes_m: tuple[float, ...]) -> Real:
    """Distance of points (n, d) [m] to the surface, positive inside and negative outside; shape (n,). [m]"""
    distance = np.linalg.norm(points_m - closest_on_ellipsoid_m(points_m, semi_axes_m), axis=1)
    inside = np.sum((points_m / np.asarray(semi_axes_m)) ** 2, axis=1) < 1
    return np.asarray(np.where(inside, distance, -distance))


def depth_in_block_m(points_m: Real, semi_axes_m: tuple[float, ...]) -> Real:
    """Distance of points (n, d) [m] to the nearest face of a block about the origin; shape (n,). [m]

    Positive inside, where every face counts and not the front alone, and negative outside; exact on both sides.
    """
    outward = np.abs(points_m) - np.asarray(semi_axes_m)
    inside = np.maximum(-outward.max(axis=1), 0)
    return np.asarray(inside - np.linalg.norm(np.maximum(outward, 0), axis=1))


def depth_in_dome_m(points_m: Real, semi_axes_m: tuple[float, float, float], height_m: float) -> Real:
    """Depth of points (n, 3) [m] in a dome about the middle of the base of its cap; shape (n,). [m]

    The cap has these semi-axes [m], the column below it this height [m]. A lower bound below the base: no point of the
    cap is nearer than by the way up to the base and the depth there. The side is nearer than that, and the depth exact,
    where it is less deep than the cap bends at its rim: with a radius of the square of the height of the cap over the
    greater half-axis or more.
    """
    below = np.minimum(points_m[:, 2], 0)
    at_base = np.column_stack([points_m[:, :2], np.maximum(points_m[:, 2], 0)])
    to_cap = depth_in_ellipsoid_m(at_base, semi_axes_m)
    to_side = depth_in_ellipsoid_m(points_m[:, :2], semi_axes_m[:2])
    inside = np.where(below < 0, np.minimum(to_side, np.hypot(to_cap, below)), to_cap)
    return np.asarray(np.minimum(inside, height_m + points_m[:, 2]))
