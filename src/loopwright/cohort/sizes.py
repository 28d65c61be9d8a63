"""The smallest set of sizes that keeps a limit on every patient, and the band of circumferences of each."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Band", "SizeSet", "smallest_set"]

Real = NDArray[np.float64]

#: Bands are sought in every order of the sizes of a set: 7! orders at most.
_MOST_IN_BANDS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Patients, by index from the smallest to the largest, that one array serves."""

    array: int
    patients: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeSet:
    """The smallest set of arrays that serves whoever can be served.

    Attributes
    ----------
    limit : float
    arrays : tuple of int
        By index.
    unserved : tuple of int
        Patients on whom no array keeps the limit.
    bands : tuple of Band, or None
        One array for each range of circumferences, none overlapping; None where no set of that number has such.
    equals : int
        Sets of the same number that serve as many.
    """

    limit: float
    arrays: tuple[int, ...]
    unserved: tuple[int, ...]
    bands: tuple[Band, ...] | None
    equals: int


def smallest_set(misfit: Real, *, limit: float, circumference_m: Real) -> SizeSet:
    """Find the smallest set of arrays that keeps a limit.

    Parameters
    ----------
    misfit : ndarray, shape (arrays, patients)
        What is to stay at or below the limit; NaN where an array does not go on a patient.
    limit : float
        In the unit of the misfit.
    circumference_m : ndarray, shape (patients,)
        Circumferences, for the bands. [m]

    Returns
    -------
    SizeSet
        Of all sets of the least number one with bands where there is any, and of these the one with the least sum of
        misfits. Exact: every set is looked at, from the smallest on.
    """
    serves: NDArray[np.bool_] = np.less_equal(np.nan_to_num(misfit, nan=np.inf), limit)
    wanted = np.asarray(serves.any(axis=0))
    unserved = tuple(int(index) for index in np.flatnonzero(~wanted))
    order = [int(index) for index in np.argsort(circumference_m, kind="stable") if wanted[index]]
    least = next(_covering(serves[:, wanted]))
    ranked = sorted((_ranked(chosen, misfit, serves, order) for chosen in least), key=lambda entry: entry[0])
    (_, bands, chosen) = ranked[0]
    return SizeSet(limit=limit, arrays=chosen, unserved=unserved, bands=bands, equals=len(least) - 1)


def _covering(serves: NDArray[np.bool_]) -> Iterator[list[tuple[int, ...]]]:
    """All sets of the least number that serve every patient, then nothing."""
    arrays, patients = serves.shape
    if not patients:
        yield [()]
    for number in range(1, arrays + 1):
        found = [chosen for chosen in combinations(range(arrays), number) if serves[list(chosen)].any(axis=0).all()]
        if found:
            yield found


Ranked = tuple[tuple[bool, float, tuple[int, ...]], tuple[Band, ...] | None, tuple[int, ...]]


def _ranked(chosen: tuple[int, ...], misfit: Real, serves: NDArray[np.bool_], order: list[int]) -> Ranked:
    """A set with what it is ranked by: whether it has no bands, then the sum of its misfits."""
    if not chosen:
        return (False, 0.0, ()), (), ()
    found = _best_bands(chosen, misfit, serves, order)
    if found is not None:
        return (False, found[0], chosen), found[1], chosen
    best = np.where(serves, misfit, np.inf)[list(chosen)][:, order].min(axis=0)
    return (True, float(best.sum()), chosen), None, chosen


def _best_bands(
    chosen: tuple[int, ...], misfit: Real, serves: NDArray[np.bool_], order: list[int]
) -> tuple[float, tuple[Band, ...]] | None:
    """Cheapest cut of the patients in order into one range for each array, in any order of the arrays."""
    if len(chosen) > _MOST_IN_BANDS or len(chosen) > len(order):
        return None
    cost = np.where(serves, misfit, np.inf)[:, order]
    found = [_cut(arrays, cost) for arrays in permutations(chosen)]
    total, arrays, cuts = min(found, key=lambda entry: entry[0])
    if not np.isfinite(total):
        return None
    ends = zip((0, *cuts), (*cuts, len(order)), strict=True)
    bands = [Band(array=a, patients=tuple(order[i:j])) for a, (i, j) in zip(arrays, ends, strict=True)]
    return total, tuple(bands)


def _cut(arrays: tuple[int, ...], cost: Real) -> tuple[float, tuple[int, ...], tuple[int, ...]]:
    """Cheapest cuts of the columns of the cost (arrays, patients) into ranges for these arrays in this order."""
    count = cost.shape[1]
    best: list[tuple[float, tuple[int, ...]]]
    best = [(float(cost[arrays[0], :end].sum()) if end else np.inf, ()) for end in range(count + 1)]
    for array in arrays[1:]:
        best = [min((_one_more(best[start], float(cost[array, start:end].sum()), start) for start in range(1, end)),
                    default=(np.inf, ())) for end in range(count + 1)]  # fmt: skip
    return best[count][0], arrays, best[count][1]


def _one_more(before: tuple[float, tuple[int, ...]], cost: float, start: int) -> tuple[float, tuple[int, ...]]:
    """Cuts with one more range, which begins at a patient."""
    return before[0] + cost, (*before[1], start)
