"""A plane wave E = x^ exp(-j k0 z), 1 V/m peak, on a concentric layered sphere."""

import numpy as np
from numpy.typing import NDArray
from scipy.constants import c, mu_0

from exact.layers import LayeredSphere, noise_per_mode_ohm, radial_solution
from exact.radial import spherical_j
from exact.spheres import fields_from_incident

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


def plane_wave_incident(sphere: LayeredSphere, frequency_hz: float, degree_max: int) -> Complex:
    """Incident X (1, type, modes) of E = x^ exp(-j k0 z), 1 V/m."""
    k0, a = 2 * np.pi * frequency_hz / c, sphere.radius_m
    j = spherical_j(degree_max, k0 * a)
    incident = np.zeros((1, 2, (degree_max + 1) ** 2), dtype=complex)
    for l in range(1, degree_max + 1):
        b = (-1j) ** (l + 1) * np.sqrt(np.pi * (2 * l + 1) / (l * (l + 1)))
        incident[0, 0, [l * l + l + 1, l * l + l - 1]] = -b * j[l]
        incident[0, 1, [l * l + l + 1, l * l + l - 1]] = b * k0 * j[l], -b * k0 * j[l]
    return incident


def plane_wave_fields_inside(
    sphere: LayeredSphere, frequency_hz: float, points_m: Real, degree_max: int = 30
) -> tuple[Complex, Complex]:
    """Total E (n, 3) and B (n, 3) inside for an incident x^ exp(-j k0 z), 1 V/m."""
    incident = plane_wave_incident(sphere, frequency_hz, degree_max)
    solution = radial_solution(sphere, frequency_hz, degree_max)
    E, B = fields_from_incident(incident, solution, points_m, source_radius_m=1e9)
    return E[0], B[0]


def plane_wave_absorbed_power_w(sphere: LayeredSphere, frequency_hz: float, degree_max: int = 30) -> float:
    """Time-averaged power absorbed from a plane wave of 1 V/m peak. [W]"""
    incident = plane_wave_incident(sphere, frequency_hz, degree_max)[0]
    per_mode = noise_per_mode_ohm(radial_solution(sphere, frequency_hz, degree_max))
    return float(0.5 * np.sum(per_mode * np.abs(incident) ** 2))


def plane_wave_absorption_efficiency(sphere: LayeredSphere, frequency_hz: float, degree_max: int = 30) -> float:
    """Absorbed power over that which falls on the sphere's cross-section."""
    falling = np.pi * sphere.radius_m**2 / (2 * mu_0 * c)
    return plane_wave_absorbed_power_w(sphere, frequency_hz, degree_max) / falling
