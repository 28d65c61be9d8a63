import numpy as np
import pytest
from cross_section_solution import strip_resistance_ohm_per_m as by_solution
from scipy.constants import mu_0, pi

from loopwright.conductors import edge_crowding_factor, strip_resistance_ohm_per_m, uniform_strip_resistance_ohm_per_m

COPPER = 5.80e7
F = 127.7e6


def metal(thickness_m, thickness_over_depth):
    """Conductivity at which a strip is so many skin depths thick."""
    return 1 / (pi * F * mu_0 * (thickness_m / thickness_over_depth) ** 2)


@pytest.mark.parametrize("width_m", [2e-3, 5e-3])
@pytest.mark.parametrize("x", [0.25, 0.6, 1.2, 2.3, 2.8, 4.5, 8.0])
def test_strip_loss_against_the_solved_cross_section(width_m, x):
    """From even current to a foil of eight skin depths; 2 % where 4 % is asked for."""
    t = 35e-6
    sigma = metal(t, x)
    found = strip_resistance_ohm_per_m(F, width_m=width_m, thickness_m=t, conductivity_s_per_m=sigma)
    assert found == pytest.approx(by_solution(width_m, t, sigma, F), rel=0.02)


def test_solved_cross_section_has_converged():
    case = (5e-3, 35e-6, COPPER, F)
    assert by_solution(*case) == pytest.approx(by_solution(*case, across=50, through=14), rel=3e-3)


def test_narrow_thick_strip_strays_as_the_limits_say():
    sigma = metal(40e-6, 8)
    found = strip_resistance_ohm_per_m(F, width_m=1e-3, thickness_m=40e-6, conductivity_s_per_m=sigma)
    assert found / by_solution(1e-3, 40e-6, sigma, F) == pytest.approx(1.03, abs=0.015)


def test_factor_never_falls_below_one_and_rises_with_frequency():
    frequencies_hz = np.geomspace(1e3, 127.7e6, 60)
    factor = edge_crowding_factor(frequencies_hz, width_m=5e-3, thickness_m=20e-6, conductivity_s_per_m=COPPER / 7)
    assert factor[0] == pytest.approx(1, abs=1e-12)
    assert np.all(np.diff(factor) >= -1e-12)


def test_thick_foil_factor_does_not_depend_on_frequency():
    shape = {"width_m": 5e-3, "thickness_m": 35e-6, "conductivity_s_per_m": COPPER}
    factor = edge_crowding_factor(np.array([127.7e6, 298e6]), **shape)
    assert factor[0] == pytest.approx(factor[1], rel=2e-3)
    assert 2.05 < factor[0] < 2.10


def test_direct_current_limit():
    found = strip_resistance_ohm_per_m(1.0, width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=COPPER)
    assert found == pytest.approx(1 / (COPPER * 5e-3 * 35e-6), rel=1e-9)


def test_foil_much_thicker_than_the_skin_depth_conducts_on_two_faces():
    found = uniform_strip_resistance_ohm_per_m(298e6, width_m=5e-3, thickness_m=70e-6, conductivity_s_per_m=COPPER)
    assert found == pytest.approx(np.sqrt(pi * 298e6 * mu_0 / COPPER) / (2 * 5e-3), rel=1e-6)
