"""The stage on real loops of wire without a body: closed forms of textbooks."""

import numpy as np
import pytest

from circuits.made_array import reply_of
from loopwright.circuits import NoiseTemperatures, tune
from loopwright.fields.wires import solve_network
from wire_arrays import dressed

FREQUENCY_HZ = 127.74e6
W = 2 * np.pi * FREQUENCY_HZ
WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)


def ring(radius_m, height_m, *, corners=24):
    """Polygon of the same area as the circle."""
    angle = 2 * np.pi * np.arange(corners) / corners
    reach_m = radius_m * np.sqrt(2 * np.pi / (corners * np.sin(2 * np.pi / corners)))
    return np.stack([reach_m * np.cos(angle), reach_m * np.sin(angle), np.full(corners, height_m)], axis=-1)


def tuned_in_air(rings, *, gaps):
    parts = dressed(rings, gaps=gaps)
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=5)
    return network, tune(network, reply_of(network, reaction=0.0), dressed=parts, temperatures=WARM)


@pytest.fixture(scope="module")
def pair():
    return tuned_in_air([ring(0.04, 0.0), ring(0.04, 0.08)], gaps=4)


def test_small_loop_takes_n_over_w_squared_l():
    # Radius 15 mm: a hundredth of a wavelength, so the current is uniform and all closed forms hold.
    _, array = tuned_in_air([ring(0.015, 0.0)], gaps=2)
    (element,) = array.elements
    assert element.capacitance_f == pytest.approx(2 / (W**2 * element.inductance_h), rel=0.01)
    assert abs(array.impedance_ohm[0, 0].imag) < 1e-6 * W * element.inductance_h
    # Round wire, diameter 1 mm: 1 / (2 pi a delta sigma), a less half a skin depth (exact to 0.01 %).
    delta_m = 1 / np.sqrt(np.pi * FREQUENCY_HZ * 4e-7 * np.pi * 5.8e7)
    loop_ohm = 2 * np.pi * 0.015 / (2 * np.pi * (0.5e-3 - delta_m / 2) * delta_m * 5.8e7)
    assert element.conductor_ohm == pytest.approx(loop_ohm, rel=0.01)
    assert element.capacitor_ohm == pytest.approx(W * element.inductance_h / 1500, rel=0.01)
    wavelength_m = 2.99792458e8 / FREQUENCY_HZ
    radiation_ohm = 20 * np.pi**2 * (2 * np.pi * 0.015 / wavelength_m) ** 4
    assert element.radiation_ohm == pytest.approx(radiation_ohm, rel=0.02)
    assert element.frequency_shift_hz == pytest.approx(0, abs=1)


def test_a_coil_alone_makes_all_the_noise(pair):
    _, array = pair
    for element in array.elements:
        assert np.isinf(element.noise_figure_db)
        assert element.snr_retained == 0
        assert element.q_ratio == pytest.approx(1)
    assert array.unassigned_resistance < 1e-9


def test_two_coupled_loops_split(pair):
    """D3: with both ports closed the modes lie at f0 / sqrt(1 +- k), k = M / L of the loops (textbook)."""
    network, array = pair
    inductance_h = network.loop_inductance_h
    k = inductance_h[0, 1] / inductance_h[0, 0]
    assert 0.01 < k < 0.03
    f = array.sweep_frequencies_hz
    for sign in (1, -1):
        mode_ohm = (array.sweep_impedance_ohm[:, 0, 0] + sign * array.sweep_impedance_ohm[:, 0, 1]).imag
        found_hz = np.interp(0.0, mode_ohm, f)
        # The wire's k grows a little with frequency, as currents do along the loops: a tenth of the split is allowed.
        assert found_hz - FREQUENCY_HZ == pytest.approx(FREQUENCY_HZ * (1 / np.sqrt(1 + sign * k) - 1), rel=0.1)


def test_coupling_is_that_of_the_loops(pair):
    network, array = pair
    inductance_h = network.loop_inductance_h
    assert array.coupling[0, 1] == pytest.approx(inductance_h[0, 1] / inductance_h[0, 0], rel=0.1)
