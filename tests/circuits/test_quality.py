import numpy as np
import pytest

from loopwright.circuits.tuned.quality import coil_noise_figure_db, quality_factor, snr_retained


@pytest.mark.parametrize(
    ("ratio", "retained"),
    [(2, 0.7071068), (3, 0.8164966), (4, 0.8660254), (5, 0.8944272), (8, 0.9354143), (10, 0.9486833)],
)
def test_snr_retained(ratio, retained):
    """D2: sqrt(1 - QL/QU)."""
    assert snr_retained(1.0, ratio) == pytest.approx(retained, abs=1e-6)


def test_snr_retained_is_the_noise_figure_at_equal_temperatures():
    body, coil, inductance_h = np.array([1.0, 5.0]), np.array([0.5, 0.4]), 200e-9
    unloaded = quality_factor(inductance_h, coil, frequency_hz=100e6)
    loaded = quality_factor(inductance_h, body + coil, frequency_hz=100e6)
    figure_db = coil_noise_figure_db(body, coil, body_temperature_k=300, coil_temperature_k=300)
    np.testing.assert_allclose(-20 * np.log10(snr_retained(loaded, unloaded)), figure_db, rtol=1e-12)


@pytest.mark.parametrize(
    ("figure_db", "coil_over_body"), [(3, 0.995), (1.9, 0.549), (0.8, 0.202), (0.2, 0.047), (0.1, 0.023)]
)
def test_noise_figures_of_wire_loops(figure_db, coil_over_body):
    """Kumar, Edelstein, Bottomley, Magn. Reson. Med. 61, 1201 (2009), abstract: 3 cm wire loops at five fields."""
    found = coil_noise_figure_db(1.0, coil_over_body, body_temperature_k=310, coil_temperature_k=310)
    assert found == pytest.approx(figure_db, abs=0.006)


def test_a_cold_coil_is_quieter():
    warm = coil_noise_figure_db(1.0, 1.0, body_temperature_k=310, coil_temperature_k=310)
    cold = coil_noise_figure_db(1.0, 1.0, body_temperature_k=310, coil_temperature_k=77.5)
    assert warm == pytest.approx(10 * np.log10(2))
    assert cold == pytest.approx(10 * np.log10(1.25))


def test_a_coil_without_body_has_an_infinite_noise_figure():
    assert np.isinf(coil_noise_figure_db(0.0, 1.0, body_temperature_k=310, coil_temperature_k=310))
    assert np.isinf(quality_factor(1e-7, 0.0, frequency_hz=1e8))
