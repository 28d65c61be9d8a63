"""Exact distances to voxels: from a point to the nearest box of a set, column by column outwards."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

__all__ = ["ColumnRuns", "column_runs", "distances_m"]

Real = NDArray[np.float64]
Indices = NDArray[np.int32]

_NONE = -(2**30)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnRuns:
    """For every voxel of a volume (nx, ny, nz) the next one of a set along z, at or below it and at or above it."""

    below: Indices
    above: Indices


def column_runs(wanted: NDArray[np.bool_]) -> ColumnRuns:
    """Look along every column for voxels of the set ``wanted`` (nx, ny, nz)."""
    index = np.arange(wanted.shape[2], dtype=np.int32)
    below = np.maximum.accumulate(np.where(wanted, index, _NONE), axis=2, dtype=np.int32)
    above = np.minimum.accumulate(np.where(wanted, index, -_NONE)[:, :, ::-1], axis=2, dtype=np.int32)[:, :, ::-1]
    return ColumnRuns(below=below, above=above)


def distances_m(runs: ColumnRuns, places: Real, spacing_m: Real) -> Real:
    """Distance of points to the nearest voxel of a set.

    Parameters
    ----------
    runs : ColumnRuns
        The set; it must not be empty.
    places : ndarray, shape (n, 3)
        Points, in voxels from the outer corner of the first one. [1]
    spacing_m : ndarray, shape (3,)
        Size of a voxel. [m]

    Returns
    -------
    ndarray, shape (n,)
        0 in a voxel of the set. [m]
    """
    return np.asarray(_distances(runs.below, runs.above, places, spacing_m))


@njit(cache=True, nogil=True)
def _distances(below: Any, above: Any, places: Any, spacing: Any) -> Any:
    nx, ny, nz = below.shape
    found = np.empty(len(places))
    for n in range(len(places)):
        x, y, z = places[n]
        i0 = min(max(int(np.floor(x)), 0), nx - 1)
        j0 = min(max(int(np.floor(y)), 0), ny - 1)
        k0 = min(max(int(np.floor(z)), 0), nz - 1)
        best = np.inf
        for ring in range(max(nx, ny)):
            if ring > 1 and ((ring - 1) * min(spacing[0], spacing[1])) ** 2 >= best:
                break  # every column farther out is farther away than what is found
            for i in range(max(i0 - ring, 0), min(i0 + ring, nx - 1) + 1):
                step = 1 if abs(i - i0) == ring else max(2 * ring, 1)
                for j in range(j0 - ring, j0 + ring + 1, step):
                    if j < 0 or j >= ny:
                        continue
                    across = (_to_voxel(x, i) * spacing[0]) ** 2 + (_to_voxel(y, j) * spacing[1]) ** 2
                    if across >= best:
                        continue
                    along = min(_to_voxel(z, below[i, j, k0]), _to_voxel(z, above[i, j, k0])) * spacing[2]
                    best = min(best, across + along**2)
        found[n] = np.sqrt(best)
    return found


@njit(cache=True)
def _to_voxel(place: float, voxel: int) -> float:
    """Distance along one axis to a voxel, in voxels."""
    return max(voxel - place, place - voxel - 1, 0.0)
