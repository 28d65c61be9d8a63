"""Crossed diodes against quadrature, against integration in time, and against a clamp that conducts at 0.8 V."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from circuits.sinusoidal_pair import drive_crossed_diodes, transition_emf_v
from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES, CrossedDiodes, junction_admittance_s

FREQUENCY_HZ = 127.7e6
W = 2 * np.pi * FREQUENCY_HZ
PAIR = GENERIC_CROSSED_DIODES


@pytest.mark.parametrize("amplitude_v", [1e-6, 0.02, 0.3, 0.9, 1.5])
def test_the_fundamental_is_that_of_the_fourier_integral(amplitude_v):
    x = amplitude_v / PAIR.scale_v
    # (2 / pi) of 2 Is sinh(x cos) cos over half a period; scaled by e^x so that quad sees numbers near one.
    scaled = quad(lambda a: np.sinh(x * np.cos(a)) * np.exp(-x) * np.cos(a), 0, np.pi, epsabs=0, epsrel=1e-11)[0]
    expected_s = 2 / np.pi * 2 * PAIR.saturation_current_a * scaled * np.exp(x) / amplitude_v
    found = junction_admittance_s(amplitude_v, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    assert found.real == pytest.approx(expected_s, rel=1e-9)
    assert found.imag == pytest.approx(W * PAIR.junction_capacitance_f, rel=1e-12)


@pytest.mark.parametrize("amplitude_v", [0.0, 1e-12, 1e-9])
def test_at_no_voltage_it_is_the_slope_of_the_law(amplitude_v):
    found = junction_admittance_s(amplitude_v, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    assert found.real == pytest.approx(2 * PAIR.saturation_current_a / PAIR.scale_v, rel=1e-12)


def test_the_state_meets_the_circuit_it_was_found_in():
    rng = np.random.default_rng(2)
    emf_v = 10 ** rng.uniform(-4, 4, 500) * np.exp(2j * np.pi * rng.random(500))
    source_ohm = 10 ** rng.uniform(-2, 4, 500) + 1j * rng.normal(size=500) * 300
    found = drive_crossed_diodes(emf_v, source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    np.testing.assert_allclose(found.terminal_voltage_v + source_ohm * found.current_a, emf_v, rtol=1e-9)
    np.testing.assert_allclose(found.current_a, found.admittance_s * found.terminal_voltage_v, rtol=1e-6)
    junction = junction_admittance_s(np.abs(found.junction_voltage_v), diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    np.testing.assert_allclose(junction * found.junction_voltage_v, found.current_a, rtol=1e-9)
    assert np.all(found.admittance_s.real > 0)  # passive


def test_far_below_the_transition_they_are_off():
    found = drive_crossed_diodes([0.0, 1e-9, 1e-3], 200.0, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    off_s = 2 * PAIR.saturation_current_a / PAIR.scale_v + 1j * W * PAIR.junction_capacitance_f
    off_s = off_s / (1 + off_s * PAIR.series_resistance_ohm)
    np.testing.assert_allclose(found.admittance_s, off_s, rtol=1e-3)
    assert not found.conducting.any()
    assert found.current_a[0] == 0


def test_nine_decades_of_field_give_one_rising_current_without_a_failure():
    field_t = np.geomspace(0.01e-6, 100e-6, 400)
    emf_v = 383 * field_t / 20e-6
    for source_ohm in (197.0, 5 + 60j, 5 - 60j, 1e6, 1e-3, 1 / (-1j * W * PAIR.junction_capacitance_f)):
        found = drive_crossed_diodes(emf_v, source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
        assert np.all(np.isfinite(found.admittance_s))
        assert np.all(np.diff(np.abs(found.junction_voltage_v)) > 0)
    huge = drive_crossed_diodes(1e12, 0.0, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    assert abs(huge.current_a) == pytest.approx(1e12 / PAIR.series_resistance_ohm, rel=1e-6)


def test_at_the_transition_the_diodes_conduct_as_well_as_all_beside_them():
    source_ohm = np.array([197.0, 3 + 40j, 2e4])
    emf_v = transition_emf_v(source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    found = drive_crossed_diodes(emf_v, source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    capacitance_s = 1j * W * PAIR.junction_capacitance_f
    conductance_s = found.current_a / found.junction_voltage_v - capacitance_s
    beside_s = np.abs(1 / (source_ohm + PAIR.series_resistance_ohm) + capacitance_s)
    np.testing.assert_allclose(conductance_s, beside_s, rtol=1e-9)
    leaky = CrossedDiodes(
        saturation_current_a=1.0,
        emission=1.0,
        junction_capacitance_f=0.0,
        series_resistance_ohm=0.0,
        temperature_k=293.15,
        source=PAIR.source,
    )
    assert transition_emf_v(1e3, diodes=leaky, frequency_hz=FREQUENCY_HZ) < 1e-20


def _tank_in_time(drive_a, resistance_ohm, tank_f, diodes):
    """Peak phasor of the voltage across diodes, tank and resistance, integrated until settled."""
    tank_h = 1 / (W**2 * (tank_f + diodes.junction_capacitance_f))
    whole_f = tank_f + diodes.junction_capacitance_f

    def slope(a, state):  # a = omega t
        v, i = state
        diode = 2 * diodes.saturation_current_a * np.sinh(np.clip(v / diodes.scale_v, -60, 60))
        return [(drive_a * np.cos(a) - v / resistance_ohm - i - diode) / whole_f / W, v / tank_h / W]

    periods = 350
    ends = 2 * np.pi * periods
    tail = np.linspace(ends - 2 * np.pi, ends, 513)
    run = solve_ivp(slope, (0, ends), [0.0, 0.0], t_eval=tail, method="LSODA", rtol=1e-8, atol=1e-10)
    return 2 * np.mean(run.y[0][:-1] * np.exp(-1j * tail[:-1]))


@pytest.mark.parametrize("emf_v", [0.3, 1.2, 2.0, 6.0])
def test_across_a_tank_they_do_what_integration_in_time_says(emf_v):
    """197 ohm, as a trap sees it, and a tank that shorts the harmonics: 0.5 % is what harmonics leave."""
    pair = CrossedDiodes(
        saturation_current_a=PAIR.saturation_current_a,
        emission=PAIR.emission,
        junction_capacitance_f=PAIR.junction_capacitance_f,
        series_resistance_ohm=0.0,
        temperature_k=PAIR.temperature_k,
        source=PAIR.source,
    )
    resistance_ohm, tank_f = 197.0, 800e-12
    in_time = _tank_in_time(emf_v / resistance_ohm, resistance_ohm, tank_f, pair)
    # At resonance the tank and the pair's capacitance cancel: seen by the diodes, R beside -C of the pair.
    source_ohm = 1 / (1 / resistance_ohm - 1j * W * pair.junction_capacitance_f)
    emf_behind_v = emf_v / resistance_ohm * source_ohm
    found = drive_crossed_diodes(emf_behind_v, source_ohm, diodes=pair, frequency_hz=FREQUENCY_HZ)
    assert abs(found.terminal_voltage_v) == pytest.approx(abs(in_time), rel=5e-3)


def test_an_imposed_current_makes_up_to_four_over_pi_more_voltage():
    """Integration over the exact inverse law: why whole arrays are followed with their harmonics."""
    current_a = np.array([1e-3, 0.1, 2.0])
    angle = np.linspace(0, 2 * np.pi, 20001)[:-1]
    wave_v = PAIR.scale_v * np.arcsinh(current_a[:, None] * np.cos(angle) / (2 * PAIR.saturation_current_a))
    square_v = 2 * np.mean(wave_v * np.cos(angle), axis=1)
    # Without capacitance and behind 1 Mohm the current is imposed; the model still takes the voltage as sinusoidal.
    bare = CrossedDiodes(
        saturation_current_a=PAIR.saturation_current_a,
        emission=PAIR.emission,
        junction_capacitance_f=0.0,
        series_resistance_ohm=0.0,
        temperature_k=PAIR.temperature_k,
        source=PAIR.source,
    )
    told_v = np.abs(
        drive_crossed_diodes(1e6 * current_a, 1e6, diodes=bare, frequency_hz=FREQUENCY_HZ).junction_voltage_v
    )
    assert np.all(square_v / told_v > 1.0)
    assert np.all(square_v / told_v < 4 / np.pi)


def test_a_trap_of_a_three_tesla_loop_acts_where_a_clamp_of_0_8_volt_does():
    """80 mm loop, 8.75 ohm, 30 pF trap: EMF 387 V and 197 ohm at the diodes at 20 uT, wires and body lumped.

    A clamp of 0.8 V with 0.3 ohm, solved with the wires, began between 0.05 and 0.1 uT and carried 1.94 A at 20 uT.
    """
    loop_ohm, trap_ohm = 8.75, 1 / (W * 30e-12)
    source_ohm = trap_ohm**2 / loop_ohm + trap_ohm / 150
    volts_per_t = 80.66 / 20e-6 / loop_ohm * trap_ohm
    begins_t = transition_emf_v(source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ) / volts_per_t
    assert 0.05e-6 < begins_t < 0.1e-6
    strong = drive_crossed_diodes(20e-6 * volts_per_t, source_ohm, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    assert abs(strong.current_a) == pytest.approx(1.94, rel=0.01)
    # The clamp's fundamental, 4/pi 0.8 V, and ours at the same current: within the fifth that the square wave makes.
    assert abs(strong.junction_voltage_v) == pytest.approx(4 / np.pi * 0.8, rel=0.2)


def test_a_source_that_gives_power_away_is_refused():
    with pytest.raises(ValueError, match="gives power away"):
        drive_crossed_diodes(1.0, -1.0, diodes=PAIR, frequency_hz=FREQUENCY_HZ)
    with pytest.raises(ValueError, match="above 0"):
        CrossedDiodes(
            saturation_current_a=0.0,
            emission=1.0,
            junction_capacitance_f=0.0,
            series_resistance_ohm=0.0,
            temperature_k=293.15,
            source=PAIR.source,
        )
