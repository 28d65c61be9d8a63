"""Orthonormal spherical harmonics and the vector harmonics made from them.

Modes are numbered l^2 + l + m. Y carries the Condon-Shortley phase, so conj(Y_lm) = (-1)^m Y_l,-m.
The vector harmonics are C_lm = grad(Y_lm) x r = -i L Y_lm and Psi_lm = r grad(Y_lm) = r^ x C_lm,
with the ladder rules of the angular momentum operator L: no division by sin(theta) anywhere.
"""

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


def mode_numbers(degree_max: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Degree and order of every mode, two arrays of shape (modes,)."""
    l = np.repeat(np.arange(degree_max + 1), 2 * np.arange(degree_max + 1) + 1)
    return l, np.arange((degree_max + 1) ** 2) - l * l - l


def spherical_harmonics(degree_max: int, directions: Real) -> Complex:
    """Y_lm at unit vectors (n, 3), shape (modes, n), by the degree recurrence of normalised Legendre functions."""
    x, y, z = np.asarray(directions, dtype=float).T
    s = np.hypot(x, y)
    turn = np.where(s > 0, (x + 1j * y) / np.where(s > 0, s, 1), 1)
    m = np.arange(degree_max + 1)[:, None]
    phases = turn[None, :] ** m
    Y = np.empty(((degree_max + 1) ** 2, len(z)), dtype=complex)
    two_below = np.zeros((degree_max + 1, len(z)))
    below = np.zeros_like(two_below)
    sectoral = np.full(len(z), np.sqrt(1 / (4 * np.pi)))
    for l in range(degree_max + 1):
        here = np.zeros_like(below)
        if l > 0:
            k = m[:l].astype(float)
            up = np.sqrt((4 * l * l - 1) / (l * l - k * k))
            back = np.sqrt(np.maximum((l - 1) ** 2 - k * k, 0) / (4 * (l - 1) ** 2 - 1)) if l > 1 else 0 * k
            here[:l] = up * (z * below[:l] - back * two_below[:l])
            sectoral = -np.sqrt((2 * l + 1) / (2 * l)) * s * sectoral
        here[l] = sectoral
        row = here[: l + 1] * phases[: l + 1]
        Y[l * l + l : (l + 1) ** 2] = row
        Y[l * l : l * l + l] = ((-1.0) ** m[1 : l + 1] * row[1:].conj())[::-1]
        two_below, below = below, here
    return Y


def ladder_factors(degree_max: int) -> tuple[Real, Real]:
    """Factors sqrt((l-m)(l+m+1)) of L+ and sqrt((l+m)(l-m+1)) of L-, each of shape (modes,)."""
    l, m = mode_numbers(degree_max)
    return np.sqrt((l - m) * (l + m + 1.0)), np.sqrt((l + m) * (l - m + 1.0))


def curl_harmonics(Y: Complex) -> Complex:
    """C_lm = -i L Y_lm in Cartesian components, shape (3, modes, n), from Y of shape (modes, n)."""
    degree_max = int(np.sqrt(len(Y))) - 1
    _, m = mode_numbers(degree_max)
    plus, minus = (factor[:, None] for factor in ladder_factors(degree_max))
    raised = plus * np.roll(Y, -1, axis=0)  # at m = l the factor is zero, so what rolls in does not matter
    lowered = minus * np.roll(Y, 1, axis=0)
    return np.stack([-0.5j * (raised + lowered), -0.5 * (raised - lowered), -1j * m[:, None] * Y])


def curl_coefficients(a: Complex) -> Complex:
    """Coefficients d of sum a_lm C_lm = sum d_lm Y_lm, Cartesian: (..., modes) to (3, ..., modes)."""
    degree_max = int(np.sqrt(a.shape[-1])) - 1
    _, m = mode_numbers(degree_max)
    plus, minus = ladder_factors(degree_max)
    raised = np.roll(a * plus, 1, axis=-1)
    lowered = np.roll(a * minus, -1, axis=-1)
    return np.stack([-0.5j * (raised + lowered), -0.5 * (raised - lowered), -1j * m * a])


def mirrored(a: Complex) -> Complex:
    """(-1)^m a_l,-m: turns integrals over conj(Y_lm) into integrals over Y_lm. Shape (..., modes)."""
    degree_max = int(np.sqrt(a.shape[-1])) - 1
    l, m = mode_numbers(degree_max)
    return np.where(m % 2, -1, 1) * a[..., l * l + l - m]
