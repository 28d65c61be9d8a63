"""Reduced spherical Bessel functions against 40-digit arithmetic, and vector harmonics against their definitions."""

import mpmath
import numpy as np
import pytest

from exact.harmonics import curl_coefficients, curl_harmonics, mirrored, mode_numbers, spherical_harmonics
from exact.radial import outgoing, regular, spherical_j

ARGUMENTS = [0.001, 0.5, 3.3 - 1.2j, 4.4934 - 1e-6j, 7 - 6j, 15 - 1j, 2 - 9j, 12.0]


@pytest.mark.parametrize("z", ARGUMENTS)
@pytest.mark.parametrize("l", [0, 1, 2, 5, 20, 60])
def test_reduced_functions_have_all_their_digits(l, z):
    with mpmath.workdps(40):
        factor = mpmath.sqrt(mpmath.pi / (2 * mpmath.mpmathify(z)))
        j = factor * mpmath.besselj(l + mpmath.mpf(1) / 2, z)
        h = factor * mpmath.hankel2(l + mpmath.mpf(1) / 2, z)
        J = complex(j * mpmath.fac2(2 * l + 1) / mpmath.mpmathify(z) ** l)
        H = complex(h / mpmath.fac2(2 * l - 1) * mpmath.mpmathify(z) ** (l + 1))
    assert regular(60, z)[l] == pytest.approx(J, rel=1e-10 if abs(J) < 1e-3 else 1e-13)
    assert outgoing(60, z)[l] == pytest.approx(H, rel=1e-13)
    assert spherical_j(60, z)[l] == pytest.approx(complex(j), rel=1e-10 if abs(J) < 1e-3 else 1e-12)


def test_real_part_of_the_outgoing_wave_survives_at_small_argument():
    """Radiated power hangs on it: Re h_l = j_l, some 60 orders below the imaginary part here."""
    z, l = 0.1, 20
    power = z ** (2 * l + 1) / float(mpmath.fac2(2 * l - 1) * mpmath.fac2(2 * l + 1))
    assert outgoing(l, z)[l].real == pytest.approx(power * regular(l, z)[l].real, rel=1e-12)


def _directions(count=40):
    d = np.random.default_rng(3).normal(size=(count, 3))
    d[0], d[1] = (0, 0, 1), (0, 0, -1)
    return d / np.linalg.norm(d, axis=1)[:, None]


def test_harmonics_obey_the_addition_theorem_at_high_degree():
    Y, d = spherical_harmonics(80, _directions()), _directions()
    l, _ = mode_numbers(80)
    products = np.add.reduceat(Y[:, :1].conj() * Y, np.arange(81) ** 2, axis=0)
    legendre = np.stack([np.polynomial.legendre.Legendre.basis(k)(d[:, 2] * d[0, 2]) for k in range(81)])
    np.testing.assert_allclose(products, legendre * (2 * np.arange(81) + 1)[:, None] / (4 * np.pi), atol=1e-9)
    norms = np.add.reduceat(np.abs(curl_harmonics(Y)) ** 2, np.arange(81) ** 2, axis=1).sum(axis=0)
    ll = np.arange(81) * np.arange(1, 82) * (2 * np.arange(81) + 1) / (4 * np.pi)
    np.testing.assert_allclose(norms, np.repeat(ll[:, None], len(d), axis=1), rtol=1e-9, atol=1e-9)
    assert len(l) == 81**2


def test_curl_harmonics_are_the_gradient_crossed_with_r():
    d, h, L = _directions(), 1e-5, 6
    gradient = np.empty((3, (L + 1) ** 2, len(d)), dtype=complex)
    for axis in range(3):
        step = h * np.eye(3)[axis]
        sides = [p / np.linalg.norm(p, axis=1)[:, None] for p in (d + step, d - step)]
        gradient[axis] = (spherical_harmonics(L, sides[0]) - spherical_harmonics(L, sides[1])) / (2 * h)
    expected = np.moveaxis(np.cross(np.moveaxis(gradient, 0, -1), d), -1, 0)
    np.testing.assert_allclose(curl_harmonics(spherical_harmonics(L, d)), expected, atol=1e-7)


def test_coefficients_of_curl_harmonics_and_mirrored_orders():
    rng, L = np.random.default_rng(5), 7
    a = rng.normal(size=(L + 1) ** 2) + 1j * rng.normal(size=(L + 1) ** 2)
    Y = spherical_harmonics(L, _directions())
    np.testing.assert_allclose(curl_coefficients(a) @ Y, a @ curl_harmonics(Y), atol=1e-12)
    np.testing.assert_allclose(mirrored(a) @ Y, a @ Y.conj(), atol=1e-12)
