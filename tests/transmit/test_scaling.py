"""Exposures from B1+rms, peak and duty, whole-body SAR and pulses."""

from math import pi, sqrt

import numpy as np
import pytest

from loopwright.brief.records.transmit import PeakLevel, PulsesLevel, RectanglePulse, RmsLevel, SarLevel, SincPulse
from loopwright.ground.constants import NUCLEI
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.scaling import exposure_of_level

PROTON = NUCLEI["1H"].gyromagnetic_ratio_hz_per_t


def exposure(level, *, absorbed_w_per_t2=None, patient_mass_kg=None):
    return exposure_of_level(
        level,
        duration_s=600,
        gyromagnetic_ratio_hz_per_t=PROTON,
        absorbed_w_per_t2=absorbed_w_per_t2,
        patient_mass_kg=patient_mass_kg,
    )


def test_rms_and_peak_are_taken_as_told():
    found = exposure(RmsLevel(b1_rms_t=2e-6, peak_b1_t=20e-6))
    assert (found.rms_b1_plus_t, found.peak_b1_plus_t, found.duration_s) == (2e-6, 20e-6, 600)
    assert found.duty == pytest.approx(0.01)


def test_duty_is_mean_power_over_that_at_the_peak():
    found = exposure(PeakLevel(peak_b1_t=15e-6, duty=0.04))
    assert found.rms_b1_plus_t == pytest.approx(3e-6)
    assert found.duty == pytest.approx(0.04)


def test_whole_body_sar_is_met_by_what_the_body_absorbs():
    found = exposure(SarLevel(sar_w_per_kg=2, peak_b1_t=20e-6), absorbed_w_per_t2=4e12, patient_mass_kg=18)
    assert 4e12 * found.rms_b1_plus_t**2 / 18 == pytest.approx(2)
    assert found.peak_b1_plus_t == 20e-6


@pytest.mark.parametrize(("absorbed", "mass"), [(None, 18), (4e12, None), (0.0, 18)])
def test_whole_body_sar_without_body_or_mass_tells_what_to_add(absorbed, mass):
    with pytest.raises(OutsideModelError, match="needs a body and patient_mass"):
        exposure(SarLevel(sar_w_per_kg=2, peak_b1_t=20e-6), absorbed_w_per_t2=absorbed, patient_mass_kg=mass)


def test_rms_above_peak_is_refused():
    with pytest.raises(OutsideModelError, match=r"B1\+rms = 5 uT exceeds the peak of 4 uT"):
        exposure(RmsLevel(b1_rms_t=5e-6, peak_b1_t=4e-6))


def test_rectangles_that_fill_the_repetition_time_have_the_duty_one():
    pulse = RectanglePulse(name="saturation", peak_b1_t=3e-6, duration_s=5e-3, count=4)
    found = exposure(PulsesLevel(pulses=(pulse,), repetition_time_s=20e-3))
    assert found.rms_b1_plus_t == pytest.approx(3e-6)
    assert found.duty == pytest.approx(1)


def test_pulses_have_the_mean_square_of_their_sampled_waveform():
    """A spin echo: one excitation and eight refocusing pulses in 500 ms, laid out sample by sample."""
    pulses = (
        SincPulse(name="excitation", flip_angle_rad=pi / 2, duration_s=3e-3, count=1, time_bandwidth=4),
        SincPulse(name="refocusing", flip_angle_rad=5 * pi / 6, duration_s=2e-3, count=8, time_bandwidth=3),
        RectanglePulse(name="inversion", peak_b1_t=9e-6, duration_s=1.5e-3, count=1),
    )
    found = exposure(PulsesLevel(pulses=pulses, repetition_time_s=0.5))
    step = 1e-7
    square, peaks = 0.0, []
    for pulse in pulses:
        t = (np.arange(round(pulse.duration_s / step)) + 0.5) * step / pulse.duration_s - 0.5
        envelope = np.ones_like(t)
        if isinstance(pulse, SincPulse):
            envelope = np.sinc(pulse.time_bandwidth * t) * np.cos(pi * t) ** 2
        peak = pulse.peak_b1_t or pulse.flip_angle_rad / (2 * pi * PROTON * envelope.sum() * step)
        square += pulse.count * np.sum((peak * envelope) ** 2) * step
        peaks.append(peak)
    assert found.rms_b1_plus_t == pytest.approx(sqrt(square / 0.5), rel=1e-6)
    assert found.peak_b1_plus_t == pytest.approx(max(peaks), rel=1e-6)


def test_pulses_longer_than_their_repetition_time_are_refused():
    pulse = RectanglePulse(name="saturation", peak_b1_t=3e-6, duration_s=6e-3, count=4)
    with pytest.raises(OutsideModelError, match="last 24 ms in all, the repetition time is 20 ms"):
        exposure(PulsesLevel(pulses=(pulse,), repetition_time_s=20e-3))


def test_a_pulse_without_angle_and_peak_is_refused():
    pulse = RectanglePulse(name="saturation", duration_s=6e-3, count=1)
    with pytest.raises(OutsideModelError, match="'saturation' has neither flip angle nor peak"):
        exposure(PulsesLevel(pulses=(pulse,), repetition_time_s=20e-3))
