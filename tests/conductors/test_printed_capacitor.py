"""Plate for a value, loss along the plates, voltage; the spread of prints."""

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loopwright.brief.films import FILMS, film_of
from loopwright.conductors import (
    Feed,
    Plate,
    PrintSpreads,
    PrintStack,
    capacitance_limits_f,
    draw_edges_m,
    draw_sheets,
    drawn_capacitance_f,
    expected_spread,
    plate_capacitance_f,
    plate_for,
    plate_resistance_ohm,
    printed_q,
    spread_shares,
    withstand_v,
)
from loopwright.ground.errors import OutsideModelError

F0_HZ = 123.2e6


def stack(**changes):
    layers = {
        "film_m": 50e-6, "eps_r": 3.4, "loss_tangent": 0.006, "breakdown_v_per_m": 200e6, "ink_m": 15e-6,
        "ink_conductivity_s_per_m": 8e6, "margin_m": 0.3e-3,
    }  # fmt: skip
    return PrintStack(**layers | changes)


def spreads(**changes):
    return PrintSpreads(**{"thickness": 0.05, "eps_r": 0.03, "edge_m": 50e-6, "registration_m": 0.2e-3} | changes)


@given(c=st.floats(1e-12, 500e-12), film_m=st.floats(25e-6, 100e-6))
def test_a_plate_has_the_value_that_it_was_made_for(c, film_m):
    layers = stack(film_m=film_m)
    plate = plate_for(layers, c, narrowest_m=0.5e-3, widest_m=8e-3)
    assert plate_capacitance_f(layers, plate) == pytest.approx(c, rel=1e-6, abs=0)
    assert 0.5e-3 <= plate.width_m <= 8e-3
    assert plate.length_m == pytest.approx(plate.width_m) or plate.width_m == 8e-3


def test_plates_that_cannot_be_printed_are_refused():
    with pytest.raises(OutsideModelError, match="thicker film"):
        plate_for(stack(), 0.01e-12, narrowest_m=0.5e-3, widest_m=8e-3)
    with pytest.raises(OutsideModelError, match="more gaps"):
        plate_for(stack(), 10e-9, narrowest_m=0.5e-3, widest_m=2e-3)


def ladder_network_ohm(per_metre_ohm, plate, capacitance_f, *, feed, cells=2000):
    """Series resistance of two resistive plates joined by a distributed capacitance, by its differential equation.

    Voltage and current along the plates obey a chain of cells; power over the square of the current at the leads.
    """
    x = (np.arange(cells) + 0.5) / cells
    falling = {Feed.OPPOSITE_ENDS: 1 - x, Feed.MIDDLES: np.where(x < 0.5, x, 1 - x)}[feed]
    w = 2 * pi * F0_HZ
    leaving = np.ones(cells) / cells
    for _ in range(20):  # the drop along the plates moves the displacement current, which moves the drop
        upper = np.cumsum(leaving[::-1])[::-1] if feed is Feed.OPPOSITE_ENDS else falling
        lower = 1 - upper if feed is Feed.OPPOSITE_ENDS else falling
        drop = np.cumsum((lower - upper) * per_metre_ohm * plate.length_m / cells)
        voltage = 1 / (1j * w * capacitance_f) + drop - drop.mean()
        leaving = voltage / voltage.sum()
    return float(np.mean(np.abs(upper) ** 2 + np.abs(lower) ** 2) * per_metre_ohm * plate.length_m)


@pytest.mark.parametrize("feed", Feed)
def test_resistance_of_the_ink_is_that_of_a_chain_of_cells(feed):
    plate = Plate(width_m=6e-3, length_m=8e-3)
    found = plate_resistance_ohm(stack(), plate, F0_HZ, feed=feed)
    per_metre = found / plate.length_m / (2 * feed.value)
    chain = ladder_network_ohm(per_metre, plate, plate_capacitance_f(stack(), plate), feed=feed)
    assert found == pytest.approx(chain, rel=1e-3)


def test_q_is_the_films_where_the_ink_is_good_and_the_inks_where_the_film_is():
    plate = Plate(width_m=6e-3, length_m=6e-3)
    metal = stack(ink_conductivity_s_per_m=5.8e7, ink_m=35e-6)
    assert printed_q(metal, plate, F0_HZ) == pytest.approx(1 / 0.006, rel=0.05)
    assert printed_q(metal, plate, F0_HZ) < 1.02 / 0.006
    ptfe = stack(loss_tangent=0.0, ink_conductivity_s_per_m=1e5)
    ink_ohm = plate_resistance_ohm(ptfe, plate, F0_HZ)
    assert printed_q(ptfe, plate, F0_HZ) == pytest.approx(
        1 / (2 * pi * F0_HZ * plate_capacitance_f(ptfe, plate) * ink_ohm)
    )


def test_q_of_films_is_what_the_trade_counts_on():
    """Common practice: PET about 80, polyimide and PEN 170, PEEK 330, PTFE and polypropylene above 3000."""
    caps = {"PET": 80, "polyimide": 170, "PEN": 170, "PEEK": 330, "PTFE": 3000, "polypropylene": 3000}
    for name, q in caps.items():
        assert 1 / film_of(name).loss_tangent.value >= 0.97 * q, name
    assert set(caps) == set(FILMS)
    with pytest.raises(OutsideModelError, match="the table knows polyimide"):
        film_of("cardboard")


def test_voltage_goes_with_the_thinnest_film_and_its_root_beyond_25_um():
    assert withstand_v(stack(film_m=25e-6), thickness_spread=0.0, derating=0.25) == pytest.approx(1250)
    assert withstand_v(stack(film_m=25e-6), thickness_spread=0.1, derating=0.25) == pytest.approx(1125)
    thick = withstand_v(stack(film_m=100e-6), thickness_spread=0.0, derating=0.25)
    assert thick == pytest.approx(1250 * sqrt(4))
    for derating, spread in ((0.0, 0.1), (1.1, 0.1), (0.5, 1.0)):
        with pytest.raises(OutsideModelError, match="derating"):
            withstand_v(stack(), thickness_spread=spread, derating=derating)


def test_the_breakdown_field_of_thick_polyester_falls_as_a_sheet_says():
    """A supplier's sheet of polyester film (read): V/um at 75, 100, 150, 200 and 250 um of thickness; a minimum."""
    sheet = {75: 115, 100: 100, 150: 85, 200: 70, 250: 65}
    layers = stack(breakdown_v_per_m=115e6 * sqrt(3))
    for um, field in sheet.items():
        thick = PrintStack(**{**{f: getattr(layers, f) for f in layers.__slots__}, "film_m": um * 1e-6})
        assert withstand_v(thick, thickness_spread=0, derating=1) / (um * 1e-6) == pytest.approx(field * 1e6, rel=0.05)


def test_a_shift_inside_the_margin_costs_nothing():
    plate = Plate(width_m=5e-3, length_m=5e-3)
    inside = {share.cause: share.relative for share in spread_shares(stack(), plate, spreads())}
    beyond = {share.cause: share.relative for share in spread_shares(stack(margin_m=0.0), plate, spreads())}
    assert inside["registration"] == 0
    assert beyond["registration"] == pytest.approx(2 * 0.2 / 5, rel=0.05)
    assert inside["film thickness"] == pytest.approx(0.05, rel=0.05)
    assert inside["printed edges"] == pytest.approx(2 * 2 * 0.05 / 5, rel=0.05)


def test_draws_stay_inside_the_limits_and_spread_as_expected():
    plate, layers, vary = Plate(width_m=5e-3, length_m=7e-3), stack(), spreads()
    generator = np.random.default_rng(5)
    sheets = draw_sheets(layers, vary, generator, 20_000)
    found = drawn_capacitance_f(layers, plate, sheets, draw_edges_m(vary, generator, 20_000))
    low_f, high_f = capacitance_limits_f(layers, plate, vary)
    assert low_f < found.min()
    assert found.max() < high_f
    cut_off = 0.88  # standard deviation of a normal distribution cut off at two
    expected = cut_off * expected_spread(layers, plate, vary) / 2
    assert found.std() / plate_capacitance_f(layers, plate) == pytest.approx(expected, rel=0.05)


@pytest.mark.parametrize(
    ("make", "change"),
    [
        (stack, {"film_m": 0.0}),
        (stack, {"eps_r": 0.5}),
        (stack, {"loss_tangent": -0.1}),
        (stack, {"ink_conductivity_s_per_m": float("nan")}),
        (spreads, {"thickness": 0.6}),
        (spreads, {"edge_m": -1e-6}),
    ],
)
def test_what_cannot_be_is_refused(make, change):
    with pytest.raises(OutsideModelError, match=next(iter(change))):
        make(**change)
