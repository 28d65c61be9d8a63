"""Array combination and parallel imaging as published.

P. B. Roemer, W. A. Edelstein, C. E. Hayes, S. P. Souza, O. M. Mueller, The NMR phased array, Magn. Reson. Med. 16,
192-225 (1990): optimum and sum-of-squares combination. K. P. Pruessmann, M. Weiger, M. B. Scheidegger, P. Boesiger,
SENSE: sensitivity encoding for fast MRI, Magn. Reson. Med. 42, 952-962 (1999): the g-factor (abstract read, definition
from memory). D. W. McRobbie, The absolute signal-to-noise ratio, Br. J. Radiol. 69, 1045 (1996): absolute SNR in
Hz^1/2 ml^-1 T^-1 (abstract read, title from memory). The numbers beside them are closed forms.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m
from loopwright.imaging.sense import g_factor
from loopwright.imaging.snr import absolute_snr_factor, optimum_sensitivity, root_sum_of_squares_sensitivity

CASES = settings(max_examples=60, derandomize=True, deadline=None)
SEEDS = st.integers(0, 2**32 - 1)


def pair(rho):
    return np.array([[1, rho], [np.conj(rho), 1]], dtype=complex)


def ratio(signal, noise):
    column = np.asarray(signal, dtype=complex)[:, None]
    return (root_sum_of_squares_sensitivity(column, noise) / optimum_sensitivity(column, noise))[0]


@pytest.mark.parametrize(("rho", "lost"), [(0.41, 0.912), (0.43, 0.903), (0.50, 0.866)])
def test_sum_of_squares_of_two_channels_at_worst(rho, lost):
    # The worst signal is in one channel only: sqrt(1 - rho^2), printed to three digits.
    assert ratio([1, 0], pair(rho)) == pytest.approx(np.sqrt(1 - rho**2), rel=1e-12)
    assert ratio([1, 0], pair(rho)) == pytest.approx(lost, abs=5e-4)


@pytest.mark.parametrize("sign", [1, -1])
def test_sum_of_squares_loses_nothing_on_eigenvectors(sign):
    assert ratio([1, sign], pair(0.41)) == pytest.approx(1, rel=1e-12)


def test_sum_of_squares_between_the_two():
    # Exactly s = (1, 1/2), rho = .41: s^H s = 5/4; s^H Psi s = 5/4 + rho; s^H Psi^-1 s = (5/4 - rho) / (1 - rho^2).
    exact = 1.25 / np.sqrt((1.25 + 0.41) * (1.25 - 0.41) / (1 - 0.41**2))
    assert ratio([1, 0.5], pair(0.41)) == pytest.approx(exact, rel=1e-12)
    assert exact == pytest.approx(0.9655, abs=5e-5)


@CASES
@given(seed=SEEDS, channels=st.integers(2, 6))
def test_sum_of_squares_keeps_at_least_what_kantorovich_leaves(seed, channels):
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(channels, channels)) + 1j * rng.normal(size=(channels, channels))
    noise = root @ root.conj().T + 0.05 * np.eye(channels)
    signal = rng.normal(size=channels) + 1j * rng.normal(size=channels)
    kappa = np.linalg.cond(noise)
    found = ratio(signal, noise)
    assert 2 * np.sqrt(kappa) / (1 + kappa) * (1 - 1e-9) <= found <= 1 + 1e-12


@pytest.mark.parametrize(("c", "printed"), [(0.5, 1.66667), (0.2, 1.08333)])
def test_two_real_channels(c, printed):
    g = g_factor(np.array([[1, c], [c, 1]]), np.eye(2))
    np.testing.assert_allclose(g, (1 + c**2) / (1 - c**2), rtol=1e-12)
    assert g[0] == pytest.approx(printed, abs=5e-6)


@CASES
@given(seed=SEEDS, positions=st.integers(1, 5), more=st.integers(0, 3))
def test_orthogonal_sensitivities_unfold_for_nothing(seed, positions, more):
    rng = np.random.default_rng(seed)
    channels = positions + more
    block = rng.normal(size=(channels, positions)) + 1j * rng.normal(size=(channels, positions))
    columns = np.linalg.qr(block)[0] * rng.uniform(0.1, 10, positions)
    np.testing.assert_allclose(g_factor(columns, np.eye(channels)), 1, atol=1e-12)


@CASES
@given(seed=SEEDS, positions=st.integers(2, 4))
def test_g_does_not_know_how_channels_are_mixed(seed, positions):
    rng = np.random.default_rng(seed)
    shape = (6, positions)
    # Far from singular, so that rounding stays at the twelfth digit.
    s = np.linalg.qr(rng.normal(size=shape) + 1j * rng.normal(size=shape))[0]
    s = s + 0.3 * (rng.normal(size=shape) + 1j * rng.normal(size=shape)) / 6
    mix = np.linalg.qr(rng.normal(size=(6, 6)) + 1j * rng.normal(size=(6, 6)))[0] * rng.uniform(0.5, 2, 6)
    noise = np.diag(rng.uniform(0.5, 2, 6)).astype(complex)
    before, after = g_factor(s, noise), g_factor(mix @ s, mix @ noise @ mix.conj().T)
    np.testing.assert_allclose(after, before, rtol=1e-12)


@CASES
@given(seed=SEEDS, channels=st.integers(1, 6), positions=st.integers(1, 6))
def test_g_is_at_least_one_and_infinite_beyond_the_channels(seed, channels, positions):
    rng = np.random.default_rng(seed)
    s = rng.normal(size=(channels, positions)) + 1j * rng.normal(size=(channels, positions))
    g = g_factor(s, np.eye(channels))
    assert np.all(g >= 1)
    assert np.all(np.isinf(g)) == (positions > channels)


def test_g_against_the_formula_written_out():
    rng = np.random.default_rng(5)
    s = rng.normal(size=(4, 3)) + 1j * rng.normal(size=(4, 3))
    root = rng.normal(size=(4, 4)) + 1j * rng.normal(size=(4, 4))
    noise = root @ root.conj().T + np.eye(4)
    gram = s.conj().T @ np.linalg.inv(noise) @ s
    expected = np.sqrt(np.diagonal(np.linalg.inv(gram)) * np.diagonal(gram)).real
    np.testing.assert_allclose(g_factor(s, noise), expected, rtol=1e-12)


def test_magnetisation_of_water_at_body_temperature():
    # A9: 3.0874e-3 A m^-1 T^-1 at 37 C, within 0.1 %: the density of water that entered is from memory.
    assert water_magnetisation_a_per_m(1.0, temperature_k=310.15) == pytest.approx(3.0874e-3, rel=1e-3)


@pytest.mark.parametrize(
    ("radius_m", "sigma_s_per_m", "per_field"), [(0.084, 0.4, 3.99e4), (0.100, 0.4, 2.58e4), (0.100, 0.5, 2.31e4)]
)
def test_absolute_snr_at_the_centre_of_a_sphere(radius_m, sigma_s_per_m, per_field):
    """A9: ultimate SNR over field, peak signal over rms noise, Hz^1/2 ml^-1 T^-1, from the static limit of A6."""
    field_t, millilitre_m3, temperature_k = 1.5, 1e-6, 310.15
    frequency_hz = 42.576385e6 * field_t
    w = 2 * np.pi * frequency_hz
    zeta = np.sqrt(15 / (4 * np.pi * sigma_s_per_m * w**2 * radius_m**5))
    factor = absolute_snr_factor(
        frequency_hz=frequency_hz,
        magnetisation_a_per_m=water_magnetisation_a_per_m(field_t, temperature_k=temperature_k),
        voxel_volume_m3=millilitre_m3,
        bandwidth_hz=1.0,
        noise_temperature_k=temperature_k,
    )
    assert factor * zeta / field_t == pytest.approx(per_field, rel=3e-3)


def test_absolute_snr_is_a_peak_voltage_over_the_rms_of_4ktr():
    m0, volume_m3, b_t_per_a, r_ohm, t_k, df_hz, f_hz = 0.0093, 1e-9, 2e-6, 3.0, 300.0, 100.0, 127.7e6
    emf_v = 2 * np.pi * f_hz * m0 * volume_m3 * 2 * b_t_per_a
    noise_v = np.sqrt(4 * BOLTZMANN_J_PER_K * t_k * r_ohm * df_hz)
    factor = absolute_snr_factor(
        frequency_hz=f_hz,
        magnetisation_a_per_m=m0,
        voxel_volume_m3=volume_m3,
        bandwidth_hz=df_hz,
        noise_temperature_k=t_k,
    )
    assert factor * b_t_per_a / np.sqrt(r_ohm) == pytest.approx(emf_v / noise_v, rel=1e-14)
