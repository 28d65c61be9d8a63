"""How far the best of a finite number of combinations has settled, voxel by voxel.

The best of more combinations is never less, so that the bound is a lower estimate of the ultimate and a fraction of it
an upper one. What the second half of the combinations added tells by how much.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["MOST_CHANGE", "Settling", "change_of", "settling_of"]

Real = NDArray[np.float64]
Where = NDArray[np.bool_]

#: No fraction is told where the second half of the combinations added more than this to the bound.
MOST_CHANGE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """Median and largest change of the bound over the voxels where fractions are told, and the share left out. [1]

    The changes are NaN where no voxel is told.
    """

    median: float
    largest: float
    left_out: float


def change_of(half: Real, full: Real, where: Where) -> Real:
    """Part of the bound that the second half of the combinations added.

    Parameters
    ----------
    half, full : ndarray, shape (x, y, z)
        Bound of half of the combinations, and of all. [T A^-1 ohm^-1/2]
    where : ndarray of bool, shape (x, y, z)
        Voxels asked for.

    Returns
    -------
    ndarray, shape (x, y, z)
        NaN elsewhere, and where not even all combinations reach. [1]
    """
    reached = where & (np.nan_to_num(full) > 0)
    part = np.divide(half, full, out=np.full(full.shape, np.nan), where=reached)
    return np.asarray(1 - np.where(reached, np.nan_to_num(part), np.nan))


def settling_of(change: Real) -> Settling:
    """Sum up the changes of all voxels that have one."""
    reached = change[np.isfinite(change)]
    told = reached[reached <= MOST_CHANGE]
    if told.size == 0:
        return Settling(median=float("nan"), largest=float("nan"), left_out=1.0)
    return Settling(median=float(np.median(told)), largest=float(told.max()), left_out=1 - told.size / reached.size)
