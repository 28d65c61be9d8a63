"""Closed filaments carrying 1 A, and their integrals in free space."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.constants import c, mu_0

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A true circle; the current runs right-handed about the normal."""

    centre_m: tuple[float, float, float]
    normal: tuple[float, float, float]
    radius_m: float

    def quadrature(self, points: int = 512) -> tuple[Real, Real]:
        """Points (n, 3) and directed line elements (n, 3). [m]"""
        n = np.asarray(self.normal, dtype=float) / np.linalg.norm(self.normal)
        u = np.cross(n, np.eye(3)[np.argmin(np.abs(n))])
        u /= np.linalg.norm(u)
        v = np.cross(n, u)
        t = 2 * np.pi * (np.arange(points)[:, None] + 0.5) / points
        where = np.asarray(self.centre_m) + self.radius_m * (np.cos(t) * u + np.sin(t) * v)
        return where, self.radius_m * (2 * np.pi / points) * (np.cos(t) * v - np.sin(t) * u)


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygon:
    """A closed polygon through the vertices, in their order."""

    vertices_m: NDArray[np.float64]

    def quadrature(self, points: int = 512) -> tuple[Real, Real]:
        """Gauss points (n, 3) and directed line elements (n, 3), at least eight to an edge. [m]"""
        start = np.asarray(self.vertices_m, dtype=float)
        edge = np.roll(start, -1, axis=0) - start
        x, w = np.polynomial.legendre.leggauss(max(8, points // len(start)))
        where = start[:, None] + edge[:, None] * (0.5 + 0.5 * x[None, :, None])
        return where.reshape(-1, 3), (edge[:, None] * (0.5 * w[None, :, None])).reshape(-1, 3)


Loop = Circle | Polygon


def coax_loop(
    *, sphere_radius_m: float = 0.1, radius_m: float = 0.04, gap_m: float = 0.01, axis: ArrayLike = (0, 0, 1)
) -> Circle:
    """Loop concentric with a radius of the sphere, its wire gap_m off the surface."""
    axis = np.asarray(axis, dtype=float) / np.linalg.norm(axis)
    centre = axis * np.sqrt((sphere_radius_m + gap_m) ** 2 - radius_m**2)
    return Circle(centre_m=tuple(centre), normal=tuple(axis), radius_m=radius_m)


def side_loop(
    *, sphere_radius_m: float = 0.1, radius_m: float = 0.04, gap_m: float = 0.01, normal: ArrayLike = (0, 1, 0)
) -> Circle:
    """Loop on edge in the +x direction: a radius lies in its plane, its nearest point is gap_m off the surface."""
    return Circle(
        centre_m=(sphere_radius_m + gap_m + radius_m, 0.0, 0.0), normal=tuple(np.asarray(normal)), radius_m=radius_m
    )


def free_space_fields(
    loop: Loop, frequency_hz: float, points_m: Real, *, points: int = 2048
) -> tuple[Complex, Complex]:
    """E and B (n, 3) of the loop alone: E = -j omega mu0 I g dl (no charges), B = mu0 curl I g dl. [V/m, T]"""
    k, omega = 2 * np.pi * frequency_hz / c, 2 * np.pi * frequency_hz
    source, dl = loop.quadrature(points)
    E = np.empty((len(points_m), 3), dtype=complex)
    B = np.empty_like(E)
    for i, point in enumerate(np.asarray(points_m, dtype=float)):
        R = point - source
        d = np.linalg.norm(R, axis=1)
        g = np.exp(-1j * k * d) / (4 * np.pi * d)
        E[i] = -1j * omega * mu_0 * (g @ dl)
        slope = -(1 + 1j * k * d) * g / d**2
        B[i] = mu_0 * (slope @ np.cross(R, dl))
    return E, B


def free_space_impedance_ohm(loop: Loop, frequency_hz: float, other: Loop, *, points: int = 1024) -> complex:
    """Mutual impedance -oint E_loop . dl_other of two loops that do not touch. [ohm]"""
    where, dl = other.quadrature(points)
    E, _ = free_space_fields(loop, frequency_hz, where, points=points)
    return complex(-np.sum(E * dl))
