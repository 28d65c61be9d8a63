"""How far a map moves when the body is solved on another grid: the estimate of its error."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from loopwright.bodies import VoxelGrid

__all__ = ["change_between_grids"]

_PERCENTILE = 95.0


def change_between_grids(
    fine: NDArray[np.floating],
    coarse: NDArray[np.floating],
    *,
    fine_grid: VoxelGrid,
    coarse_grid: VoxelGrid,
    region: NDArray[np.bool_],
) -> tuple[float, float]:
    """Change of a map between two grids, read at the fine grid's voxels of the region.

    Parameters
    ----------
    fine, coarse : ndarray, shape (x, y, z) of each grid
        The map on both grids, NaN outside the body.
    fine_grid, coarse_grid : VoxelGrid
        Where their voxels lie.
    region : ndarray of bool, shape (x, y, z) of the fine grid
        Voxels that count.

    Returns
    -------
    (float, float)
        95th percentile over the region of the relative change, and of the absolute one in the unit of the map.

    Notes
    -----
    The coarse map is read between its voxels linearly; places where a neighbour lies outside the body are left out.
    """
    read = RegularGridInterpolator(
        tuple(coarse_grid.centres_m(axis) for axis in range(3)), coarse, bounds_error=False, fill_value=np.nan
    )
    there = read(fine_grid.centre_points_m()[region])
    here = fine[region]
    known = np.isfinite(there) & np.isfinite(here)
    if not known.any():
        return float("nan"), float("nan")
    absolute = np.abs(here[known] - there[known])
    relative = absolute / np.maximum(np.abs(here[known]), np.finfo(np.float64).tiny)
    return float(np.percentile(relative, _PERCENTILE)), float(np.percentile(absolute, _PERCENTILE))
