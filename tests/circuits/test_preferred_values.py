"""IEC 60063 and printed ladders."""

import numpy as np
import pytest

from loopwright.circuits.values.preferred_values import Ladder, Series, allowed_values, decade, nearest
from loopwright.ground.errors import OutsideModelError

E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]


def tenths(series):
    return [round(10 * value) for value in decade(series)]


def test_e24_is_the_list_of_the_standard_and_not_the_rounded_powers():
    assert tenths(Series.E24) == E24
    rounded = [round(10 * 10 ** (n / 24)) for n in range(24)]
    off = {value: value - other for value, other in zip(E24, rounded, strict=True) if value != other}
    assert off == {27: 1, 30: 1, 33: 1, 36: 1, 39: 1, 43: 1, 47: 1, 82: -1}


def test_coarser_series_are_every_other_value_of_the_finer():
    assert tenths(Series.E12) == [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
    assert tenths(Series.E6) == [10, 15, 22, 33, 47, 68]
    assert tenths(Series.E3) == [10, 22, 47]


@pytest.mark.parametrize("series", [Series.E48, Series.E96, Series.E192])
def test_fine_series_are_the_powers_to_three_digits_but_for_one(series):
    found = np.array(decade(series))
    exact = 10 ** (np.arange(series.value) / series.value)
    off = found[np.abs(found - exact) > 0.00501]
    assert off.tolist() == ([9.2] if series is Series.E192 else [])
    assert 9.19 not in found
    assert len(set(found)) == series.value
    assert np.all(np.diff(found) > 0)


def test_e96_and_e48_are_in_e192():
    assert set(decade(Series.E48)) < set(decade(Series.E96)) < set(decade(Series.E192))


def test_values_between_limits_span_decades():
    found = allowed_values(Series.E6, least=4.7e-12, most=33e-12)
    assert found * 1e12 == pytest.approx([4.7, 6.8, 10, 15, 22, 33])
    with pytest.raises(OutsideModelError, match="no value of E3"):
        allowed_values(Series.E3, least=5e-12, most=9e-12)


@pytest.mark.parametrize("value", [9.7e-12, 1.02e-12, 44e-12, 45.01e-12])
def test_nearest_is_nearest_by_ratio(value):
    choices = np.outer([1e-13, 1e-12, 1e-11, 1e-10], decade(Series.E24)).ravel()
    order = np.argsort(np.abs(np.log(choices / value)))
    assert nearest(value, Series.E24, count=4) == pytest.approx(choices[order[:4]], rel=1e-12, abs=0)


def test_ladder_has_equal_steps_and_ends():
    ladder = Ladder(least=10e-12, most=12e-12, step=0.5e-12)
    assert allowed_values(ladder, least=1e-12, most=1e-9) * 1e12 == pytest.approx([10, 10.5, 11, 11.5, 12])
    assert nearest(50e-12, ladder)[0] == pytest.approx(12e-12, rel=1e-12, abs=0)
    with pytest.raises(OutsideModelError, match="no rungs"):
        Ladder(least=2, most=1, step=0.1)
