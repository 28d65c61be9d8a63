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

__all__ = ["CLOSE_RATIO", "conductor_distances_m", "kernel_radii_m", "parallel_distances_m"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Pairs closer than this times the larger equivalent radius share that radius in the electric part of the kernel.
CLOSE_RATIO = 3.0
#: Cosine above which two segments count as running side by side.
PARALLEL_COSINE = 0.9


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
    """Distance of each segment from the nearest of each other conductor whose direction agrees to least_cosine."""
    conductors = first.size - 1
    found = np.full((vertices_m.shape[0], conductors), np.inf)
    for e in numba.prange(conductors):
        for s in range(first[e], first[e + 1]):
            p = steps_m[s]
            for f in range(conductors):
                if e != f:
                    for t in range(first[f], first[f + 1]):
                        q = steps_m[t]
                        if abs(_dot(p, q)) >= least_cosine * sqrt(_dot(p, p) * _dot(q, q)):
                            d = _segment_distance(vertices_m[s], p, vertices_m[t], q)
                            found[s, f] = min(found[s, f], d)
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
    first = np.asarray(first_node, dtype=np.int64)
    found = np.minimum.reduceat(_distances(vertices_m, steps_m, first, 0.0), first[:-1], axis=0)
    return np.minimum(found, found.T)


def parallel_distances_m(vertices_m: Floats, steps_m: Floats, first_node: Integers) -> Floats:
    """Distance of each segment from the nearest of each other conductor that runs beside it, within about 25 degrees.

    Parameters
    ----------
    vertices_m, steps_m : ndarray, shape (nodes, 3)
        Start of every segment, and the way to its end. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.

    Returns
    -------
    ndarray, shape (nodes, conductors)
        Distances; infinite where no segment of a conductor runs beside this one, and to its own. [m]
    """
    return _distances(vertices_m, steps_m, np.asarray(first_node, dtype=np.int64), PARALLEL_COSINE)


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
