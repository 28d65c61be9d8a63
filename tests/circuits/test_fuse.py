"""The window of fuse ratings, and what a fuse costs."""

import dataclasses

import numpy as np
import pytest

from loopwright.circuits.bias.fuse import (
    GENERIC_FUSE,
    fuse_resistance_ohm,
    fuse_window,
    noise_cost_db,
    opening_time_s,
)


def test_every_rating_of_the_window_opens_in_time_and_survives():
    window = fuse_window([4.3, 3.1, 2.1], detuned_rms_a=[0.03, 0.02, 0.01], fuse=GENERIC_FUSE)
    assert not window.empty.any()
    for share in (0.0, 0.5, 1.0):
        rating_a = window.least_a + share * (window.greatest_a - window.least_a)
        assert np.all(opening_time_s([4.3, 3.1, 2.1], rating_a=rating_a, fuse=GENERIC_FUSE) <= 1.0 + 1e-9)
        assert np.all(np.array([0.03, 0.02, 0.01]) <= GENERIC_FUSE.carried_fraction * rating_a)


def test_the_window_ends_where_the_time_law_does():
    """Ten per cent above the upper end it opens too late, and no sooner: the bound is tight."""
    window = fuse_window(3.0, detuned_rms_a=0.02, fuse=GENERIC_FUSE)
    assert opening_time_s(3.0, rating_a=1.1 * window.greatest_a, fuse=GENERIC_FUSE) > 1.0
    assert opening_time_s(3.0, rating_a=window.greatest_a, fuse=GENERIC_FUSE) == pytest.approx(1.0)


def test_the_rule_of_the_trade_is_kept_where_it_is_stricter():
    quick = dataclasses.replace(GENERIC_FUSE, known_multiple=1.2, known_time_s=0.1)
    window = fuse_window(3.0, detuned_rms_a=0.02, fuse=quick)
    assert window.least_a == pytest.approx(0.06)
    assert window.greatest_a == pytest.approx(1.0)
    assert quick.source.flag.value == "from memory, unverified"


def test_a_window_that_is_not_there_is_told():
    window = fuse_window([0.5, 3.0], detuned_rms_a=[0.2, 0.02], fuse=GENERIC_FUSE)
    assert list(window.empty) == [True, False]


def test_below_its_known_multiple_nobody_knows_when_it_opens():
    assert opening_time_s(0.9, rating_a=0.5, fuse=GENERIC_FUSE) == np.inf
    # Constant I^2 t beyond: twice the current, a quarter of the time.
    late, soon = opening_time_s([1.0, 2.0], rating_a=0.5, fuse=GENERIC_FUSE)
    assert (late, soon) == (pytest.approx(5.0), pytest.approx(1.25))


@pytest.mark.parametrize(
    ("body_ohm", "wire_ohm", "printed_db", "half_a_digit"),
    [(2.9, 0.105, 0.6, 0.05), (11.0, 0.148, 0.18, 0.006), (4.4, 0.111, 0.43, 0.006), (1.1, 0.074, 1.2, 0.05)],
)
def test_half_an_ohm_costs_what_the_trade_reckons(body_ohm, wire_ohm, printed_db, half_a_digit):
    """0.5 ohm beside 0.34 ohm of fixed loss and 1.6 mm wire: loops of 8 cm at 1.5 T, of 8, 6 and 4 cm at 3 T."""
    coil_ohm = 0.34 + wire_ohm
    found = noise_cost_db(0.5, body_ohm=body_ohm, coil_ohm=coil_ohm, body_temperature_k=300, coil_temperature_k=300)
    assert found == pytest.approx(printed_db, abs=half_a_digit)


def test_a_cold_fuse_costs_less_beside_a_warm_body():
    warm = noise_cost_db(0.5, body_ohm=10, coil_ohm=0.3, body_temperature_k=310, coil_temperature_k=310)
    cool = noise_cost_db(0.5, body_ohm=10, coil_ohm=0.3, body_temperature_k=310, coil_temperature_k=293)
    assert cool < warm
    # Ratings of 0.3 to 0.6 A have 0.2 to 0.5 ohm.
    assert fuse_resistance_ohm([0.3, 0.6], fuse=GENERIC_FUSE) == pytest.approx([0.5, 0.25])
