"""Values and slopes of a smooth field on a grid, rays that enter it, and shortest lines on its level surfaces.

The field is a cubic B-spline: its curvature is continuous, so shortest lines are as smooth as the surface.
"""

import numba
import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

#: Steps of Newton that bring a point to a level: the field is close to a distance, so the second one is for the rest.
_LANDINGS = 3
#: Halvings of the piece of a ray in which the field changes sign.
_HALVINGS = 40


@numba.njit(cache=True, nogil=True)
def _weights(share: float, value: Real, slope: Real, bend: Real) -> None:
    """Cubic B-spline weights of four nodes, and their first and second slopes, at a share of the middle interval."""
    t, s = share, 1 - share
    value[0], value[1] = s * s * s / 6, (4 - 6 * t * t + 3 * t * t * t) / 6
    value[2], value[3] = (4 - 6 * s * s + 3 * s * s * s) / 6, t * t * t / 6
    slope[0], slope[1] = -s * s / 2, (3 * t * t - 4 * t) / 2
    slope[2], slope[3] = -(3 * s * s - 4 * s) / 2, t * t / 2
    bend[0], bend[1], bend[2], bend[3] = s, 3 * t - 2, 3 * s - 2, t


@numba.njit(cache=True, nogil=True)
def _look(grid: Real, origin: Real, spacing: float, point: Real, w: Real, found: Real) -> None:
    """Value, gradient (3) and second slopes (xx, yy, zz, xy, xz, yz) at a point, into ``found`` (10,).

    Beyond the outermost nodes the point is taken at the edge of the grid.
    """
    place = np.empty(3, dtype=np.int64)
    for axis in range(3):
        at = (point[axis] - origin[axis]) / spacing
        at = min(max(at, 1.0), grid.shape[axis] - 3.000001)
        place[axis] = int(at) - 1
        _weights(at - int(at), w[axis, 0], w[axis, 1], w[axis, 2])
    found[:] = 0.0
    for i in range(4):
        v = vy = vz = vyy = vzz = vyz = 0.0
        for j in range(4):
            a = b = c = 0.0
            for k in range(4):
                g = grid[place[0] + i, place[1] + j, place[2] + k]
                a += w[2, 0, k] * g
                b += w[2, 1, k] * g
                c += w[2, 2, k] * g
            v += w[1, 0, j] * a
            vy += w[1, 1, j] * a
            vyy += w[1, 2, j] * a
            vz += w[1, 0, j] * b
            vyz += w[1, 1, j] * b
            vzz += w[1, 0, j] * c
        x, dx, ddx = w[0, 0, i], w[0, 1, i], w[0, 2, i]
        found[0] += x * v
        found[1] += dx * v
        found[2] += x * vy
        found[3] += x * vz
        found[4] += ddx * v
        found[5] += x * vyy
        found[6] += x * vzz
        found[7] += dx * vy
        found[8] += dx * vz
        found[9] += x * vyz
    found[1:4] /= spacing
    found[4:] /= spacing * spacing


@numba.njit(cache=True, nogil=True)
def _square(found: Real) -> float:
    """Square of the gradient."""
    return found[1] * found[1] + found[2] * found[2] + found[3] * found[3]


@numba.njit(cache=True, nogil=True)
def _land(grid: Real, origin: Real, spacing: float, point: Real, level: float, w: Real, found: Real) -> None:
    """Move a point to a level along the gradient; ``found`` holds what was last seen there."""
    for _ in range(_LANDINGS):
        _look(grid, origin, spacing, point, w, found)
        way = (found[0] - level) / _square(found)
        for axis in range(3):
            point[axis] -= way * found[1 + axis]
        if abs(found[0] - level) < 1e-9:
            break


@numba.njit(cache=True, nogil=True)
def _straighten(heading: Real, found: Real) -> None:
    """Turn a heading into the tangent plane, and make it a unit vector."""
    along = (heading[0] * found[1] + heading[1] * found[2] + heading[2] * found[3]) / _square(found)
    total = 0.0
    for axis in range(3):
        heading[axis] -= along * found[1 + axis]
        total += heading[axis] ** 2
    for axis in range(3):
        heading[axis] /= np.sqrt(total)


@numba.njit(cache=True, nogil=True)
def _turn(heading: Real, found: Real, rate: Real) -> None:
    """Second derivative of a shortest line of the level surface by its length: -(t H t) g / g^2."""
    x, y, z = heading
    bend = x * x * found[4] + y * y * found[5] + z * z * found[6]
    bend += 2 * (x * y * found[7] + x * z * found[8] + y * z * found[9])
    scale = -bend / _square(found)
    for axis in range(3):
        rate[axis] = scale * found[1 + axis]


@numba.njit(cache=True, nogil=True)
def followed_m(
    grid: Real, origin_m: Real, spacing_m: float, points_m: Real, headings: Real, lengths_m: Real, levels_m: Real,
    longest_step_m: float,
) -> tuple[Real, Real, Real]:  # fmt: skip
    """Ends of shortest lines on level surfaces: points, headings and outward normals there.

    Parameters
    ----------
    grid : ndarray, shape (nx, ny, nz)
        B-spline coefficients of the field. [m]
    origin_m, spacing_m
        Place of the first node, shape (3,), and distance of nodes. [m]
    points_m, headings : ndarray, shape (n, 3)
        Starts, landed on the level first [m], and unit vectors there, turned into the surface.
    lengths_m, levels_m : ndarray, shape (n,)
        Length of each line, and the value of the field on its surface. [m]
    longest_step_m : float
        Lines are followed in equal steps no longer than this (Runge-Kutta, fourth order; landed after each). [m]

    Returns
    -------
    tuple of three ndarrays, each (n, 3)
        Ends [m], headings, normals.
    """
    ends, turned, normals = points_m.copy(), headings.copy(), np.empty_like(points_m)
    w, found = np.empty((3, 3, 4)), np.empty(10)
    rates, speeds, trial = np.empty((4, 3)), np.empty((4, 3)), np.empty(3)
    shares = np.array([0.0, 0.5, 0.5, 1.0])
    for n in range(len(points_m)):
        p, t, level = ends[n], turned[n], levels_m[n]
        _land(grid, origin_m, spacing_m, p, level, w, found)
        _straighten(t, found)
        steps = max(1, int(np.ceil(lengths_m[n] / longest_step_m)))
        h = lengths_m[n] / steps
        for _ in range(steps if lengths_m[n] > 0 else 0):
            for stage in range(4):
                share = shares[stage] * h
                for axis in range(3):
                    trial[axis] = p[axis] + (share * speeds[stage - 1, axis] if stage else 0.0)
                    speeds[stage, axis] = t[axis] + (share * rates[stage - 1, axis] if stage else 0.0)
                _look(grid, origin_m, spacing_m, trial, w, found)
                _turn(speeds[stage], found, rates[stage])
            for axis in range(3):
                p[axis] += h / 6 * (speeds[0, axis] + 2 * speeds[1, axis] + 2 * speeds[2, axis] + speeds[3, axis])
                t[axis] += h / 6 * (rates[0, axis] + 2 * rates[1, axis] + 2 * rates[2, axis] + rates[3, axis])
            _land(grid, origin_m, spacing_m, p, level, w, found)
            _straighten(t, found)
        normals[n] = found[1:4] / np.sqrt(_square(found))
    return ends, turned, normals


@numba.njit(cache=True, nogil=True)
def landed_m(grid: Real, origin_m: Real, spacing_m: float, points_m: Real, level_m: float) -> tuple[Real, Real]:
    """Points (n, 3) [m] moved to a level of the field along its gradient, and the outward normals there."""
    ends, normals = points_m.copy(), np.empty_like(points_m)
    w, found = np.empty((3, 3, 4)), np.empty(10)
    for n in range(len(points_m)):
        for _ in range(3):  # far from the level the field is not quite a distance
            _land(grid, origin_m, spacing_m, ends[n], level_m, w, found)
        normals[n] = found[1:4] / np.sqrt(_square(found))
    return ends, normals


@numba.njit(cache=True, nogil=True)
def heights_m(grid: Real, origin_m: Real, spacing_m: float, points_m: Real) -> Real:
    """Values of the field at points (n, 3) [m], shape (n,). [m]"""
    values = np.empty(len(points_m))
    w, found = np.empty((3, 3, 4)), np.empty(10)
    for n in range(len(points_m)):
        _look(grid, origin_m, spacing_m, points_m[n], w, found)
        values[n] = found[0]
    return values


@numba.njit(cache=True, nogil=True)
def left_at_m(grid: Real, origin_m: Real, spacing_m: float, start_m: Real, rays: Real, longest_m: float) -> Real:
    """Way along each ray (n, 3) from a start (3,) [m] to where it leaves the body for the last time; (n,). [m]

    Looked for from a distance ``longest_m`` inwards in steps of the spacing; negative where a ray meets no body.
    """
    ways = np.full(len(rays), -1.0)
    w, found, point = np.empty((3, 3, 4)), np.empty(10), np.empty(3)
    for n in range(len(rays)):
        high = longest_m
        while high > 0:
            low = max(high - spacing_m, 0.0)
            point[:] = start_m + low * rays[n]
            _look(grid, origin_m, spacing_m, point, w, found)
            if found[0] < 0:
                for _ in range(_HALVINGS):
                    middle = (low + high) / 2
                    point[:] = start_m + middle * rays[n]
                    _look(grid, origin_m, spacing_m, point, w, found)
                    if found[0] < 0:
                        low = middle
                    else:
                        high = middle
                ways[n] = (low + high) / 2
                break
            high = low
    return ways
