"""Fields of the wire's currents and charges: Maxwell's equations, the uniform limit, a dipole's static field."""

import numpy as np
import pytest
from scipy.constants import c, epsilon_0

from loopwright.fields.body.wire_kernels import magnetic_rows_t, potential_rows_v, vector_rows_v_per_m
from loopwright.fields.wires import magnetic_field_t_per_a, vector_potential_kernel
from loopwright.ground.constants import MU_0_H_PER_M
from wire_cases import equal_area_polygon, mesh

FREQUENCY_HZ = 298e6
W = 2 * np.pi * FREQUENCY_HZ
K = W / c
RINGS = [equal_area_polygon(0.04, 12), equal_area_polygon(0.03, 8, centre_m=(0.05, 0.01, 0.02))]


def points(count=40):
    rng = np.random.default_rng(3)
    return np.array([0, 0, 0.13]) + rng.uniform(-0.07, 0.07, (count, 3))


def from_currents(where, wires, current):
    return np.stack([vector_rows_v_per_m(where, wires, FREQUENCY_HZ, axis) @ current for axis in (0, 1, 2)], axis=-1)


def slopes(value, where, h=2e-4):
    """Derivative of any field along x, y, z by fourth-order differences, axis of the derivative first."""
    steps = ((-2, 1 / 12), (-1, -2 / 3), (1, 2 / 3), (2, -1 / 12))
    return np.stack([sum(w / h * value(where + s * h * np.eye(3)[axis]) for s, w in steps) for axis in range(3)])


def from_charges(where, wires, current):
    return -slopes(lambda points: potential_rows_v(points, wires, FREQUENCY_HZ) @ current, where).T


def some_current(nodes):
    rng = np.random.default_rng(5)
    return rng.normal(size=nodes) + 1j * rng.normal(size=nodes)


def test_uniform_currents_give_the_field_of_the_loop_mode_and_leave_no_charge():
    wires = mesh(RINGS, 1e-3)
    current = np.repeat([1.0, 0.5 - 2j], [12, 8])
    vector = from_currents(points(), wires, current)
    expected = sum(
        -1j * W * MU_0_H_PER_M * a * vector_potential_kernel(points(), r, K)
        for a, r in zip((1, 0.5 - 2j), RINGS, strict=True)
    )
    assert np.abs(vector - expected).max() < 1e-7 * np.abs(expected).max()  # of the far rule
    potential = potential_rows_v(points(), wires, FREQUENCY_HZ)
    assert np.abs(potential @ current).max() < 1e-13 * np.abs(potential).max()
    field = magnetic_rows_t(points(), wires, FREQUENCY_HZ) @ current
    loops = magnetic_field_t_per_a(points(), RINGS[0], K) + (0.5 - 2j) * magnetic_field_t_per_a(points(), RINGS[1], K)
    np.testing.assert_allclose(field.T, loops, rtol=1e-10, atol=1e-12 * np.abs(loops).max())


def test_electric_field_is_the_curl_of_the_magnetic_one():
    """j w E / c^2 = curl B off the wire, which holds only while currents and charges obey continuity."""
    wires, where = mesh(RINGS, 1e-3), points()
    current = some_current(20)
    slope = slopes(lambda points: (magnetic_rows_t(points, wires, FREQUENCY_HZ) @ current).T, where)
    curl = np.stack([slope[i - 2, :, i - 1] - slope[i - 1, :, i - 2] for i in range(3)], axis=-1)
    vector, charge = from_currents(where, wires, current), from_charges(where, wires, current)
    expected = c**2 / (1j * W) * curl
    assert np.linalg.norm(charge) > 5 * np.linalg.norm(vector)
    assert np.linalg.norm(vector + charge - expected) < 1e-5 * np.linalg.norm(expected)


def test_one_charged_pair_seen_from_afar_is_a_static_dipole():
    """Rooftop at a corner of a straight-sided polygon: q = 1/(j w) and -1/(j w), a segment apart."""
    square = 1e-3 * np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [2, 1, 0]])
    wires = mesh([square], 1e-5)
    where = np.array([[0.05, 0.03, 0.02]])
    current = np.array([0, 1, 0, 0], dtype=complex)
    charge = from_charges(where, wires, current)
    moment = 1e-3 / (1j * W) * np.array([1.0, 0, 0])
    r = where[0] - square[1]
    n = r / np.linalg.norm(r)
    static = (3 * n * (n @ moment) - moment) / (4 * np.pi * epsilon_0 * np.linalg.norm(r) ** 3)
    k_r = K * np.linalg.norm(r)
    assert charge[0] == pytest.approx(static, abs=(k_r**2) * np.abs(static).max())
