import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.snr import (
    absolute_snr_factor,
    optimum_sensitivity,
    root_sum_of_squares_sensitivity,
    whitened,
)


def _case(elements=4, points=50, seed=1):
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(elements, elements)) + 1j * rng.normal(size=(elements, elements))
    signal = rng.normal(size=(elements, points)) + 1j * rng.normal(size=(elements, points))
    return signal, root @ root.conj().T + np.eye(elements)


def test_whitening_makes_the_noise_white():
    _, noise = _case()
    identity = whitened(whitened(noise, noise).conj().T, noise)
    np.testing.assert_allclose(identity, np.eye(4), atol=1e-12)


def test_optimum_is_the_quadratic_form():
    signal, noise = _case()
    direct = np.sqrt(np.einsum("ip,ij,jp->p", signal.conj(), np.linalg.inv(noise), signal).real)
    np.testing.assert_allclose(optimum_sensitivity(signal, noise), direct, rtol=1e-12)


def test_one_element_is_field_over_root_resistance():
    signal, noise = np.array([[3e-6 + 4e-6j]]), np.array([[4.0]])
    assert optimum_sensitivity(signal, noise)[0] == pytest.approx(2.5e-6)
    assert root_sum_of_squares_sensitivity(signal, noise)[0] == pytest.approx(2.5e-6)


def test_the_order_of_indices_matters_and_is_kept():
    """Psi_ij = <n_i n_j*>: taking its transpose for it gives another, wrong, answer."""
    rng = np.random.default_rng(9)
    signal, noise = _case(elements=2, points=1, seed=9)
    samples = (
        np.linalg.cholesky(noise) @ (rng.normal(size=(2, 400_000)) + 1j * rng.normal(size=(2, 400_000))) / np.sqrt(2)
    )
    weights = np.linalg.solve(noise, signal)[:, 0]
    measured = abs(weights.conj() @ signal[:, 0]) / np.std(weights.conj() @ samples)
    assert optimum_sensitivity(signal, noise)[0] == pytest.approx(measured, rel=0.005)
    assert abs(optimum_sensitivity(signal, noise.T)[0] / measured - 1) > 0.05
    rss = np.sum(np.abs(signal) ** 2) / np.std(signal[:, 0].conj() @ samples)
    assert root_sum_of_squares_sensitivity(signal, noise)[0] == pytest.approx(rss, rel=0.005)


def test_many_points_are_worked_on_in_pieces_without_a_seam():
    signal, noise = _case(elements=2, points=70_000)
    found = optimum_sensitivity(signal, noise)
    np.testing.assert_allclose(
        found[[0, 65_535, 65_536, -1]], optimum_sensitivity(signal[:, [0, 65_535, 65_536, -1]], noise)
    )


def test_single_precision_signals_are_worked_on_in_double():
    signal, noise = _case()
    single = signal.astype(np.complex64)
    np.testing.assert_allclose(
        optimum_sensitivity(single, noise), optimum_sensitivity(single.astype(np.complex128), noise), rtol=1e-14
    )


def test_no_signal_is_no_snr():
    _, noise = _case()
    nothing = np.zeros((4, 3), dtype=complex)
    assert not optimum_sensitivity(nothing, noise).any()
    assert not root_sum_of_squares_sensitivity(nothing, noise).any()


def test_noise_without_an_inverse_is_refused():
    with pytest.raises(OutsideModelError, match="free of noise"):
        optimum_sensitivity(np.ones((2, 1)), np.ones((2, 2)))


def test_absolute_snr_scales_as_it_must():
    base = {
        "frequency_hz": 127.7e6,
        "magnetisation_a_per_m": 0.009,
        "voxel_volume_m3": 1e-9,
        "bandwidth_hz": 100.0,
        "noise_temperature_k": 300.0,
    }
    one = absolute_snr_factor(**base)
    assert absolute_snr_factor(**base | {"voxel_volume_m3": 8e-9}) == pytest.approx(8 * one)
    assert absolute_snr_factor(**base | {"bandwidth_hz": 400.0}) == pytest.approx(one / 2)
    assert absolute_snr_factor(**base | {"frequency_hz": 255.4e6}) == pytest.approx(2 * one)
    assert absolute_snr_factor(**base | {"noise_temperature_k": 75.0}) == pytest.approx(2 * one)
