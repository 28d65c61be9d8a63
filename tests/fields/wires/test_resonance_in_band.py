"""A band in which open conductors have a resonance of their own is refused, and no other."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.fields.wires import solve_network
from loopwright.fields.wires.polynomial import refuse_resonance_in_band, sample_frequencies_hz
from loopwright.ground.errors import OutsideModelError
from wire_arrays import dressed
from wire_cases import equal_area_polygon


def rings(apart_m, *, opposite):
    """Two rings of 100 mm one above the other, gaps together or opposite."""
    ring = equal_area_polygon(0.05, 48)
    both = dressed([ring, ring + np.array([0, 0, apart_m])], gaps=1)
    first, second = both.layout.elements
    turned = replace(second, gap_nodes=(24,)) if opposite else second
    return replace(both, layout=replace(both.layout, elements=(first, turned)))


def solved(array, frequency_hz, count=5):
    return solve_network(array, frequency_hz, band_fraction=0.04, frequency_count=count)


@pytest.mark.parametrize("count", [3, 5])
def test_close_rings_with_opposite_gaps_are_refused_where_they_resonate(count):
    """As a two-wire line they resonate near 218 MHz; between the samples the polynomial would be off fivefold."""
    with pytest.raises(OutsideModelError, match=r"resonance of their own .*\.band_fraction"):
        solved(rings(2e-3, opposite=True), 220e6, count)


@pytest.mark.parametrize(
    ("array", "frequency_hz"), [(rings(2e-3, opposite=True), 128e6), (rings(2e-3, opposite=False), 220e6)]
)
def test_below_it_and_with_gaps_together_the_polynomial_holds(array, frequency_hz):
    network = solved(array, frequency_hz)
    between = frequency_hz * 1.023
    fresh = solve_network(array, between, band_fraction=0.01, frequency_count=1).impedance_ohm[0]
    assert np.abs(network.at(between) - fresh).max() < 1e-4 * np.abs(fresh).max()


@pytest.mark.parametrize("pole", [0.985, 1.0003, 1.03])
def test_a_narrow_pole_is_found_wherever_it_lies(pole):
    """Inductance and a pole that changes the reactance by a hundredth at a detuning of one per cent."""
    f = sample_frequencies_hz(1.0, band_fraction=0.04, frequency_count=5)
    smooth = 2j * np.pi * f
    refuse_resonance_in_band(f, smooth[:, None, None])
    with pytest.raises(OutsideModelError):
        refuse_resonance_in_band(f, (smooth - 1.3e-3j * f / (f**2 - pole**2))[:, None, None])


def test_one_sample_says_nothing():
    refuse_resonance_in_band(np.array([1.0]), np.ones((1, 1, 1), complex))
