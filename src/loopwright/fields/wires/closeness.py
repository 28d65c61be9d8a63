"""How close conductors come to one another, and which kernel radius each pair takes for that reason.

Between separate conductors the reduced kernel's radius has no place: with it the mutual inductance of rings 2 mm apart
is 1 % wrong.  But where conductors cross, a mutual kernel sharper than the self kernel makes the potential matrix
indefinite.  So the magnetic part never takes a radius between conductors, and the electric part takes the larger of the
two radii for pairs that come closer than three times that radius.
"""

from math import sqrt

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled, compiled_parallel

__all__ = [
    "CLOSE_RATIO",
    "conductor_distances_m",
    "kernel_radii_m",
    "parallel_run_distances_m",
    "parallel_run_lengths_m",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Pairs closer than this times the larger equivalent radius share that radius in the electric part of the kernel.
CLOSE_RATIO = 3.0
#: Cosine above which two segments count as running side by side.
PARALLEL_COSINE = 0.9
#: Points along a segment at which it is asked whether another runs beside it.
RUN_POINTS = 4


@compiled
def _dot(a: Floats, b: Floats) -> float:
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


@compiled
def _segment_distance(a: Floats, p: Floats, b: Floats, q: Floats) -> float:
    """Distance between the segments a + s p and b + t q, s and t from 0 to 1."""
    d = a - b
    pp, qq, pq, pd, qd = _dot(p, p), _dot(q, q), _dot(p, q), _dot(p, d), _dot(q, d)
    across = pp * qq - pq * pq
    s = 0.0
    if across > 1e-12 * pp * qq:
        s = min(max((pq * qd - pd * qq) / across, 0.0), 1.0)
    t = min(max((pq * s + qd) / qq, 0.0), 1.0)
    s = min(max((pq * t - pd) / pp, 0.0), 1.0)
    away = d + s * p - t * q
    return sqrt(_dot(away, away))


@compiled_parallel
def _distances(vertices_m: Floats, steps_m: Floats, first: Integers, least_cosine: float) -> Floats:
    """Least distance between segments of each pair of conductors whose directions agree to least_cosine or better."""
    conductors = first.size - 1
    found = np.full((conductors, conductors), np.inf)
    for e in numba.prange(conductors):
        for f in range(conductors):
            if e != f:
                for s in range(first[e], first[e + 1]):
                    p = steps_m[s]
                    for t in range(first[f], first[f + 1]):
                        q = steps_m[t]
                        if abs(_dot(p, q)) >= least_cosine * sqrt(_dot(p, p) * _dot(q, q)):
                            d = _segment_distance(vertices_m[s], p, vertices_m[t], q)
                            found[e, f] = min(found[e, f], d)
    return found


def conductor_distances_m(vertices_m: Floats, steps_m: Floats, first_node: Integers) -> Floats:
    """Least distance between the centre-lines of each pair of conductors.

    Parameters
    ----------
    vertices_m, steps_m : ndarray, shape (nodes, 3)
        Start of every segment, and the way to its end. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.

    Returns
    -------
    ndarray, shape (conductors, conductors)
        Distances, symmetric; infinite on the diagonal. [m]
    """
    found = _distances(vertices_m, steps_m, np.asarray(first_node, dtype=np.int64), 0.0)
    return np.minimum(found, found.T)


def parallel_run_distances_m(vertices_m: Floats, steps_m: Floats, first_node: Integers) -> Floats:
    """Least distance between pieces of two conductors that run side by side, within about 25 degrees.

    Parameters
    ----------
    vertices_m, steps_m : ndarray, shape (nodes, 3)
        Start of every segment, and the way to its end. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.

    Returns
    -------
    ndarray, shape (conductors, conductors)
        Distances, symmetric; infinite where no pieces run side by side, and on the diagonal. [m]
    """
    found = _distances(vertices_m, steps_m, np.asarray(first_node, dtype=np.int64), PARALLEL_COSINE)
    return np.minimum(found, found.T)


@compiled_parallel
def _run_lengths(vertices_m: Floats, steps_m: Floats, first: Integers, within_m: float, least_cosine: float) -> Floats:
    """Length of each conductor along which another runs beside it within a distance, by points along its segments."""
    conductors = first.size - 1
    found = np.zeros((conductors, conductors))
    for e in numba.prange(conductors):
        for f in range(conductors):
            for s in range(first[e], first[e + 1] if e != f else first[e]):
                p = steps_m[s]
                length = sqrt(_dot(p, p))
                for i in range(RUN_POINTS):
                    point = vertices_m[s] + (i + 0.5) / RUN_POINTS * p
                    for t in range(first[f], first[f + 1]):
                        q = steps_m[t]
                        if abs(_dot(p, q)) >= least_cosine * length * sqrt(_dot(q, q)):
                            away = point - vertices_m[t]
                            away = away - min(max(_dot(away, q) / _dot(q, q), 0.0), 1.0) * q
                            if _dot(away, away) < within_m * within_m:
                                found[e, f] += length / RUN_POINTS
                                break
    return found


def parallel_run_lengths_m(vertices_m: Floats, steps_m: Floats, first_node: Integers, *, within_m: float) -> Floats:
    """Length over which conductors run side by side, within about 25 degrees, closer than a distance.

    Parameters
    ----------
    vertices_m, steps_m : ndarray, shape (nodes, 3)
        Start of every segment, and the way to its end. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.
    within_m : float
        The distance. [m]

    Returns
    -------
    ndarray, shape (conductors, conductors)
        Length along the first conductor of each pair, to an eighth of a segment; zero on the diagonal. [m]
    """
    first = np.asarray(first_node, dtype=np.int64)
    return _run_lengths(vertices_m, steps_m, first, float(within_m), PARALLEL_COSINE)


def kernel_radii_m(radius_m: Floats, distance_m: Floats) -> tuple[Floats, Floats]:
    """Radius of the reduced kernel for every pair of conductors.

    Parameters
    ----------
    radius_m : ndarray, shape (conductors,)
        Equivalent radius of each conductor. [m]
    distance_m : ndarray, shape (conductors, conductors)
        Least distance between centre-lines. [m]

    Returns
    -------
    magnetic_m, electric_m : ndarray, shape (conductors, conductors)
        Radii for the magnetic part (on the diagonal only) and for the electric part (also for close pairs). [m]
    """
    larger = np.maximum(radius_m[:, None], radius_m[None, :])
    electric = np.where(distance_m < CLOSE_RATIO * larger, larger, 0.0)
    np.fill_diagonal(electric, radius_m)
    return np.diag(radius_m), electric
