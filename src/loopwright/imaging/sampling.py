"""Which voxels are imaged under an acceleration, and by which shifts others fold onto them."""

from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import VoxelGrid
from loopwright.brief.records.imaging import (
    AccelerationRequest,
    RegularAcceleration,
    ShiftedAcceleration,
    SimultaneousSlices,
)
from loopwright.imaging.aliasing import aliasing_shifts, lattice_shifts

__all__ = ["FoldingVoxels", "folding", "imaged_voxels", "replicas_of_shifted_lines_m"]

_AXES = {"x": 0, "y": 1, "z": 2}

#: Positions closer than this to the edge of a slice count as on it. [slice distance]
_EDGE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldingVoxels:
    """Voxels onto which others fold by the same shifts.

    ``where`` (x, y, z) marks the voxels, ``shifts`` (shift, 3) are in voxels with the zero shift first.
    """

    where: NDArray[np.bool_]
    shifts: NDArray[np.float64]


def folding(request: AccelerationRequest, grid: VoxelGrid) -> tuple[FoldingVoxels, ...]:
    """Voxels of the grid that an acceleration images, grouped by the shifts with which others fold onto them.

    Parameters
    ----------
    request : AccelerationRequest
        Regular or shifted undersampling, or simultaneous slices.
    grid : VoxelGrid
        Grid of the maps.

    Returns
    -------
    tuple of FoldingVoxels
        No voxel twice. All of the grid, except with simultaneous slices: there, the voxels of their slab, slice by
        slice of the group, for the outer slices have neighbours on one side only.

    References
    ----------
    Every R-th line along one or two directions: [pruessmann1999]. Lines shifted against each other: [breuer2006].
    Slices excited together: [larkman2001], and shifted in the plane: [breuer2005].
    """
    match request:
        case RegularAcceleration():
            spacing = tuple(
                (_AXES[direction], fov_m / (r * grid.spacing_m))
                for direction, fov_m, r in zip(
                    request.directions, request.field_of_view_m, request.factors, strict=True
                )
            )
            return (_everywhere(grid, aliasing_shifts(grid.shape, replica_spacing=spacing)),)
        case ShiftedAcceleration():
            generators = _in_plane(replicas_of_shifted_lines_m(request), request.directions) / grid.spacing_m
            return (_everywhere(grid, lattice_shifts(grid.shape, generators=generators)),)
        case SimultaneousSlices():
            return _slices(request, grid)
    assert_never(request)


def imaged_voxels(request: AccelerationRequest, grid: VoxelGrid) -> NDArray[np.bool_]:
    """Voxels that an acceleration images, shape (x, y, z): all of the grid, or the slab of simultaneous slices."""
    if not isinstance(request, SimultaneousSlices):
        return np.ones(grid.shape, dtype=np.bool_)
    number = _slice_number(request, grid)
    return (number >= 0) & (number < request.slices)


def replicas_of_shifted_lines_m(request: ShiftedAcceleration) -> NDArray[np.float64]:
    """Generators of the replicas of a shifted pattern, along its two directions.

    Parameters
    ----------
    request : ShiftedAcceleration
        Factors R, fields of view F, shift s.

    Returns
    -------
    ndarray, shape (2, 2)
        Rows are vectors, columns the two directions: (F_1/R_1, 0) and (-s F_1/(R_1 R_2), F_2/R_2). [m]

    Notes
    -----
    The sampled lines are the lattice of (R_1/F_1, s/F_2) and (0, R_2/F_2); a replica r is where every sampled line has
    a whole number of periods, so the replicas are the dual lattice.
    """
    (r_1, r_2), (f_1, f_2) = request.factors, request.field_of_view_m
    lines_per_m = np.array([[r_1 / f_1, request.shift / f_2], [0.0, r_2 / f_2]])
    return np.asarray(np.linalg.inv(lines_per_m).T)


def _in_plane(vectors: NDArray[np.float64], directions: tuple[str, str]) -> NDArray[np.float64]:
    """Put vectors (n, 2) along two directions into the body frame, (n, 3)."""
    full = np.zeros((len(vectors), 3))
    full[:, [_AXES[direction] for direction in directions]] = vectors
    return full


def _everywhere(grid: VoxelGrid, shifts: NDArray[np.float64]) -> FoldingVoxels:
    return FoldingVoxels(where=np.ones(grid.shape, dtype=np.bool_), shifts=shifts)


def _slices(request: SimultaneousSlices, grid: VoxelGrid) -> tuple[FoldingVoxels, ...]:
    """Each slice of the group by itself: from the first, all others lie above; from the last, all below."""
    normal, along = _AXES[request.normal], _AXES[request.direction]
    generators = np.zeros((2, 3))
    generators[0, along] = request.field_of_view_m / request.factor
    generators[1, normal] = request.slice_distance_m
    generators[1, along] = -request.shift_fraction * request.field_of_view_m
    shifts = lattice_shifts(grid.shape, generators=generators / grid.spacing_m)
    step = np.rint(shifts[:, normal] * grid.spacing_m / request.slice_distance_m).astype(np.intp)
    number = _slice_number(request, grid)
    return tuple(
        FoldingVoxels(where=number == n, shifts=shifts[(step >= -n) & (step < request.slices - n)])
        for n in range(request.slices)
    )


def _slice_number(request: SimultaneousSlices, grid: VoxelGrid) -> NDArray[np.intp]:
    """Which slice of its group images each voxel, shape (x, y, z); below 0 or beyond the last outside the slab."""
    axis = _AXES[request.normal]
    first_m = request.slab_centre_m - request.slices * request.slice_distance_m / 2
    along = np.floor((grid.centres_m(axis) - first_m) / request.slice_distance_m + _EDGE).astype(np.intp)
    shape = [1, 1, 1]
    shape[axis] = -1
    return np.broadcast_to(along.reshape(shape), grid.shape)
