import numpy as np
import pytest
from skrf.network import z2s

from loopwright.circuits.tuned.coupling import coupling_coefficient, coupling_db
from loopwright.circuits.tuned.matching import match_elements, noise_wave_matrix, scattering
from loopwright.ground.errors import OutsideModelError


def _impedance(elements=4, seed=3):
    rng = np.random.default_rng(seed)
    a = rng.normal(size=(elements, elements))
    x = rng.normal(size=(elements, elements)) * 2
    return a @ a.T + 0.5 * np.eye(elements) + 1j * (x + x.T) / 2


def test_scattering_agrees_with_a_network_library_at_equal_and_unequal_references():
    z = _impedance()
    np.testing.assert_allclose(scattering(z, 50.0), z2s(z[None], 50)[0], atol=1e-13)
    reference = np.array([3.0, 5.0, 8.0, 50.0])
    theirs = z2s(z[None], reference, s_def="power")[0]
    np.testing.assert_allclose(scattering(z, reference), theirs, atol=1e-13)


def test_a_real_match_changes_phases_only():
    """An L-section on every element, seen at 50 ohm, against the ideal match: equal magnitudes."""
    z = _impedance()
    matched_ohm, reference_ohm = match_elements(z)
    ideal = scattering(matched_ohm, reference_ohm)
    # Series reactance into the loop, shunt across the line: 50 ohm becomes R (R < 50), leaving no reactance.
    q = np.sqrt(50 / reference_ohm - 1)
    series = np.diag(1j * q * reference_ohm)
    shunt = np.diag(1 / (-1j * 50 / q))
    behind = np.linalg.inv(np.linalg.inv(matched_ohm + series) + shunt)
    real = scattering(behind, 50.0)
    np.testing.assert_allclose(np.abs(real), np.abs(ideal), atol=1e-12)
    assert np.max(np.abs(real - ideal)) > 0.1


def test_a_lone_element_is_matched():
    matched_ohm, reference_ohm = match_elements(np.array([[4 + 0.3j]]))
    assert abs(scattering(matched_ohm, reference_ohm)[0, 0]) < 1e-15


def test_two_elements_by_hand():
    # Two equal resonant loops coupled by jX: S21 = -... magnitude 2 X R / (4 R^2 + X^2).
    r, x = 5.0, 3.0
    s = scattering(*match_elements(np.array([[r, 1j * x], [1j * x, r]])))
    assert abs(s[1, 0]) == pytest.approx(2 * r * x / (4 * r**2 + x**2), rel=1e-14)
    assert coupling_db(s)[1, 0] == pytest.approx(20 * np.log10(2 * r * x / (4 * r**2 + x**2)))


def test_waves_carry_what_the_hermitian_part_allows():
    z = _impedance()
    reference = np.array([3.0, 5.0, 8.0, 50.0])
    s, t = scattering(z, reference), noise_wave_matrix(z, reference)
    np.testing.assert_allclose(np.eye(4) - s @ s.conj().T, 4 * t @ z.real @ t.conj().T, atol=1e-13)
    assert np.max(np.linalg.svd(s, compute_uv=False)) < 1


def test_an_element_without_resistance_cannot_be_matched():
    with pytest.raises(OutsideModelError, match="element 1"):
        match_elements(np.diag([2.0 + 0j, -0.1 + 0j]))


def test_coupling_coefficient_keeps_its_sign():
    w = 2 * np.pi * 100e6
    mutual_h = np.array([[0, -3e-9], [-3e-9, 0]])
    k = coupling_coefficient(w * mutual_h, np.array([200e-9, 300e-9]), frequency_hz=100e6)
    assert k[0, 1] == pytest.approx(-3 / np.sqrt(6e4))
    assert k[0, 0] == 1


@pytest.mark.parametrize("k", [0.02, 0.1, 0.3])
def test_two_coupled_resonators_split(k):
    """D3: f = f0 / sqrt(1 +- k), the textbook's; found as the zeros of the modal reactances."""
    f0, inductance_h = 123.2e6, 200e-9
    capacitance_f = 1 / ((2 * np.pi * f0) ** 2 * inductance_h)
    for sign in (1, -1):
        f = f0 / np.sqrt(1 + sign * k)
        w = 2 * np.pi * f
        own = 1j * w * inductance_h + 1 / (1j * w * capacitance_f)
        z = np.array([[own, 1j * w * k * inductance_h], [1j * w * k * inductance_h, own]])
        s = scattering(z + 1e-6 * np.eye(2), 50.0)
        mode = np.array([1, sign]) / np.sqrt(2)
        # At its resonance a lossless mode is a short circuit: it sends the wave back with a turned sign.
        np.testing.assert_allclose(s @ mode, -mode, atol=1e-6)
