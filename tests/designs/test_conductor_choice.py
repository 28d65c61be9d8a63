"""A loop above a half-space, in closed form, stands in for the field solutions."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import j1

from loopwright.designs import CoilLoss, conductor_choice
from loopwright.designs.conductor_choice import break_even_m, resistance_budget_ohm
from loopwright.ground.constants import MU_0_H_PER_M

RADIUS_M = 0.04
SIGMA_S_PER_M = 0.6
CLOSE_M = 0.005
FURTHER_M = np.array([0.0, 0.002, 0.005, 0.01, 0.015, 0.02, 0.03, 0.05])
DEPTHS_M = np.array([0.02, 0.04, 0.06])


def half_space_ohm(height_m, frequency_hz):
    """Loop parallel to a half-space of weak loss, by Hankel transform."""
    integral, _ = quad(lambda x: j1(x) ** 2 * np.exp(-2 * x * height_m / RADIUS_M) / x**2, 0, np.inf, limit=400)
    w = 2 * np.pi * frequency_hz
    return np.pi / 4 * SIGMA_S_PER_M * w**2 * MU_0_H_PER_M**2 * RADIUS_M**3 * integral


def on_axis_t_per_a(distance_m):
    return MU_0_H_PER_M * RADIUS_M**2 / (2 * (RADIUS_M**2 + distance_m**2) ** 1.5)


def choice(frequency_hz, ink_ohm, *, copper_ohm=0.34):
    body_ohm = np.array([half_space_ohm(CLOSE_M + step, frequency_hz) for step in FURTHER_M])
    return conductor_choice(
        element="E1",
        further_out_m=FURTHER_M,
        depths_m=DEPTHS_M,
        body_ohm=body_ohm,
        field_t_per_a=on_axis_t_per_a(CLOSE_M + FURTHER_M[:, None] + DEPTHS_M),
        rigid=CoilLoss(name="copper", conductor_ohm=copper_ohm, capacitor_ohm=0.0, other_ohm=0.0),
        candidates=[CoilLoss(name="ink", conductor_ohm=ink_ohm, capacitor_ohm=0.0, other_ohm=0.0)],
        body_temperature_k=310.0,
        coil_temperature_k=293.0,
    )


@given(
    ink_ohm=st.floats(0.4, 20.0),
    more=st.floats(1.05, 3.0),
    frequency_hz=st.floats(40e6, 300e6),
    higher=st.floats(1.05, 2.0),
)
def test_break_even_rises_with_the_resistance_of_the_ink_and_falls_with_the_field(ink_ohm, more, frequency_hz, higher):
    ends = choice(frequency_hz, ink_ohm).lines[0].break_even_m
    lossier = choice(frequency_hz, ink_ohm * more).lines[0].break_even_m
    stronger = choice(frequency_hz * higher, ink_ohm).lines[0].break_even_m
    assert np.all(ends > 0)
    assert np.all((lossier > ends) | np.isinf(ends))
    assert np.all((stronger < ends) | np.isinf(ends))


def test_at_break_even_the_two_coils_are_level():
    """Between the places that were solved, by solving that very place."""
    found = choice(127.7e6, 2.0)
    end_m = found.lines[0].break_even_m[1]
    distance = CLOSE_M + DEPTHS_M[1]
    ink = on_axis_t_per_a(distance) / np.sqrt(310 * half_space_ohm(CLOSE_M, 127.7e6) + 293 * 2.0)
    copper = on_axis_t_per_a(distance + end_m) / np.sqrt(310 * half_space_ohm(CLOSE_M + end_m, 127.7e6) + 293 * 0.34)
    assert ink == pytest.approx(copper, rel=2e-3)


def test_a_better_conductor_breaks_even_at_once_and_a_hopeless_one_never():
    assert np.all(choice(127.7e6, 0.2).lines[0].break_even_m == 0)
    assert np.all(choice(64e6, 2e3).lines[0].break_even_m == inf)


def test_one_crossing_of_a_straight_line_is_found():
    places = np.array([0.0, 0.01, 0.02])
    assert break_even_m(places, np.exp(np.array([0.3, 0.1, -0.1])), 1.0) == pytest.approx(0.015, rel=1e-12)


def test_spending_the_whole_budget_costs_what_it_says():
    body_ohm = half_space_ohm(CLOSE_M, 127.7e6)
    for loss_db, ohm in zip((0.5, 1.0, 3.0), choice(127.7e6, 1.0).budget_ohm, strict=True):
        line = choice(127.7e6, ohm).lines[0]
        assert line.noise_figure_db == pytest.approx(loss_db, rel=1e-12)
        assert line.snr_retained == pytest.approx(10 ** (-loss_db / 20), rel=1e-12)
        assert ohm == resistance_budget_ohm(loss_db, body_ohm, body_temperature_k=310.0, coil_temperature_k=293.0)


def test_ratio_to_the_rigid_coil_is_one_for_the_same_coil_at_the_same_place():
    assert choice(127.7e6, 0.34).lines[0].snr_over_rigid[0] == pytest.approx(np.ones(3), rel=1e-14)
