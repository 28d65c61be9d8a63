"""Which positions fold onto a voxel when a lattice of lines is sampled, and the maps at those positions."""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["AliasedSets", "SampledMaps", "aliased_sets", "aliasing_shifts", "lattice_shifts", "sample_maps"]

#: Shifts closer than this to a whole voxel count as whole. [voxel]
_WHOLE = 1e-9


def aliasing_shifts(
    shape: tuple[int, int, int], *, replica_spacing: tuple[tuple[int, float], ...]
) -> NDArray[np.float64]:
    """Every shift by which a replica of the body can fall onto a voxel of the grid.

    Parameters
    ----------
    shape : tuple of int
        Voxels of the grid along x, y, z.
    replica_spacing : tuple of (int, float)
        For each undersampled direction its axis (0, 1, 2) and the distance between replicas, field of view over
        acceleration. [voxel]

    Returns
    -------
    ndarray, shape (shift, 3)
        Shifts in voxels, the zero shift first.

    Raises
    ------
    OutsideModelError
        If a distance is not positive, or an axis is given twice.
    """
    if len({axis for axis, _ in replica_spacing}) < len(replica_spacing) or any(d <= 0 for _, d in replica_spacing):
        raise OutsideModelError(f"replicas need distinct axes and positive distances, found {replica_spacing}")
    generators = np.zeros((len(replica_spacing), 3))
    for row, (axis, distance) in enumerate(replica_spacing):
        generators[row, axis] = distance
    return lattice_shifts(shape, generators=generators)


def lattice_shifts(shape: tuple[int, int, int], *, generators: NDArray[np.float64]) -> NDArray[np.float64]:
    """Every vector of a lattice that leads from one voxel of the grid to another.

    Parameters
    ----------
    shape : tuple of int
        Voxels of the grid along x, y, z.
    generators : ndarray, shape (generator, 3)
        Vectors whose whole multiples make the lattice; linearly independent, up to three. [voxel]

    Returns
    -------
    ndarray, shape (shift, 3)
        Shifts in voxels, the zero shift first.

    Raises
    ------
    OutsideModelError
        If the generators depend on each other.
    """
    if np.linalg.matrix_rank(generators) < len(generators):
        raise OutsideModelError(f"the replicas of a sampling pattern need independent distances, found {generators}")
    reach = np.asarray(shape, dtype=np.float64)
    # The coordinates of a lattice vector are its products with the dual vectors, so these bound them.
    most = np.ceil(np.abs(np.linalg.pinv(generators)).T @ reach).astype(np.intp)
    multiples = np.array(list(product(*(range(-m, m + 1) for m in most))), dtype=np.float64)
    shifts = multiples.reshape(-1, len(generators)) @ generators
    shifts = shifts[np.all(np.abs(shifts) < reach, axis=1)]
    return shifts[np.argsort(np.any(shifts != 0, axis=1), kind="stable")]


@dataclass(frozen=True, slots=True, kw_only=True)
class AliasedSets:
    """Voxels whose aliased sets have the same number of positions.

    ``rows`` (voxel,) numbers them in the list of targets; ``shift`` (voxel, position) numbers the shifts that stay in
    the body, the voxel's own zero shift first.
    """

    rows: NDArray[np.intp]
    shift: NDArray[np.intp]


def aliased_sets(
    body_mask: NDArray[np.bool_], targets: NDArray[np.intp], shifts: NDArray[np.float64]
) -> tuple[AliasedSets, ...]:
    """Group the target voxels by the number of body positions that fold onto them.

    Parameters
    ----------
    body_mask : ndarray of bool, shape (x, y, z)
        Voxels of the body.
    targets : ndarray of int, shape (voxel, 3)
        Indices of voxels in the body.
    shifts : ndarray, shape (shift, 3)
        As from ``aliasing_shifts``, zero first. [voxel]

    Returns
    -------
    tuple of AliasedSets
        In the order of their number of positions.

    Notes
    -----
    A position lies in the body where the voxel that contains it does.
    """
    inside = np.empty((len(targets), len(shifts)), dtype=np.bool_)
    for column, shift in enumerate(shifts):
        inside[:, column] = _lookup(body_mask, targets + np.floor(shift + 0.5 + _WHOLE).astype(np.intp))
    inside[:, 0] = True
    count = inside.sum(axis=1)
    order = np.argsort(~inside, axis=1, kind="stable")
    return tuple(
        AliasedSets(rows=(rows := np.flatnonzero(count == n)), shift=order[rows, :n]) for n in np.unique(count).tolist()
    )


def _lookup(mask: NDArray[np.bool_], index: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Read a mask at integer positions, False outside the grid."""
    within = np.all((index >= 0) & (index < mask.shape), axis=-1)
    safe = np.where(within[..., None], index, 0)
    return np.asarray(mask[safe[..., 0], safe[..., 1], safe[..., 2]] & within)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledMaps:
    """Maps of the elements, kept only where they are known.

    ``values`` (row, element) holds the maps, ``row`` (x, y, z) the row of each voxel, -1 where nothing is known.
    """

    values: NDArray[np.complex128]
    row: NDArray[np.intp]


def sample_maps(
    maps: SampledMaps, targets: NDArray[np.intp], shift_of: NDArray[np.intp], shifts: NDArray[np.float64]
) -> NDArray[np.complex128]:
    """Interpolate the maps at shifted voxels.

    Parameters
    ----------
    maps : SampledMaps
        Maps at voxel centres.
    targets : ndarray of int, shape (voxel, 3)
        Indices of voxels.
    shift_of : ndarray of int, shape (voxel, position)
        Which shift leads to each position.
    shifts : ndarray, shape (shift, 3)
        Shifts. [voxel]

    Returns
    -------
    ndarray, shape (voxel, position, element)
        Trilinear between voxel centres. Corners where nothing is known are left out and the weights of the others
        made up to one, so at the rim the map goes on as its nearest known voxels; zero where no corner is known.
    """
    base = np.floor(shifts + _WHOLE)
    fraction = np.where(shifts - base < _WHOLE, 0.0, shifts - base)
    moving = np.any(fraction > 0, axis=0)
    total = np.zeros((*shift_of.shape, maps.values.shape[1]), dtype=np.complex128)
    weights = np.zeros(shift_of.shape)
    for corner in product(*((0, 1) if move else (0,) for move in moving)):
        step = np.asarray(corner)
        weight = np.prod(np.where(step == 1, fraction, 1 - fraction), axis=1)[shift_of]
        index = targets[:, None, :] + (base.astype(np.intp) + step)[shift_of]
        row = _rows(maps.row, index)
        weight = np.where(row >= 0, weight, 0.0)
        total += weight[..., None] * maps.values[row]
        weights += weight
    return np.divide(total, weights[..., None], out=total, where=weights[..., None] > 0)


def _rows(row: NDArray[np.intp], index: NDArray[np.intp]) -> NDArray[np.intp]:
    """Read the row table at integer positions, -1 outside the grid."""
    within = np.all((index >= 0) & (index < row.shape), axis=-1)
    safe = np.where(within[..., None], index, 0)
    return np.asarray(np.where(within, row[safe[..., 0], safe[..., 1], safe[..., 2]], -1))
