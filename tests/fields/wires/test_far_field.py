"""Fields and radiation of linear currents on pieces of wire: closed forms, reciprocity with the kernel, Faraday."""

import numpy as np
import pytest
from scipy.constants import c, epsilon_0, mu_0

from loopwright.fields.wires.far_field import far_rows, moments_of_ends, radiated_power_w
from loopwright.fields.wires.filament_fields import magnetic_field_t_per_a, vector_potential_kernel
from loopwright.fields.wires.piece_fields import fields_of_ends
from loopwright.fields.wires.wire_graph import WireGraph, continuity, graph_impedance_ohm
from wire_cases import equal_area_polygon

F = 298e6
K = 2 * np.pi * F / c


def ring(radius_m=0.05, segments=24, *, wire_m=5e-4):
    numbers = np.arange(segments)
    return WireGraph(
        nodes_m=equal_area_polygon(radius_m, segments),
        branches=np.column_stack([numbers, (numbers + 1) % segments]),
        radius_m=np.full(segments, wire_m),
    )


def short_wire(length_m):
    return WireGraph(nodes_m=np.array([[0, 0, 0], [0, 0, length_m]]), branches=np.array([[0, 1]]), radius_m=np.ones(1))


def test_a_short_current_radiates_as_a_dipole_does():
    """80 pi^2 (l / wavelength)^2 ohm in round numbers; eta k^2 l^2 / (6 pi) exactly."""
    power_w = radiated_power_w(*moments_of_ends(short_wire(1e-3), np.ones(2, dtype=complex)), F)
    assert power_w == pytest.approx(mu_0 * c * K**2 * 1e-6 / (12 * np.pi), rel=1e-6)


def test_a_small_loop_radiates_as_a_magnetic_dipole_does():
    """eta k^4 area^2 / (6 pi), as the loop vanishes."""
    power_w = radiated_power_w(*moments_of_ends(ring(1e-3), np.ones(48, dtype=complex)), F)
    assert power_w == pytest.approx(mu_0 * c * K**4 * (np.pi * 1e-6) ** 2 / (12 * np.pi), rel=1e-3)


def test_far_field_and_impedance_agree_on_what_is_radiated():
    """Of any currents of a loop with the radius of a hair, at 298 MHz; the kernel's radius is not in the far field."""
    wires = ring(wire_m=5e-5)
    flow = continuity(wires).toarray()
    kernel = graph_impedance_ohm(wires, F, resistance_ohm_per_m=np.zeros(24)).real
    far = far_rows(wires, F) @ flow
    assert np.abs(far.conj().T @ far - kernel).max() <= 1e-5 * np.abs(kernel).max()


def test_rows_and_power_are_one():
    rng = np.random.default_rng(0)
    wires = ring()
    ends = rng.normal(size=48) + 1j * rng.normal(size=48)
    expected = radiated_power_w(*moments_of_ends(wires, ends), F)
    assert np.sum(np.abs(far_rows(wires, F) @ ends) ** 2) / 2 == pytest.approx(expected, rel=1e-9)


def test_a_uniform_current_has_the_fields_of_its_loop():
    points = np.random.default_rng(1).uniform(-0.2, 0.2, (50, 3))
    electric, magnetic = fields_of_ends(points, ring(), np.ones(48, dtype=complex), F)
    polygon = ring().nodes_m
    assert magnetic == pytest.approx(magnetic_field_t_per_a(points, polygon, K), rel=1e-9, abs=1e-15)
    of_potential = -2j * np.pi * F * mu_0 * vector_potential_kernel(points, polygon, K)
    assert np.abs(electric - of_potential).max() <= 1e-8 * np.abs(of_potential).max()


def test_a_short_current_has_the_field_of_a_dipole():
    """Hertz's dipole with its charges, near and far: E_z on the axis and across it."""
    length_m = 1e-3
    points = np.array([[0, 0, 0.05 + length_m / 2], [0.04, 0, length_m / 2], [0.5, 0, length_m / 2]])
    # a uniform current leaves its charge at its ends, which pieces cannot: fall to nothing on a neighbour instead
    nodes = np.array([[0, 0, -length_m], [0, 0, 0], [0, 0, length_m], [0, 0, 2 * length_m]])
    wire = WireGraph(nodes_m=nodes, branches=np.array([[0, 1], [1, 2], [2, 3]]), radius_m=np.ones(3))
    electric, magnetic = fields_of_ends(points, wire, np.array([0, 1, 1, 1, 1, 0], dtype=complex), F)
    r = np.array([0.05, 0.04, 0.5])
    moment, wave = 2 * length_m, np.exp(-1j * K * r) / (4 * np.pi)
    along = 2 * moment * wave / (1j * 2 * np.pi * F * epsilon_0) * (1 / r**3 + 1j * K / r**2)
    across = -moment * wave / (1j * 2 * np.pi * F * epsilon_0) * (1 / r**3 + 1j * K / r**2 - K**2 / r)
    assert electric[0, 2] == pytest.approx(along[0], rel=2e-3)
    assert electric[1:, 2] == pytest.approx(across[1:], rel=2e-3)
    turning = mu_0 * moment * wave * (1j * K / r + 1 / r**2)
    assert magnetic[1:, 1] == pytest.approx(turning[1:], rel=2e-3)


def test_fields_obey_faraday():
    rng = np.random.default_rng(2)
    flow = continuity(ring())
    ends = flow @ (rng.normal(size=flow.shape[1]) + 1j * rng.normal(size=flow.shape[1]))
    point, step = np.array([0.03, 0.01, 0.04]), 1e-5
    shifts = step * np.concatenate([np.eye(3), -np.eye(3)])
    electric, _ = fields_of_ends(point + shifts, ring(), ends, F)
    slope = (electric[:3] - electric[3:]) / (2 * step)  # (along, component)
    curl = np.array([slope[1, 2] - slope[2, 1], slope[2, 0] - slope[0, 2], slope[0, 1] - slope[1, 0]])
    _, magnetic = fields_of_ends(point[None], ring(), ends, F)
    assert curl == pytest.approx(-2j * np.pi * F * magnetic[0], rel=1e-4)
