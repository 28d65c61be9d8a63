"""Ultimate limits from complete sets of modes, full wave and quasi-static, and the accelerated ultimate that follows.

Every mode is scaled to a noise resistance of 1 ohm, so a row of S holds what each mode hears from one point. With
K = S S^H over the points that an acceleration folds together, the full SNR is sqrt(K_ii) and the accelerated one
1/sqrt([K^-1]_ii).
"""

import numpy as np
from numpy.typing import NDArray
from scipy.constants import c, epsilon_0

from exact.harmonics import curl_harmonics, mode_numbers, spherical_harmonics
from exact.loops import Loop
from exact.radial import regular
from exact.spheres import LayeredSphere, fields_of_loops_inside

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


def _reception(B: Complex, sense: int) -> Complex:
    return 0.5 * (B[..., 0] + 1j * sense * B[..., 1])


def _angular(points_m: Real, degree_max: int) -> tuple[Real, Real, Complex, Complex, Complex]:
    """Radius (n,), direction (n, 3), Y (modes, n), C and Psi (modes, n, 3)."""
    points = np.asarray(points_m, dtype=float).reshape(-1, 3)
    r = np.linalg.norm(points, axis=1)
    direction = np.where(r[:, None] > 0, points / np.where(r > 0, r, 1)[:, None], [0.0, 0.0, 1.0])
    Y = spherical_harmonics(degree_max, direction)
    C = np.moveaxis(curl_harmonics(Y), 0, -1)
    return r, direction, Y, C, np.cross(direction, C)


def quasi_static_modes(
    points_m: Real,
    *,
    radius_m: float,
    degree_max: int = 50,
    sigma_s_per_m: float = 1.0,
    frequency_hz: float = 1.0,
    sense: int = 1,
) -> Complex:
    """S (n, modes) of B = grad r^n Y_nm with R = sigma omega^2 n a^(2n+3) / ((n+1)(2n+3)). [T A^-1 ohm^-1/2]"""
    l, _ = mode_numbers(degree_max)
    r, direction, Y, _, psi = _angular(points_m, degree_max)
    with np.errstate(divide="ignore"):
        root = 2 * np.pi * frequency_hz * np.sqrt(sigma_s_per_m * l / ((l + 1) * (2 * l + 3)) * radius_m**5)
    power = np.where(
        l[:, None] > 0, (r / radius_m) ** np.maximum(l - 1, 0)[:, None] / np.where(l > 0, root, 1)[:, None], 0
    )
    B = power[..., None] * (l[:, None, None] * Y[..., None] * direction + psi)
    return _reception(B, sense).T


def full_wave_modes(
    points_m: Real,
    *,
    radius_m: float,
    eps_r: float,
    sigma_s_per_m: float,
    frequency_hz: float,
    degree_max: int = 50,
    sense: int = 1,
) -> Complex:
    """S (n, 2 modes) of all TE and TM modes, their loss by Gauss quadrature over the radius. [T A^-1 ohm^-1/2]"""
    omega = 2 * np.pi * frequency_hz
    k = omega / c * np.sqrt(eps_r - 1j * sigma_s_per_m / (omega * epsilon_0))
    l, _ = mode_numbers(degree_max)
    r, direction, Y, C, psi = _angular(points_m, degree_max)
    over_r, slope = _radial(k, radius_m, r, degree_max)
    x, w = np.polynomial.legendre.leggauss(120)
    q, dq = radius_m * (x + 1) / 2, w * radius_m / 2
    q_over_r, q_slope = _radial(k, radius_m, q, degree_max)
    ll = (np.arange(degree_max + 1) * np.arange(1, degree_max + 2))[:, None]
    te = sigma_s_per_m * np.sum(ll * np.abs(q_over_r) ** 2 * q**4 * dq, axis=1)
    tm = (
        sigma_s_per_m
        / abs(k) ** 4
        * np.sum((ll**2 * np.abs(q_over_r) ** 2 + ll * np.abs(q_slope) ** 2) * q**2 * dq, axis=1)
    )
    te[0] = tm[0] = np.inf  # degree 0 carries no field
    B_te = (ll * over_r)[l][..., None] * Y[..., None] * direction + slope[l][..., None] * psi
    B_tm = (over_r * r)[l][..., None] * C
    both = [1j / omega * _reception(B, sense) / np.sqrt(R)[l][:, None] for B, R in ((B_te, te), (B_tm, tm))]
    return np.concatenate(both).T


def _radial(k: complex, a: float, r: Real, degree_max: int) -> tuple[Complex, Complex]:
    """X/r and (rX)'/r of X = (r/a)^l J_l(kr), shape (degrees, n)."""
    l = np.arange(degree_max + 1.0)[:, None]
    J = regular(degree_max + 1, k * r)
    power = (r / a) ** np.maximum(l - 1, 0) / a
    return power * J[:-1], power * ((l + 1) * J[:-1] - (k * r) ** 2 / (2 * l + 3) * J[1:])


def full_snr(S: Complex) -> Real:
    """sqrt(K_ii), shape (n,)."""
    return np.linalg.norm(S, axis=1)


def accelerated_snr(S: Complex) -> Real:
    """1 / sqrt([K^-1]_ii) over the points of one folded set, shape (n,); without the 1/sqrt(R) of the shorter scan."""
    size = full_snr(S)
    K = (S / size[:, None]) @ (S / size[:, None]).conj().T
    return size / np.sqrt(np.diag(np.linalg.inv(K)).real)


def g_factor(S: Complex) -> Real:
    """sqrt([K^-1]_ii K_ii), shape (n,)."""
    return full_snr(S) / accelerated_snr(S)


def folded_points(point_m: Real, *, axis: int, factor: float, field_of_view_m: float, radius_m: float) -> Real:
    """The point and all that fold onto it inside the sphere, shape (n, 3), the point itself first."""
    step = field_of_view_m / factor
    reach = int(np.ceil(2 * radius_m / step)) + 1
    shifts = np.array(sorted(range(-reach, reach + 1), key=abs), dtype=float) * step
    points = np.repeat(np.asarray(point_m, dtype=float)[None], len(shifts), axis=0)
    points[:, axis] += shifts
    return points[np.linalg.norm(points, axis=1) < radius_m * (1 - 1e-9)]


def reception_of_loops(
    loops: list[Loop],
    sphere: LayeredSphere,
    frequency_hz: float,
    points_m: Real,
    *,
    sense: int = 1,
    degree_max: int = 80,
) -> Complex:
    """(Bx + sense j By)/2 of 1 A in every loop, body included, shape (loops, n). [T/A]"""
    _, B = fields_of_loops_inside(loops, sphere, frequency_hz, points_m, degree_max)
    return _reception(B, sense)


def optimum_snr(reception: Complex, noise_resistance_ohm: Complex) -> Real:
    """sqrt(s^H R^-1 s) at every point, shape (n,), from s (loops, n) and R (loops, loops). [T A^-1 ohm^-1/2]"""
    return np.sqrt(np.sum(reception.conj() * np.linalg.solve(noise_resistance_ohm, reception), axis=0).real)


def whitened(reception: Complex, noise_resistance_ohm: Complex) -> Complex:
    """Modes of an array with unit noise, S (n, loops), to put into the functions above."""
    return np.linalg.solve(np.linalg.cholesky(noise_resistance_ohm), reception).T
