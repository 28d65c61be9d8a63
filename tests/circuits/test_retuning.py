"""One coil at two frequencies, against lumped loops."""

import numpy as np
import pytest

from loopwright.circuits.bias.retuning import length_per_degree_m, retuning
from loopwright.circuits.tuned.tuning import element_port_impedance_ohm, tuned_capacitance_f
from loopwright.fields.wires import solve_network
from loopwright.ground.three_tesla import HIGH_3_T_HZ, LOW_3_T_HZ, near_3_t, other_3_t_hz
from wire_arrays import dressed


@pytest.mark.parametrize(("from_hz", "to_hz"), [(LOW_3_T_HZ, HIGH_3_T_HZ), (HIGH_3_T_HZ, LOW_3_T_HZ)])
def test_a_lumped_loop_needs_one_over_omega_squared_l(from_hz, to_hz):
    inductance_h, gaps, resistance_ohm = np.array([180e-9, 250e-9]), np.array([4, 3]), np.array([8.0, 10.0])
    tuned_f = gaps / ((2 * np.pi * from_hz) ** 2 * inductance_h)
    w = 2 * np.pi * to_hz
    left_ohm = w * inductance_h - gaps / (w * tuned_f)
    found = retuning(
        tuned_f,
        gaps=gaps,
        from_hz=from_hz,
        to_hz=to_hz,
        reactance_there_ohm=left_ohm,
        resistance_ohm=resistance_ohm,
    )
    np.testing.assert_allclose(found.new_capacitance_f, gaps / (w**2 * inductance_h), rtol=1e-12)
    np.testing.assert_allclose(found.new_total_f, 1 / (w**2 * inductance_h), rtol=1e-12)
    assert found.new_capacitance_f[0] / tuned_f[0] == pytest.approx(found.trap_ratio)
    # 3.6 % apart and a loaded Q near 17: about 2 Q df / f half-widths, tuned too high for the lower frequency.
    quality = w * inductance_h / resistance_ohm
    assert np.all(np.sign(found.shift_half_widths) == np.sign(from_hz - to_hz))
    np.testing.assert_allclose(found.shift_half_widths, 2 * quality * (from_hz / to_hz - 1), rtol=0.03)


def test_the_two_differ_by_3_7_per_cent_and_capacitors_by_7():
    found = retuning(10e-12, gaps=1, from_hz=LOW_3_T_HZ, to_hz=HIGH_3_T_HZ, reactance_there_ohm=0.0, resistance_ohm=1.0)
    assert found.length_ratio == pytest.approx(1 - 0.0355, abs=1e-4)
    assert found.trap_ratio == pytest.approx(1 - 0.0697, abs=1e-4)


@pytest.mark.parametrize(("mhz", "near", "other"), [(123.2, True, 127.73), (127.7, True, 123.2), (63.9, False, None)])
def test_it_knows_which_scanners_are_meant(mhz, near, other):
    assert near_3_t(mhz * 1e6) is near
    if other:
        assert other_3_t_hz(mhz * 1e6) == other * 1e6


@pytest.mark.parametrize(("mhz", "degrees_per_mm"), [(63.9, 0.11), (123.0, 0.21), (297.0, 0.51)])
def test_a_millimetre_of_cable_turns_as_the_trade_says(mhz, degrees_per_mm):
    """Velocity factor 0.7; printed to two figures."""
    assert 1e-3 / length_per_degree_m(mhz * 1e6, velocity_factor=0.7) == pytest.approx(degrees_per_mm, abs=0.005)


def test_a_real_ring_of_wire_is_retuned_as_if_it_had_been_tuned_there():
    """80 mm, four gaps: currents are not quite alike at the gaps, which costs less than a thousandth."""
    angle = 2 * np.pi * np.arange(24) / 24
    ring_m = 0.0402 * np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    network = solve_network(dressed([ring_m], gaps=4), LOW_3_T_HZ, band_fraction=0.04, frequency_count=5)

    def tuned_f(frequency_hz):
        return tuned_capacitance_f(network.at(frequency_hz), frequency_hz=frequency_hz, capacitor_q=1500)

    there = element_port_impedance_ohm(
        network.at(HIGH_3_T_HZ),
        tuned_f(LOW_3_T_HZ),
        frequency_hz=HIGH_3_T_HZ,
        capacitor_q=1500,
        other_series_resistance_ohm=0.0,
    )
    found = retuning(
        tuned_f(LOW_3_T_HZ),
        gaps=4,
        from_hz=LOW_3_T_HZ,
        to_hz=HIGH_3_T_HZ,
        reactance_there_ohm=there.imag,
        resistance_ohm=there.real,
    )
    assert found.new_capacitance_f == pytest.approx(tuned_f(HIGH_3_T_HZ), rel=1e-3, abs=0)
    assert found.new_capacitance_f != pytest.approx(tuned_f(LOW_3_T_HZ), rel=0.05)
