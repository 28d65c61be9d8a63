"""What boxes hold of a density that is constant in every voxel: compiled kernels of the cube averages.

A table of sums S, where S[i, j, k] is the sum of the voxels before (i, j, k), interpolated on straight lines along each
axis, is the exact integral of the density from the corner of the grid to any point; eight of its values make a box. All
lengths are in voxels, so that voxel i fills [i, i + 1]; outside the grid there is nothing.

A cube grows from a voxel: centred on it, or leaning along an axis so that the voxel lies in the middle of one face.
Between whole sides no face of it crosses a plane of voxels, so what it holds is a cubic of the side.
"""

import numba
import numpy as np
from numpy.typing import NDArray

__all__ = ["box_contents", "grown_sides", "largest_around", "sums_before", "touched_faces", "voxels_around"]

Real = NDArray[np.float64]
Integer = NDArray[np.int64]

#: Thickness of the sheet inside a face that tells whether the face lies wholly in the background. [voxels]
_SHEET = 0.01
#: Share of that sheet under which it holds nothing, above what the table rounds.
_NOTHING = 1e-5
#: Halvings of the last voxel: to the last digit.
_HALVINGS = 52


def sums_before(density: Real) -> Real:
    """Table of sums of a density per voxel, shape (nx + 1, ny + 1, nz + 1), in double precision."""
    table = np.zeros(tuple(size + 1 for size in density.shape))
    table[1:, 1:, 1:] = np.asarray(density, dtype=np.float64).cumsum(axis=0).cumsum(axis=1).cumsum(axis=2)
    return table


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _sum_to(table: Real, x: float, y: float, z: float) -> float:
    """Integral from the corner of the grid to a point."""
    x = min(max(x, 0.0), table.shape[0] - 1.0)
    y = min(max(y, 0.0), table.shape[1] - 1.0)
    z = min(max(z, 0.0), table.shape[2] - 1.0)
    i, j, k = min(int(x), table.shape[0] - 2), min(int(y), table.shape[1] - 2), min(int(z), table.shape[2] - 2)
    u, v, w = x - i, y - j, z - k
    near = (table[i, j, k] * (1 - v) + table[i, j + 1, k] * v) * (1 - w)
    near += (table[i, j, k + 1] * (1 - v) + table[i, j + 1, k + 1] * v) * w
    far = (table[i + 1, j, k] * (1 - v) + table[i + 1, j + 1, k] * v) * (1 - w)
    far += (table[i + 1, j, k + 1] * (1 - v) + table[i + 1, j + 1, k + 1] * v) * w
    return near * (1 - u) + far * u


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _box(table: Real, x: float, y: float, z: float, p: float, q: float, r: float) -> float:
    """What lies between the corners (x, y, z) and (p, q, r)."""
    top = _sum_to(table, p, q, r) - _sum_to(table, x, q, r) - _sum_to(table, p, y, r) + _sum_to(table, x, y, r)
    low = _sum_to(table, p, q, z) - _sum_to(table, x, q, z) - _sum_to(table, p, y, z) + _sum_to(table, x, y, z)
    return top - low


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _low(voxel: int, lean: int, side: float) -> float:
    """Lower end of a cube along one axis: centred on the voxel, or from its lower (1) or upper (-1) face."""
    if lean > 0:
        return float(voxel)
    if lean < 0:
        return voxel + 1.0 - side
    return voxel + 0.5 - 0.5 * side


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _held(table: Real, voxel: Integer, lean: Integer, side: float) -> float:
    x, y, z = _low(voxel[0], lean[0], side), _low(voxel[1], lean[1], side), _low(voxel[2], lean[2], side)
    return _box(table, x, y, z, x + side, y + side, z + side)


@numba.njit(cache=True, nogil=True, error_model="numpy")
def _grown(table: Real, voxel: Integer, lean: Integer, wanted: float, least: float) -> float:
    """Side at which the cube holds what is wanted, not under ``least``; nan where the whole grid holds less."""
    side = np.floor(least)
    before, after = _held(table, voxel, lean, side), _held(table, voxel, lean, side + 1)
    while after < wanted:
        side += 1
        if side > 2 * max(table.shape):
            return np.nan
        before, after = after, _held(table, voxel, lean, side + 1)
    # The cubic through four of its values; it only rises.
    third, two_thirds = _held(table, voxel, lean, side + 1 / 3), _held(table, voxel, lean, side + 2 / 3)
    a, b, c, d = before, third - before, two_thirds - 2 * third + before, after - 3 * two_thirds + 3 * third - before
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        t = 0.5 * (low + high)
        s = 3 * t
        if a + s * (b + (s - 1) / 2 * (c + (s - 2) / 3 * d)) < wanted:
            low = t
        else:
            high = t
    return side + 0.5 * (low + high)


@numba.njit(cache=True, nogil=True, error_model="numpy")
def grown_sides(table: Real, voxels: Integer, lean: Integer, wanted: float, least: float) -> tuple[Real, Real]:
    """Sides of the cubes that hold what is wanted, and their lower corners.

    Parameters
    ----------
    table : ndarray, shape (nx + 1, ny + 1, nz + 1)
        Sums before each node.
    voxels : ndarray of int, shape (n, 3)
        From which they grow.
    lean : ndarray of int, shape (3,)
        Zeros for centred cubes; 1 or -1 along the axis on which the voxel lies amid the lower or upper face.
    wanted : float
        In the unit of the table.
    least : float
        A side at which no cube can hold that much.

    Returns
    -------
    ndarray, shape (n,), and ndarray, shape (n, 3)
        In voxels; nan where the whole grid holds less than is wanted.
    """
    sides, low = np.empty(len(voxels)), np.empty((len(voxels), 3))
    for n in range(len(voxels)):
        sides[n] = _grown(table, voxels[n], lean, wanted, least)
        for axis in range(3):
            low[n, axis] = _low(voxels[n, axis], lean[axis], sides[n])
    return sides, low


@numba.njit(cache=True, nogil=True, error_model="numpy")
def box_contents(table: Real, low: Real, sides: Real) -> Real:
    """What each cube holds, shape (n,), in the unit of the table; corners (n, 3) and sides (n,) in voxels."""
    found = np.empty(len(sides))
    for n in range(len(sides)):
        x, y, z, side = low[n, 0], low[n, 1], low[n, 2], sides[n]
        found[n] = _box(table, x, y, z, x + side, y + side, z + side)
    return found


@numba.njit(cache=True, nogil=True, error_model="numpy")
def touched_faces(cover_table: Real, low: Real, sides: Real) -> Integer:
    """How many of the six faces of each cube touch tissue, shape (n,); a face is a thin sheet inside the cube."""
    found = np.zeros(len(sides), dtype=np.int64)
    for n in range(len(sides)):
        for axis in range(3):
            for end in range(2):
                a, b = low[n].copy(), low[n] + sides[n]
                if end:
                    a[axis] = b[axis] - _SHEET
                else:
                    b[axis] = a[axis] + _SHEET
                held = _box(cover_table, a[0], a[1], a[2], b[0], b[1], b[2])
                found[n] += held > _NOTHING * _SHEET * sides[n] ** 2
    return found


@numba.njit(cache=True, nogil=True, error_model="numpy")
def voxels_around(open_table: Real, voxels: Integer, sides: Real) -> Integer:
    """Which centred cubes hold an open voxel, shape (n,): counted whole, by the table of open voxels."""
    found = np.zeros(len(sides), dtype=np.int64)
    for n in range(len(sides)):
        reach = int(0.5 * sides[n])
        i, j, k = voxels[n]
        held = _box(open_table, i - reach, j - reach, k - reach, i + reach + 1.0, j + reach + 1.0, k + reach + 1.0)
        found[n] = held > 0.5
    return found


@numba.njit(cache=True, nogil=True, error_model="numpy")
def largest_around(values: Real, voxels: Integer, sides: Real, shape: tuple[int, int, int]) -> Real:
    """Largest of the values (not negative) of the centred cubes that hold the centre of each voxel; -1 for none."""
    largest = np.full(shape, -1.0)
    for n in range(len(sides)):
        reach = int(0.5 * sides[n])
        i, j, k = voxels[n]
        for p in range(max(i - reach, 0), min(i + reach + 1, shape[0])):
            for q in range(max(j - reach, 0), min(j + reach + 1, shape[1])):
                for r in range(max(k - reach, 0), min(k + reach + 1, shape[2])):
                    largest[p, q, r] = max(largest[p, q, r], values[n])
    return largest
