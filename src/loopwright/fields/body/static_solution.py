r"""The body's reply as if the wave were endless: nearly the true one, and cheap, so GMRES starts from it at every step.

Without the wave term the operator can be inverted on a sparse grid. With G the differences from voxel to voxel, taken
over the faces that carry current, eps their permittivity and phi a potential of the voxels, A j = b gives::

    (G^T eps G + air) phi = G^T eps b,      j = eps b - (eps - 1) G phi

The faces in air lead to potential zero; the true exterior would take a dense matrix, and matters as 1/eps. The
potential is found by a few cycles over grids of voxels, of their pairs, fours .. along each axis. It must be good to
about 1/eps, because eps b and eps G phi nearly cancel: fewer cycles cost more products than they save.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.faces import CurrentFaces

Grid = NDArray[np.complex64]
Three = tuple[Grid, Grid, Grid]

# Measured on a trunk of 130 000 faces: 17, 14 and 13 products after 4, 5 and 6 cycles; without, 57.
_CYCLES = 5
# Part of an error that one cycle takes away at least, among errors that matter; it takes away all of it at most,
# because every coarse grid's matrix is the fine one's between potentials that are constant over the joined voxels.
_LEAST_TAKEN = 0.35
# A grid of no more places is solved by its inverse matrix, 0.5 MB.
_SOLVED_PLACES = 250
# Rim and one voxel before the first face.
_AHEAD = 2

_REORDERED = {"contract", "reassoc", "nsz"}


@dataclass(frozen=True, slots=True, kw_only=True)
class StaticGrid:
    """G^T eps G + air on one grid, with a rim of dead places; arrays of shape (x, y, z).

    ``between`` holds the couplings of every place to the one before it along each axis, ``diagonal`` the matrix's
    diagonal and ``inverse`` its reciprocal, zero where there is no body. All are relative permittivities.
    """

    between: Three
    diagonal: Grid
    inverse: Grid

    @property
    def live(self) -> NDArray[np.bool_]:
        """Places that hold body."""
        return np.asarray(self.diagonal != 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StaticGrids:
    """All grids but the coarsest, of which it holds the inverse matrix over ``live`` places."""

    swept: tuple[StaticGrid, ...]
    live: NDArray[np.bool_]
    inverse: Grid


def static_solution(faces: CurrentFaces) -> Callable[[Any], Any]:
    """Prepare the static solution for one body.

    Parameters
    ----------
    faces : CurrentFaces
        Where current flows.

    Returns
    -------
    callable
        Takes right-hand sides b, shape (rows, faces), and returns nearly the currents j of the same shape; linear.
    """
    grids = _grids(faces)
    permittivity = faces.permittivity.astype(np.complex64)
    shape = faces.face_shape
    held = tuple(slice(_AHEAD, _AHEAD + count) for count in shape)

    def solution(row: Grid) -> Grid:
        pushed = permittivity * row
        flow = np.zeros((3, *grids.swept[0].diagonal.shape), dtype=np.complex64)
        spread = np.zeros(3 * int(np.prod(shape)), dtype=np.complex64)
        spread[faces.index] = pushed
        flow[(slice(None), *held)] = spread.reshape(3, *shape)
        gradient = _gradient(_potential(grids, _gathered(flow)))[(slice(None), *held)]
        near: Grid = pushed - (permittivity - 1) * gradient.reshape(-1)[faces.index]
        return near.astype(np.complex64)

    return lambda rows: np.stack([solution(row) for row in rows])


def _gathered(flow: Grid) -> Grid:
    """G^T: what the faces carry away from every voxel."""
    found = flow.sum(axis=0)
    found[:-1] -= flow[0, 1:]
    found[:, :-1] -= flow[1, :, 1:]
    found[:, :, :-1] -= flow[2, :, :, 1:]
    return found


def _gradient(potential: Grid) -> Grid:
    """G: difference of every voxel's potential from that of the voxel before, along each axis."""
    return np.stack([np.diff(potential, axis=axis, prepend=0) for axis in range(3)])


def _grids(faces: CurrentFaces) -> StaticGrids:
    """The matrix on the voxels, and on ever coarser grids."""
    shape = tuple(count + 3 for count in faces.face_shape)
    material = np.zeros(3 * int(np.prod(faces.face_shape)), dtype=np.complex128)
    material[faces.index] = faces.permittivity
    between = np.zeros((3, *shape), dtype=np.complex128)
    held = tuple(slice(_AHEAD, _AHEAD + count) for count in faces.face_shape)
    between[(slice(None), *held)] = material.reshape(3, *faces.face_shape)
    carrying = _both_sides((between != 0).astype(np.complex128))
    air = np.where(carrying != 0, 6 - carrying, 0)
    swept, coarsest = [_grid(between, air)], _grid(between, air)
    while np.count_nonzero(coarsest.live) > _SOLVED_PLACES or len(swept) == 1:
        between, air = _coarser(between, air)
        coarsest = _grid(between, air)
        swept.append(coarsest)
    return StaticGrids(swept=tuple(swept[:-1]), live=coarsest.live, inverse=_inverse_matrix(coarsest))


def _inverse_matrix(grid: StaticGrid) -> Grid:
    """Of the matrix over the live places, in their order in memory."""
    place = np.full(grid.diagonal.shape, -1)
    place[grid.live] = np.arange(np.count_nonzero(grid.live))
    matrix = np.diag(grid.diagonal[grid.live].astype(np.complex128))
    for axis, between in enumerate(grid.between):
        joined = between != 0
        before = np.roll(place, 1, axis)
        matrix[place[joined], before[joined]] = matrix[before[joined], place[joined]] = -between[joined]
    return np.linalg.inv(matrix).astype(np.complex64)


def _both_sides(between: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Sum over the six faces of every voxel."""
    return np.asarray(sum(part + np.roll(part, -1, axis) for axis, part in enumerate(between)))


def _grid(between: NDArray[np.complex128], air: NDArray[np.complex128]) -> StaticGrid:
    diagonal = _both_sides(between) + air
    inverse = np.divide(1, diagonal, out=np.zeros_like(diagonal), where=diagonal != 0)
    x, y, z = between.astype(np.complex64)
    return StaticGrid(between=(x, y, z), diagonal=diagonal.astype(np.complex64), inverse=inverse.astype(np.complex64))


def _coarser_shape(shape: tuple[int, ...]) -> tuple[int, ...]:
    return tuple((count - 1) // 2 + 2 for count in shape)


def _coarser(
    between: NDArray[np.complex128], air: NDArray[np.complex128]
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Join places 1 and 2, 3 and 4, .. along each axis; couplings between joined places fall away."""
    shape = _coarser_shape(air.shape)
    place = np.ix_(*(np.minimum((np.arange(old) + 1) // 2, new - 1) for old, new in zip(air.shape, shape, strict=True)))
    joined = np.zeros((3, *shape), dtype=np.complex128)
    for axis in range(3):
        crossing = between[axis].copy()
        np.moveaxis(crossing, axis, 0)[::2] = 0
        np.add.at(joined[axis], place, crossing)
    joined_air = np.zeros(shape, dtype=np.complex128)
    np.add.at(joined_air, place, air)
    return joined, joined_air


def _potential(grids: StaticGrids, source: Grid) -> Grid:
    """Nearly the potential of a source, the same linear map for every source.

    Chebyshev's iteration with fixed coefficients; it cannot diverge where permittivities share one phase.

    References
    ----------
    G. H. Golub and R. S. Varga, Numer. Math. 3, 147 (1961).
    """
    finest = grids.swept[0]
    centre, half_width = (1 + _LEAST_TAKEN) / 2, (1 - _LEAST_TAKEN) / 2
    found, left = np.zeros_like(source), source.copy()
    step = _after_a_cycle(grids, left) * np.float32(1 / centre)
    ratio = half_width / centre
    for _ in range(_CYCLES - 1):
        found += step
        _left(left, found, source, *finest.between, finest.diagonal)
        following = 1 / (2 * centre / half_width - ratio)
        step *= np.float32(following * ratio)
        step += np.float32(2 * following / half_width) * _after_a_cycle(grids, left)
        ratio = following
    return found + step


def _after_a_cycle(grids: StaticGrids, source: Grid) -> Grid:
    """Potential of a source after one cycle from zero."""
    found = np.zeros_like(source)
    _cycle(grids, 0, source, found)
    return found


def _cycle(grids: StaticGrids, level: int, source: Grid, potential: Grid) -> None:
    """Improve a potential in place: sweep, correct twice from the coarser grid, sweep back."""
    if level == len(grids.swept):
        potential[grids.live] = grids.inverse @ source[grids.live]
        return
    here = grids.swept[level]
    _sweep(potential, source, *here.between, here.inverse, 1)
    below = _coarser_shape(source.shape)
    left, correction = np.zeros(below, dtype=np.complex64), np.zeros(below, dtype=np.complex64)
    _leave(left, potential, source, *here.between, here.diagonal)
    for _ in range(2 if level + 1 < len(grids.swept) else 1):
        _cycle(grids, level + 1, left, correction)
    _lift(potential, correction, here.diagonal)
    _sweep(potential, source, *here.between, here.inverse, -1)


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED, inline="always")  # called, it would count references
def _from_beside(u: Grid, x: Grid, y: Grid, z: Grid, i: int, j: int, k: int) -> complex:  # pragma: no cover - compiled
    """What the six neighbours of a place add to it."""
    along_x = x[i, j, k] * u[i - 1, j, k] + x[i + 1, j, k] * u[i + 1, j, k]
    along_y = y[i, j, k] * u[i, j - 1, k] + y[i, j + 1, k] * u[i, j + 1, k]
    along_z = z[i, j, k] * u[i, j, k - 1] + z[i, j, k + 1] * u[i, j, k + 1]
    return along_x + along_y + along_z


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED)
def _sweep(
    u: Grid, source: Grid, x: Grid, y: Grid, z: Grid, inverse: Grid, way: int
) -> None:  # pragma: no cover - compiled
    """Solve every place's equation in turn, from the first to the last or, with ``way`` -1, back."""
    a, b, c = u.shape
    for nth_x in range(1, a - 1):
        i = nth_x if way > 0 else a - 1 - nth_x
        for nth_y in range(1, b - 1):
            j = nth_y if way > 0 else b - 1 - nth_y
            for nth_z in range(1, c - 1):
                k = nth_z if way > 0 else c - 1 - nth_z
                if inverse[i, j, k] != 0:
                    u[i, j, k] = (source[i, j, k] + _from_beside(u, x, y, z, i, j, k)) * inverse[i, j, k]


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED)
def _left(
    left: Grid, u: Grid, source: Grid, x: Grid, y: Grid, z: Grid, diagonal: Grid
) -> None:  # pragma: no cover - compiled
    """What a potential leaves of its source."""
    a, b, c = u.shape
    for i in range(1, a - 1):
        for j in range(1, b - 1):
            for k in range(1, c - 1):
                if diagonal[i, j, k] != 0:
                    left[i, j, k] = source[i, j, k] - diagonal[i, j, k] * u[i, j, k] + _from_beside(u, x, y, z, i, j, k)


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED)
def _leave(
    coarse: Grid, u: Grid, source: Grid, x: Grid, y: Grid, z: Grid, diagonal: Grid
) -> None:  # pragma: no cover - compiled
    """Add what is left of the source to the places of the coarser grid."""
    a, b, c = u.shape
    for i in range(1, a - 1):
        for j in range(1, b - 1):
            for k in range(1, c - 1):
                if diagonal[i, j, k] != 0:
                    left = source[i, j, k] - diagonal[i, j, k] * u[i, j, k] + _from_beside(u, x, y, z, i, j, k)
                    coarse[(i + 1) // 2, (j + 1) // 2, (k + 1) // 2] += left


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED)
def _lift(u: Grid, coarse: Grid, diagonal: Grid) -> None:  # pragma: no cover - compiled
    """Add the coarser grid's correction."""
    a, b, c = u.shape
    for i in range(1, a - 1):
        for j in range(1, b - 1):
            for k in range(1, c - 1):
                if diagonal[i, j, k] != 0:
                    u[i, j, k] += coarse[(i + 1) // 2, (j + 1) // 2, (k + 1) // 2]
