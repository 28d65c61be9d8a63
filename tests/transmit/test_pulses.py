"""Shapes of pulses against sums over finely sampled envelopes."""

from math import pi

import numpy as np
import pytest

from loopwright.ground.constants import NUCLEI
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.pulses import RECTANGLE, flip_angle_rad, peak_b1_plus_t, windowed_sinc

PROTON = NUCLEI["1H"].gyromagnetic_ratio_hz_per_t


@pytest.mark.parametrize("time_bandwidth", [0.5, 2, 3.7, 4, 8, 25])
def test_means_of_the_windowed_sinc_are_those_of_its_samples(time_bandwidth):
    t = np.linspace(-0.5, 0.5, 200_001)
    envelope = np.sinc(time_bandwidth * t) * np.cos(pi * t) ** 2
    shape = windowed_sinc(time_bandwidth)
    assert shape.amplitude == pytest.approx(np.trapezoid(envelope, t), rel=1e-8)
    assert shape.power == pytest.approx(np.trapezoid(envelope**2, t), rel=1e-8)


def test_a_sinc_without_lobes_is_its_window():
    shape = windowed_sinc(1e-6)
    assert shape.amplitude == pytest.approx(1 / 2)
    assert shape.power == pytest.approx(3 / 8)


def test_a_long_sinc_has_the_area_of_the_whole_sinc():
    """Integral of sinc is 1/n, and so is that of its square; the window takes a part of about 1/n off the latter."""
    for n in (40, 400):
        shape = windowed_sinc(n)
        assert shape.amplitude == pytest.approx(1 / n, rel=0.1 / n)
        assert 1 / n - 1 / n**2 < shape.power < 1 / n


def test_a_rectangle_of_one_millisecond_tips_protons_a_right_angle_at_5_87_microtesla():
    peak = peak_b1_plus_t(pi / 2, shape=RECTANGLE, duration_s=1e-3, gyromagnetic_ratio_hz_per_t=PROTON)
    assert peak == pytest.approx(5.872e-6, rel=1e-3)
    assert peak == pytest.approx(1 / (4 * PROTON * 1e-3))


def test_a_nucleus_of_negative_ratio_is_tipped_alike():
    found = [
        flip_angle_rad(1e-6, shape=windowed_sinc(4), duration_s=2e-3, gyromagnetic_ratio_hz_per_t=sign * 8e6)
        for sign in (1, -1)
    ]
    assert found[0] == found[1] > 0


def test_peak_and_flip_angle_are_each_others_reverse():
    of = {"shape": windowed_sinc(6), "duration_s": 3e-3, "gyromagnetic_ratio_hz_per_t": PROTON}
    assert flip_angle_rad(peak_b1_plus_t(1.2, **of), **of) == pytest.approx(1.2)


def test_a_sinc_without_bandwidth_is_refused():
    with pytest.raises(OutsideModelError, match="time_bandwidth = 0"):
        windowed_sinc(0.0)
