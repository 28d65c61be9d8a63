import numpy as np
import pytest
from scipy.interpolate import BarycentricInterpolator

from loopwright.fields.wires.polynomial import interpolate, sample_frequencies_hz
from loopwright.ground.errors import OutsideModelError


def test_samples_hold_the_middle_and_both_ends():
    found = sample_frequencies_hz(127.7e6, band_fraction=0.04, frequency_count=5)
    assert found[2] == 127.7e6
    np.testing.assert_allclose(found[[0, -1]], [0.96 * 127.7e6, 1.04 * 127.7e6], rtol=1e-14)
    assert np.all(np.diff(found) > 0)


def test_interpolation_equals_scipys():
    rng = np.random.default_rng(5)
    nodes = sample_frequencies_hz(64e6, band_fraction=0.1, frequency_count=7)
    samples = rng.normal(size=(7, 3, 3)) + 1j * rng.normal(size=(7, 3, 3))
    wanted = np.linspace(nodes[0], nodes[-1], 12).reshape(3, 4)
    found = interpolate(nodes, samples, wanted)
    assert found.shape == (3, 4, 3, 3)
    np.testing.assert_allclose(found, BarycentricInterpolator(nodes, samples)(wanted), rtol=1e-10, atol=1e-12)
    np.testing.assert_allclose(interpolate(nodes, samples, nodes[3]), samples[3], rtol=1e-14)


@pytest.mark.parametrize("wanted", [57.5e6, 70.5e6, [64e6, 71e6]])
def test_extrapolation_is_refused(wanted):
    nodes = sample_frequencies_hz(64e6, band_fraction=0.1, frequency_count=3)
    with pytest.raises(OutsideModelError, match=r"57\.600 to 70\.400 MHz"):
        interpolate(nodes, np.zeros((3, 1, 1), dtype=complex), wanted)


@pytest.mark.parametrize(("fraction", "count"), [(0.04, 4), (0.04, 0), (0.0, 5), (1.0, 5)])
def test_bands_that_make_no_sense_are_refused(fraction, count):
    with pytest.raises(OutsideModelError):
        sample_frequencies_hz(64e6, band_fraction=fraction, frequency_count=count)


def test_one_frequency_is_a_band_too():
    assert sample_frequencies_hz(64e6, band_fraction=0.04, frequency_count=1).tolist() == [64e6]
