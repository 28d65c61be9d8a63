"""A figure never hides how well it is known, and prints no finer than that."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loopwright.dossier import Column, Finding, printed, printed_range, printed_with_uncertainty
from loopwright.dossier.findings import CHOSEN
from loopwright.dossier.numbers import DISPLAY_UNITS, printed_as_given

COMMON = {"key": "k", "label": "l", "how": "h", "source": "s"}


def test_a_figure_with_neither_uncertainty_nor_reason_is_refused():
    with pytest.raises(ValueError, match="either an uncertainty or the reason"):
        Finding(value=1.0, unit="1", **COMMON)


def test_a_figure_with_both_is_refused():
    with pytest.raises(ValueError, match="either an uncertainty or the reason"):
        Finding(value=1.0, unit="1", uncertainty=0.1, no_uncertainty_because="none", **COMMON)


@pytest.mark.parametrize(
    ("value", "uncertainty", "unit", "text"),
    [
        (8.4176, 0.2315, "ohm", "8.4 ± 0.2 Ω"),
        (8.4176, 0.1315, "ohm", "8.42 ± 0.13 Ω"),
        (178.84e-9, 0.3e-9, "H", "178.8 ± 0.3 nH"),
        (15934.0, 250.0, "1", "15900 ± 200"),
        (-0.0163, 0.002, "1", "−0.016 ± 0.002"),
        (0.95, 0.096, "1", "0.95 ± 0.10"),
        (2.0, 0.0, "1", "2.00 ± 0"),
    ],
)
def test_value_and_uncertainty_end_at_the_same_digit(value, uncertainty, unit, text):
    finding = Finding(value=value, unit=unit, uncertainty=uncertainty, **COMMON)
    assert finding.text == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.0, "1", "0"),
        (9.996, "1", "10.0"),
        (123456.0, "1", "123000"),
        (1234567.0, "1", "1.23 × 10⁶"),
        (-3.2e-12, "1", "−3.20 × 10⁻¹²"),
        (float("inf"), "1", "∞"),
        (float("nan"), "1", "not known"),
        (38.12e-12, "F", "38.1 pF"),
        (8e-9, "m^3", "8.00 mm³"),
        (2.1e-3, "m^3", "2100 cm³"),
        (200.0, "Hz", "200 Hz"),
        (0.7166, "S/m", "0.717 S/m"),
        (3.0, "furlong", "3.00 furlong"),
    ],
)
def test_numbers_as_an_engineer_writes_them(value, unit, text):
    assert printed(value, unit) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(0.006, "m", "6 mm"), (2.8936, "T", "2.8936 T"), (310.15, "K", "310.15 K"), (100.0, "1", "100")],
)
def test_a_choice_is_printed_as_it_was_given(value, unit, text):
    finding = Finding(value=value, unit=unit, no_uncertainty_because=CHOSEN, **COMMON)
    assert finding.text == printed_as_given(value, unit) == text


@given(value=st.floats(1e-2, 1e4), relative=st.floats(1e-4, 0.5))
def test_rounding_moves_a_value_by_less_than_its_uncertainty(value, relative):
    text = printed_with_uncertainty(value, value * relative).split(" ± ")
    assert abs(float(text[0]) - value) <= 0.51 * value * relative
    assert float(text[1]) == pytest.approx(value * relative, rel=0.26)


@given(value=st.floats(1e-3, 9e5), digits=st.integers(2, 5))
def test_significant_digits_are_kept(value, digits):
    assert float(printed(value, digits=digits)) == pytest.approx(value, rel=0.51 * 10 ** (1 - digits))


def test_a_range_leaves_out_what_is_not_known():
    assert printed_range(np.array([1.0, np.nan, 3.0]), "ohm") == "2.00 Ω (1.00 to 3.00)"
    assert printed_range(np.array([np.nan]), "ohm") == "not known"


def test_a_coordinate_has_fixed_decimals_and_no_negative_zero():
    column = Column(title="centre x", unit="m", decimals=1)
    assert column.heading == "centre x [mm]"
    assert column.text(-1e-17) == "0.0"
    assert column.text(-0.0599) == "−59.9"


def test_units_on_paper_are_larger_or_smaller_by_powers_of_ten():
    for unit in DISPLAY_UNITS.values():
        assert np.log10(unit.per_si) == pytest.approx(round(np.log10(unit.per_si)))
