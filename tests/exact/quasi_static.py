"""Low-frequency closed forms: a body too small and too poor a conductor to disturb the magnetic field."""

import numpy as np
from numpy.typing import NDArray
from scipy.constants import mu_0
from scipy.special import lpmv

Real = NDArray[np.float64]


def uniform_field_power_in_sphere_w(
    *, field_peak_t: float, radius_m: float, sigma_s_per_m: float, frequency_hz: float
) -> float:
    """Power of a uniform linear field: pi sigma omega^2 B^2 a^5 / 15. [W]"""
    omega = 2 * np.pi * frequency_hz
    return float(np.pi * sigma_s_per_m * (omega * field_peak_t) ** 2 * radius_m**5 / 15)


def uniform_field_power_in_cylinder_w_per_m(
    *, axial_peak_t: float, transverse_peak_t: float, radius_m: float, sigma_s_per_m: float, frequency_hz: float
) -> float:
    """Power per length of a long cylinder: pi sigma omega^2 a^4 (B_axial^2/16 + B_transverse^2/8). [W/m]"""
    omega = 2 * np.pi * frequency_hz
    square = axial_peak_t**2 / 16 + transverse_peak_t**2 / 8
    return float(np.pi * sigma_s_per_m * omega**2 * square * radius_m**4)


def uniform_field_electric_field_v_per_m(
    points_m: Real, *, field_peak_t: tuple[float, float, float], frequency_hz: float
) -> NDArray[np.complex128]:
    """E = -j omega B x r / 2 in a sphere about the origin, shape (n, 3). [V/m]"""
    return -1j * np.pi * frequency_hz * np.cross(np.asarray(field_peak_t), points_m)


def coaxial_loop_resistance_ohm(
    *,
    sphere_radius_m: float,
    loop_radius_m: float,
    height_m: float,
    sigma_s_per_m: float,
    frequency_hz: float,
    degree_max: int = 150,
) -> float:
    """Noise resistance of a loop about the axis of a sphere, its plane height_m from the centre. [ohm]

    R = sigma omega^2 mu0^2 pi sin^2(alpha) sum_n [P_n^1(cos alpha)]^2 a^(2n+3) / (n(n+1)(2n+1)(2n+3) b^(2n)).
    """
    n = np.arange(1, degree_max + 1)
    b = np.hypot(loop_radius_m, height_m)
    legendre = lpmv(1, n, height_m / b)
    terms = legendre**2 * sphere_radius_m**3 * (sphere_radius_m / b) ** (2 * n)
    total = np.sum(terms / (n * (n + 1) * (2 * n + 1) * (2 * n + 3)))
    return float(sigma_s_per_m * (2 * np.pi * frequency_hz * mu_0) ** 2 * np.pi * (loop_radius_m / b) ** 2 * total)
