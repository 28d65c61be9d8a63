"""What the array does to the transmit field: B1+ in a region against that without the array, case by case."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.rotating import transmit_component
from loopwright.ground.errors import OutsideModelError

__all__ = ["B1_LIMITS", "B1Change", "B1Statistics", "b1_changes", "b1_ratios"]

Real = NDArray[np.float64]
Complex = NDArray[np.complexfloating]

#: Voxels in which the field without the array is less than this share of the region's mean are left out of the ratios.
LEAST_OF_MEAN = 0.1
#: Numbers held at once: some tens of megabytes, without changing any result.
_HELD = 4_000_000

B1_LIMITS = (
    "The currents of the resonator are held: what its matching does when the array changes its load is not in B1+.",
    (
        "The adjusted figures stand for a scanner that sets its power by the mean of B1+ over this region; it may take "
        "another region, and a prescan that weighs by signal."
    ),
    "Voxels whose field without the array is under a tenth of the region's mean are left out; they are counted.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class B1Statistics:
    """B1+ over that without the array, over the voxels of a region; one is no change.

    Attributes
    ----------
    mean : float
        [1]
    deviation : float
        Standard deviation over the voxels. [1]
    lowest_percent, highest_percent : float
        What one voxel in a hundred falls short of, and what one in a hundred exceeds. [1]
    lowest, highest : float
        Of single voxels. [1]
    lowest_place_m, highest_place_m : tuple of float
        Where they are, in the body frame. [m]
    """

    mean: float
    deviation: float
    lowest_percent: float
    highest_percent: float
    lowest: float
    highest: float
    lowest_place_m: tuple[float, float, float]
    highest_place_m: tuple[float, float, float]

    @property
    def worst(self) -> float:
        """Of the lowest and the highest voxel, the ratio that is farther from one."""
        return max(self.lowest, self.highest, key=lambda ratio: abs(ratio - 1))

    @property
    def worst_place_m(self) -> tuple[float, float, float]:
        """Where that voxel is. [m]"""
        return self.lowest_place_m if self.worst == self.lowest else self.highest_place_m


@dataclass(frozen=True, slots=True, kw_only=True)
class B1Change:
    """One case against no array.

    Attributes
    ----------
    as_driven : B1Statistics
        With the same current in the resonator.
    adjusted : B1Statistics
        After the scanner has brought the mean of B1+ over the region back to what it was.
    adjustment : float
        Amplitude that this takes, over the one before; its square is the power's. [1]
    left_out : int
        Voxels without a ratio, as there was next to no field.
    """

    as_driven: B1Statistics
    adjusted: B1Statistics
    adjustment: float
    left_out: int


def b1_ratios(rows_t: Complex, amplitudes: NDArray[np.number], without_t: Complex, *, sense: int) -> Real:
    """B1+ over that without the array, voxel by voxel.

    Parameters
    ----------
    rows_t : ndarray, shape (rows, 3, voxels)
        Magnetic field of every row per unit amplitude, peak phasors. [T]
    amplitudes : ndarray, shape (cases, rows)
        Of every row in every case.
    without_t : ndarray, shape (3, voxels)
        Of the transmit field with the body but no array, at the amplitude that it has in the cases. [T]
    sense : int
        :class:`~loopwright.fields.rotating.Precession`.

    Returns
    -------
    ndarray, shape (cases, voxels)
        Of magnitudes. [1] NaN where there was next to no field without the array.
    """
    before = _magnitude_without(without_t, sense)
    kept = before >= LEAST_OF_MEAN * before.mean()
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.concatenate(
            [np.where(kept, after / before, np.nan) for after in _magnitudes(rows_t, amplitudes, sense)]
        )


def b1_changes(
    rows_t: Complex, amplitudes: NDArray[np.number], without_t: Complex, *, sense: int, places_m: Real
) -> tuple[B1Change, ...]:
    """Statistics of B1+ against no array, case by case.

    Parameters
    ----------
    rows_t : ndarray, shape (rows, 3, voxels)
        Magnetic field of every row per unit amplitude, peak phasors, in the voxels of the region. [T]
    amplitudes : ndarray, shape (cases, rows)
        Of every row in every case.
    without_t : ndarray, shape (3, voxels)
        Of the transmit field with the body but no array, at the amplitude that it has in the cases. [T]
    sense : int
        :class:`~loopwright.fields.rotating.Precession`.
    places_m : ndarray, shape (voxels, 3)
        Of the voxels. [m]

    Returns
    -------
    tuple of B1Change
        One for each case.

    Raises
    ------
    OutsideModelError
        If the region is empty or holds no field without the array.
    """
    before = _magnitude_without(without_t, sense)
    kept = before >= LEAST_OF_MEAN * before.mean()
    return tuple(
        _change(after[kept], before[kept], places_m[kept], left_out=int(np.count_nonzero(~kept)))
        for some in _magnitudes(rows_t, amplitudes, sense)
        for after in some
    )


def _magnitude_without(without_t: Complex, sense: int) -> Real:
    before = np.abs(transmit_component(without_t[0], without_t[1], sense=sense)).astype(np.float64)
    if before.size == 0 or not before.mean() > 0:
        raise OutsideModelError(
            "the change of B1+ was asked for over a region that is empty or has no transmit field. "
            "Choose a region inside the body and the resonator."
        )
    return before


def _magnitudes(rows_t: Complex, amplitudes: NDArray[np.number], sense: int) -> Iterator[Real]:
    """Magnitude of B1+ of some cases at a time, (some cases, voxels)."""
    rows = transmit_component(rows_t[:, 0], rows_t[:, 1], sense=sense)
    together = max(1, _HELD // max(1, rows.shape[1]))
    for first in range(0, len(amplitudes), together):
        yield np.abs(np.asarray(amplitudes[first : first + together], dtype=rows.dtype) @ rows).astype(np.float64)


def _change(after: Real, before: Real, places_m: Real, *, left_out: int) -> B1Change:
    adjustment = float(before.mean() / after.mean())
    ratio = after / before
    return B1Change(
        as_driven=_statistics(ratio, places_m),
        adjusted=_statistics(adjustment * ratio, places_m),
        adjustment=adjustment,
        left_out=left_out,
    )


def _statistics(ratio: Real, places_m: Real) -> B1Statistics:
    low, high = np.quantile(ratio, (0.01, 0.99)).tolist()
    least, most = int(np.argmin(ratio)), int(np.argmax(ratio))
    a, b, c = places_m[least].tolist()
    x, y, z = places_m[most].tolist()
    return B1Statistics(
        mean=float(ratio.mean()),
        deviation=float(ratio.std()),
        lowest_percent=low,
        highest_percent=high,
        lowest=float(ratio[least]),
        highest=float(ratio[most]),
        lowest_place_m=(a, b, c),
        highest_place_m=(x, y, z),
    )
