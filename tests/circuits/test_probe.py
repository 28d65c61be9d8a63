import numpy as np
import pytest

from loopwright.circuits.readings.probe import half_power_width

F0, Q = 127.7e6, 40.0


def resonance(frequencies_hz):
    """Series resonance of quality Q: I / V = 1 / (R (1 + jQ(f/f0 - f0/f)))."""
    return 1 / (1 + 1j * Q * (frequencies_hz / F0 - F0 / frequencies_hz))


def test_width_and_phase_of_a_known_resonance():
    f = F0 * np.linspace(0.96, 1.04, 401)
    width = half_power_width(f, resonance(f))
    assert width.peak_hz == pytest.approx(F0)
    # f/f0 - f0/f = +-1/Q exactly at half power, so the width is f0/Q exactly.
    assert width.high_hz - width.low_hz == pytest.approx(F0 / Q, rel=1e-3)


def test_a_band_that_ends_too_soon_gives_no_width():
    f = F0 * np.linspace(0.995, 1.04, 101)
    width = half_power_width(f, resonance(f))
    assert np.isnan(width.low_hz)
    assert np.isfinite(width.high_hz)


def test_samples_too_far_apart_give_no_width():
    """At Q 1000 a width read from straight lines between them was 28 % too large."""
    f = F0 * np.linspace(0.96, 1.04, 161)
    sharp = half_power_width(f, 1 / (1 + 25j * Q * (f / F0 - F0 / f)))
    assert np.isnan(sharp.low_hz)
    assert np.isnan(sharp.high_hz)
    assert sharp.peak_hz == pytest.approx(F0)
