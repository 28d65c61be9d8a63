"""Polygons and closed forms that several tests of wires share."""

from itertools import pairwise
from math import pi, sin, sqrt

import numpy as np
from scipy.constants import mu_0
from scipy.integrate import quad
from scipy.special import ellipe, ellipk

from loopwright.fields.wires.impedance import WireMesh
from loopwright.fields.wires.kernel_numba import fill_matrices


def equal_area_polygon(radius_m, segments, *, centre_m=(0.0, 0.0, 0.0)):
    """Regular polygon round the z axis with the area of the circle of this radius."""
    corner = radius_m * sqrt(2 * pi / segments / sin(2 * pi / segments))
    phi = 2 * pi * np.arange(segments) / segments
    return corner * np.stack([np.cos(phi), np.sin(phi), 0 * phi], axis=1) + np.asarray(centre_m)


def square(side_m, per_side, *, centre_m=(0.0, 0.0, 0.0)):
    """Square round the z axis, so many segments on each side."""
    corners = side_m / 2 * np.array([[1, -1], [1, 1], [-1, 1], [-1, -1]])
    steps = np.arange(per_side)[:, None] / per_side
    sides = [a + (b - a) * steps for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    flat = np.concatenate(sides)
    return np.column_stack([flat, np.zeros(len(flat))]) + np.asarray(centre_m)


def first_nodes(polygons):
    return np.cumsum([0, *map(len, polygons)])


def mesh(polygons, radius_m, *, shared_radius_m=0.0):
    """Mesh whose electric part takes one radius between all pairs of conductors."""
    diagonal = np.eye(len(polygons))
    return WireMesh(
        vertices_m=np.concatenate(polygons),
        first_node=first_nodes(polygons),
        magnetic_radius_m=radius_m * diagonal,
        electric_radius_m=radius_m * diagonal + shared_radius_m * (1 - diagonal),
    )


def inductances_h(polygons, radius_m):
    """Static loop-mode inductance matrix of closed wires."""
    found = mesh(polygons, radius_m)
    vector_m, _ = fill_matrices(
        found.vertices_m,
        found.first_node,
        magnetic_radius_m=found.magnetic_radius_m,
        electric_radius_m=found.electric_radius_m,
        wavenumber_per_m=0.0,
    )
    starts = found.first_node[:-1]
    return mu_0 * np.add.reduceat(np.add.reduceat(vector_m.real, starts, axis=0), starts, axis=1)


def coaxial_mutual_inductance_h(a, b, d):
    """Maxwell, Treatise on Electricity and Magnetism, vol. 2, art. 701 (1873): two coaxial circular filaments."""
    m = 4 * a * b / ((a + b) ** 2 + d**2)
    k = np.sqrt(m)
    return mu_0 * np.sqrt(a * b) * ((2 / k - k) * ellipk(m) - (2 / k) * ellipe(m))


def loop_mode_impedance_ohm(radius_m, wire_radius_m, frequency_hz, m):
    """Impedance of the current cos(m phi) on a lossless circular loop, by the Fourier series of the reduced kernel.

    Normalised to the mean square of the current, so that mode 0 is the loop-mode impedance.
    """
    omega = 2 * pi * frequency_hz
    k = omega / 299792458.0

    def harmonic(order):
        def distance(phi):
            return np.sqrt((2 * radius_m * np.sin(phi / 2)) ** 2 + wire_radius_m**2)

        turns = np.array([0, 1e-3, 1e-2, 1e-1, 1.0]) * pi
        parts = [
            [
                quad(lambda p, f=f: f(distance(p)) * np.cos(order * p), *ends, epsabs=0, epsrel=1e-10, limit=200)[0]
                for f in (lambda r: np.cos(k * r) / r, lambda r: -np.sin(k * r) / r)
            ]
            for ends in pairwise(turns)
        ]
        real, imaginary = np.sum(parts, axis=0)
        return 2 * complex(real, imaginary) / (4 * pi)

    vector = radius_m**2 * (harmonic(m - 1) + harmonic(m + 1)) / 2
    return 2 * pi * (1j * omega * mu_0 * vector + m**2 * harmonic(m) / (1j * omega * 8.8541878128e-12))
