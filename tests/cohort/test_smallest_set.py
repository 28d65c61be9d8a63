"""The smallest set of sizes against going through all subsets, and its bands against what bands have to be."""

from itertools import pairwise, product

import numpy as np
import pytest

from loopwright.cohort import smallest_set


def fewest(serves):
    """Least number of rows that together serve all columns that any row serves, over all 2^rows subsets."""
    wanted = serves.any(axis=0)
    numbers = [
        sum(picked)
        for picked in product([False, True], repeat=len(serves))
        if serves[np.array(picked)].any(axis=0)[wanted].all()
    ]
    return min(numbers)


@pytest.mark.parametrize("number", range(60))
def test_it_is_as_small_as_any_subset_that_serves_everybody(number):
    random = np.random.default_rng(number)
    arrays, patients = random.integers(1, 8), random.integers(1, 11)
    misfit = random.uniform(0, 20, (arrays, patients))
    misfit[random.uniform(size=misfit.shape) < 0.3] = np.nan
    girths = random.uniform(0.3, 0.6, patients)
    found = smallest_set(misfit, limit=8.0, circumference_m=girths)
    serves = np.nan_to_num(misfit, nan=np.inf) <= 8.0
    assert len(found.arrays) == fewest(serves)
    assert found.unserved == tuple(np.flatnonzero(~serves.any(axis=0)))
    served = serves[list(found.arrays)].any(axis=0) if found.arrays else np.zeros(patients, bool)
    assert np.array_equal(served, serves.any(axis=0))
    if found.bands is None:
        return
    assert sorted(band.array for band in found.bands) == sorted(found.arrays)
    members = [patient for band in found.bands for patient in band.patients]
    assert [girths[n] for n in members] == sorted(girths[serves.any(axis=0)])  # contiguous, from small to large
    assert all(serves[band.array, patient] for band in found.bands for patient in band.patients)


@pytest.mark.parametrize("number", range(30))
def test_no_other_cut_into_bands_misfits_less(number):
    random = np.random.default_rng(1000 + number)
    misfit = random.uniform(0, 10, (3, 6))
    misfit[random.integers(0, 3, 6), np.arange(6)] /= 2  # so that somebody serves everyone
    girths = np.sort(random.uniform(0.3, 0.6, 6))
    found = smallest_set(misfit, limit=6.5, circumference_m=girths)
    count = len(found.arrays)
    sums = []
    for worn in product(range(3), repeat=6):
        runs = [worn[0], *(b for a, b in pairwise(worn) if a != b)]
        if len(set(runs)) == len(runs) == count and all(misfit[a, n] <= 6.5 for n, a in enumerate(worn)):
            sums.append(sum(misfit[a, n] for n, a in enumerate(worn)))
    if found.bands is None:
        assert not sums
    else:
        own = sum(misfit[band.array, list(band.patients)].sum() for band in found.bands)
        assert own == pytest.approx(min(sums))


def test_growing_shells_serve_bands_side_by_side():
    """Whoever is smaller than a shell has a gap of the difference over 2 pi: with 9.6 mm of it two shells serve all."""
    girths = np.array([0.41, 0.46, 0.5, 0.54])
    shells = np.array([0.42, 0.47, 0.505, 0.55])
    gap = (shells[:, None] - girths[None]) / (2 * np.pi)
    found = smallest_set(np.where(gap < 0, np.nan, gap), limit=9.6e-3, circumference_m=girths)
    assert found.arrays == (1, 3)
    assert [band.patients for band in found.bands] == [(0, 1), (2, 3)]


def test_who_goes_into_nothing_is_named():
    found = smallest_set(np.array([[1.0, np.nan], [2.0, 9.0]]), limit=5.0, circumference_m=np.array([0.4, 0.5]))
    assert (found.arrays, found.unserved, found.equals) == ((0,), (1,), 1)
    nobody = smallest_set(np.array([[9.0]]), limit=5.0, circumference_m=np.array([0.4]))
    assert (nobody.arrays, nobody.unserved) == ((), (0,))
