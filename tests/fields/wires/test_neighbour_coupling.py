"""Coupling of neighbours: the same as the network's, and zero where an independent integral says.

The independent integral takes exact circles: its static part is Maxwell's vector potential of a ring along the other
circle (complete elliptic integrals), its retarded part the trapezium rule on the smooth rest (cos kR - 1)/R. Neither
shares a line with the polygons' kernel.
"""

import warnings

import numpy as np
import pytest
from scipy.constants import c
from scipy.integrate import IntegrationWarning, quad
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from loopwright.conductors import equivalent_radius_m
from loopwright.fields import LoopCoupling, solve_network
from loopwright.fields.wires import loop_reactances_ohm
from loopwright.layouts import circle_outline_m
from wire_arrays import dressed

RADIUS_M, APART_M = 0.04, 0.2e-3


def _ring(*, segments=24, shift_m=(0.0, 0.0, 0.0)):
    return np.pad(circle_outline_m(2 * RADIUS_M, segments=segments), ((0, 0), (0, 1))) + np.asarray(shift_m)


def test_coefficients_are_those_of_the_network():
    rings = [_ring(), _ring(shift_m=(0.06, 0, 1e-3)), _ring(shift_m=(0.03, 0.055, 2e-3))]
    array = dressed(rings)
    loop_ohm = solve_network(array, 128e6, band_fraction=0.01, frequency_count=3).loop_impedance_ohm.imag
    pairs = np.array([[0, 1], [0, 2], [1, 2]])
    coupling = LoopCoupling(conductor_radius_m=equivalent_radius_m(array.cross_section), frequency_hz=128e6)
    own = np.diagonal(loop_ohm)
    expected = [loop_ohm[i, j] / np.sqrt(own[i] * own[j]) for i, j in pairs]
    assert coupling(rings, pairs, elements=np.arange(3)) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_body_reactance_is_added_by_element_and_not_by_outline():
    rings = [_ring(), _ring(shift_m=(0.07, 0, 1e-3)), _ring(shift_m=(0.0, 0, 0.0)), _ring(shift_m=(0.07, 0, 1e-3))]
    body = np.array([[3.0, 5.0], [5.0, 7.0]])
    coupling = LoopCoupling(conductor_radius_m=1e-3, frequency_hz=128e6, body_reactance_ohm=body)
    found = coupling(rings, np.array([[0, 1], [2, 3]]), elements=np.array([0, 1, 0, 1]))
    assert found[0] == pytest.approx(found[1], rel=1e-12)
    free = loop_reactances_ohm(rings, np.array([[0, 1], [0, 0], [1, 1]]), conductor_radius_m=1e-3, frequency_hz=128e6)
    assert found[0] == pytest.approx((free[0] + 5) / np.sqrt((free[1] + 3) * (free[2] + 7)), rel=1e-12)


def _static_m(distance_m):
    """Neumann's integral of two exact circles over 4 pi, from the vector potential of one along the other. [m]"""

    def along(phi):
        x, y = distance_m + RADIUS_M * np.cos(phi), RADIUS_M * np.sin(phi)
        r = np.hypot(x, y)
        m = 4 * RADIUS_M * r / ((RADIUS_M + r) ** 2 + APART_M**2)
        potential = np.sqrt(RADIUS_M / r / m) / np.pi * ((1 - m / 2) * ellipk(m) - ellipe(m))
        return potential * RADIUS_M * (y * np.sin(phi) + x * np.cos(phi)) / r

    crossing = np.arccos(-distance_m / 2 / RADIUS_M)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", IntegrationWarning)
        return 2 * quad(along, 0, np.pi, points=[crossing], epsabs=1e-13, epsrel=1e-10, limit=200)[0]


def _retarded_m(distance_m, frequency_hz, points=300):
    """What retardation adds to the real part. [m]"""
    k = 2 * np.pi * frequency_hz / c
    first = 2 * np.pi * (np.arange(points) + 0.5) / points
    second = 2 * np.pi * np.arange(points)[:, None] / points
    across = distance_m + RADIUS_M * (np.cos(second) - np.cos(first))
    R = np.sqrt(across**2 + RADIUS_M**2 * (np.sin(second) - np.sin(first)) ** 2 + APART_M**2)
    step = (2 * np.pi / points * RADIUS_M) ** 2
    return np.sum(step * np.cos(first - second) * (np.cos(k * R) - 1) / R) / (4 * np.pi)


@pytest.mark.parametrize(
    ("frequency_hz", "expected"), [(1e3, 0.75840), (64e6, 0.75884), (127.7e6, 0.76013), (298e6, 0.76696)]
)
def test_retardation_moves_the_zero_of_coplanar_circles_outwards(frequency_hz, expected):
    exact = brentq(
        lambda s: _static_m(2 * RADIUS_M * s) + _retarded_m(2 * RADIUS_M * s, frequency_hz), 0.74, 0.79, xtol=1e-7
    )

    def polygons(s):
        rings = [_ring(segments=192), _ring(segments=192, shift_m=(2 * RADIUS_M * s, 0, APART_M))]
        return loop_reactances_ohm(rings, np.array([[0, 1]]), conductor_radius_m=1e-3, frequency_hz=frequency_hz)[0]

    assert exact == pytest.approx(expected, abs=1e-5)
    assert brentq(polygons, 0.74, 0.79, xtol=1e-7) == pytest.approx(exact, abs=5e-5)
