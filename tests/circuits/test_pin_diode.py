"""The charge of a PIN diode against integration of its balance, and against printed forms."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from loopwright.circuits.bias.pin_charge import (
    forward_resistance_of_layer_ohm,
    held_current_a,
    lowest_frequency_hz,
    recovery_time_s,
    reverse_voltage_needed_v,
)
from loopwright.circuits.bias.pin_diode import (
    GENERIC_PIN_DIODE,
    PinDiode,
    forward_resistance_ohm,
    forward_voltage_v,
)


@pytest.mark.parametrize(("forward_a", "reverse_a"), [(0.1, 0.1), (0.1, 0.01), (0.01, 0.1)])
def test_recovery_ends_where_the_integrated_charge_does(forward_a, reverse_a):
    lifetime_s = 1.5e-6

    def gone(_, charge):
        return charge[0]

    gone.terminal = True
    run = solve_ivp(
        lambda _, q: [-q[0] / lifetime_s - reverse_a],
        (0, 20 * lifetime_s),
        [forward_a * lifetime_s],
        events=gone,
        rtol=1e-10,
        atol=1e-20,
    )
    found = recovery_time_s(forward_a, reverse_current_a=reverse_a, carrier_lifetime_s=lifetime_s)
    assert found == pytest.approx(run.t_events[0][0], rel=1e-6)


def test_less_forward_and_more_reverse_current_tune_within_a_microsecond():
    """The direction that ISMRM 2019 abstract 1559 prints: tuning below 1 us by a lower detuning current."""
    usual = recovery_time_s(0.1, reverse_current_a=0.05, carrier_lifetime_s=1.5e-6)
    quick = recovery_time_s(0.02, reverse_current_a=0.1, carrier_lifetime_s=1.5e-6)
    assert usual > 1e-6 > quick


def test_a_held_current_moves_the_stored_charge_in_a_half_wave():
    frequency_hz, lifetime_s = 127.7e6, 1.5e-6
    held_a = float(held_current_a(0.1, carrier_lifetime_s=lifetime_s, frequency_hz=frequency_hz))
    w = 2 * np.pi * frequency_hz
    half_wave_c = quad(lambda t: held_a * np.sin(w * t), 0, np.pi / w)[0]
    assert half_wave_c == pytest.approx(0.1 * lifetime_s, rel=1e-9)
    with_reserve = held_current_a(0.1, carrier_lifetime_s=lifetime_s, frequency_hz=frequency_hz, reserve=10)
    assert with_reserve == pytest.approx(held_a / 10)


def test_charge_alone_gives_the_layer_its_resistance():
    # Drift of all stored carriers: R = W / (A q (mu_n + mu_p) n) with Q = q n A W, for any area.
    layer_m, lifetime_s, current_a, area_m2 = 50e-6, 1.5e-6, 0.1, 1e-7
    density_c_per_m3 = current_a * lifetime_s / (area_m2 * layer_m)
    by_drift = layer_m / (area_m2 * 0.18 * density_c_per_m3)
    found = forward_resistance_of_layer_ohm(current_a, layer_m=layer_m, carrier_lifetime_s=lifetime_s)
    assert found == pytest.approx(by_drift)
    # As one over the current: the exponent of charge control.
    scaled = forward_resistance_ohm(0.01, resistance_ohm=found, at_current_a=0.1, exponent=1.0)
    assert scaled == pytest.approx(
        forward_resistance_of_layer_ohm(0.01, layer_m=layer_m, carrier_lifetime_s=lifetime_s)
    )


def test_reverse_bias_is_the_printed_form_in_its_own_units():
    """Caverly and Hiller in MHz and mils, from memory: the coefficients are those of mu 0.071 and v_s 1e5 m/s."""
    volts, mils, megahertz = np.meshgrid([30.0, 300.0, 2000.0], [1.0, 4.0], [1.5, 30.0, 128.0], indexing="ij")
    inside = 0.0142 * megahertz * mils**2 / volts * (1 + np.sqrt(1 + (0.056 * volts / mils) ** 2))
    printed_v = volts / np.sqrt(1 + inside**2)
    found_v = reverse_voltage_needed_v(volts, layer_m=mils * 25.4e-6, frequency_hz=megahertz * 1e6)
    np.testing.assert_allclose(found_v, printed_v, rtol=0.01)


def test_reverse_bias_never_exceeds_the_peak_and_falls_with_frequency_and_width():
    frequency_hz = np.array([1e4, 1e6, 30e6, 300e6])
    needed_v = reverse_voltage_needed_v(200.0, layer_m=50e-6, frequency_hz=frequency_hz)
    assert np.all(np.diff(needed_v) < 0)
    assert needed_v[0] == pytest.approx(200.0, rel=1e-3)
    assert np.all(np.diff(reverse_voltage_needed_v(200.0, layer_m=[10e-6, 50e-6, 200e-6], frequency_hz=30e6)) < 0)


def test_forward_voltage_passes_through_what_is_known_and_through_zero():
    assert forward_voltage_v(0.1, voltage_v=0.85, at_current_a=0.1) == pytest.approx(0.85)
    assert forward_voltage_v(0.0, voltage_v=0.85, at_current_a=0.1) == 0
    # An emission of 2: 116 mV for a decade at 20 degrees.
    step_v = 0.85 - forward_voltage_v(0.01, voltage_v=0.85, at_current_a=0.1)
    assert step_v == pytest.approx(2 * 0.025262 * np.log(10), rel=1e-4)


def test_the_lowest_frequency_is_the_worse_of_two():
    assert lowest_frequency_hz(50e-6, carrier_lifetime_s=1.5e-6) == pytest.approx(0.52e6)
    assert lowest_frequency_hz(200e-6, carrier_lifetime_s=0.1e-6) == pytest.approx(1 / (2 * np.pi * 0.1e-6))


@pytest.mark.parametrize("wrong", [{"layer_m": 0.0}, {"voltage_spread_v": 1.0}, {"carrier_lifetime_s": -1e-6}])
def test_a_diode_that_cannot_be_is_refused(wrong):
    fields = {name: getattr(GENERIC_PIN_DIODE, name) for name in GENERIC_PIN_DIODE.__slots__}
    with pytest.raises(ValueError, match="PIN diode"):
        PinDiode(**{**fields, **wrong})
