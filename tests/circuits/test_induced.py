"""EMF in a uniform rotating field: by area, segment by segment, and at the gaps of solved wires."""

import numpy as np
import pytest

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.parts import Preamplifier, Resistor
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.under_field.induced import (
    ElectricField,
    electric_field_v_per_m,
    induced_emf_v,
    node_emf_v,
    port_emf_v,
    rotating_field_t,
    segment_emf_v,
)
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.fields.rotating import Precession, transmit_component
from loopwright.fields.wires import mesh_wires, solve_network
from loopwright.fields.wires.impedance import lossless_impedance_ohm
from wire_arrays import dressed

FREQUENCY_HZ = 127.74e6
W = 2 * np.pi * FREQUENCY_HZ
BOTH = list(ElectricField)


def standing_ring(*, diameter_m=0.08, corners=48, turn=0.3, centre_m=(0.0, -0.1, 0.05)):
    """Polygon of the circle's area whose normal lies in the transverse plane, turned about z."""
    angle = 2 * np.pi * np.arange(corners) / corners
    reach_m = diameter_m / 2 * np.sqrt(2 * np.pi / (corners * np.sin(2 * np.pi / corners)))
    across = np.array([np.cos(turn), np.sin(turn), 0.0])
    return np.array(centre_m) + reach_m * (np.outer(np.cos(angle), across) + np.outer(np.sin(angle), [0, 0, 1]))


@pytest.mark.parametrize("turn", [0.0, 1.0, 2.5])
def test_an_80_mm_loop_sees_40_344_volt_at_10_microtesla(turn):
    """omega B1+ A, whichever transverse way it faces."""
    emf_v = induced_emf_v(standing_ring(turn=turn), rotating_field_t(10e-6), frequency_hz=FREQUENCY_HZ)
    assert abs(emf_v) == pytest.approx(40.344, rel=1e-4)
    assert abs(emf_v) / 5 == pytest.approx(8.07, rel=1e-3)  # resonant, 5 ohm, nothing acting


@pytest.mark.parametrize("sense", list(Precession))
def test_the_rotating_field_is_b1_plus_alone(sense):
    field_t = rotating_field_t(10e-6, sense=sense)
    assert transmit_component(field_t[0], field_t[1], sense=sense) == pytest.approx(10e-6)
    assert abs(transmit_component(field_t[0], field_t[1], sense=-sense)) == 0


@pytest.mark.parametrize("electric", BOTH)
def test_its_curl_is_faraday_s(electric):
    field_t, at_m, step_m = rotating_field_t(1e-6), np.array([0.03, -0.02, 0.1]), 1e-3

    def e(shift):
        return electric_field_v_per_m(at_m + shift, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)

    slopes = [(e(step_m * axis) - e(-step_m * axis)) / (2 * step_m) for axis in np.eye(3)]  # [along][component]
    curl = [slopes[1][2] - slopes[2][1], slopes[2][0] - slopes[0][2], slopes[0][1] - slopes[1][0]]
    np.testing.assert_allclose(curl, -1j * W * field_t, atol=1e-9 * W * 1e-6)


def test_any_closed_loop_gives_one_emf_by_either_field_and_by_its_area():
    rng = np.random.default_rng(5)
    corners_m = rng.normal(size=(7, 3)) * 0.05
    field_t = rotating_field_t(20e-6)
    area_m2 = np.cross(corners_m, np.roll(corners_m, -1, axis=0)).sum(axis=0) / 2
    by_area_v = -1j * W * np.dot(field_t, area_m2)
    assert induced_emf_v(corners_m, field_t, frequency_hz=FREQUENCY_HZ) == pytest.approx(by_area_v, rel=1e-12)
    for electric in BOTH:
        segments = segment_emf_v(corners_m, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)
        nodes = node_emf_v(corners_m, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)
        assert segments.sum() == pytest.approx(by_area_v, rel=1e-12)
        assert nodes.sum() == pytest.approx(by_area_v, rel=1e-12)


@pytest.mark.parametrize("electric", BOTH)
def test_a_node_meets_the_field_along_its_own_two_segments(electric):
    """Gauss points along both segments, weighted with the rooftop; exact for the quadratic that it is."""
    corners_m = np.random.default_rng(9).normal(size=(5, 3)) * 0.05
    field_t = rotating_field_t(20e-6)
    place, weight = np.polynomial.legendre.leggauss(3)
    share = (place + 1) / 2  # from the foot of the rooftop to its top
    expected_v = []
    for node in range(5):
        total = 0.0
        for foot in (node - 1, (node + 1) % 5):
            way_m = corners_m[node] - corners_m[foot]
            points_m = corners_m[foot] + share[:, None] * way_m
            e = electric_field_v_per_m(points_m, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)
            along = 1 if foot == node - 1 else -1  # the current leaves the node towards the next corner
            total += along * np.sum(weight / 2 * share * (e @ way_m))
        expected_v.append(total)
    found_v = node_emf_v(corners_m, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)
    np.testing.assert_allclose(found_v, expected_v, rtol=1e-12)


def test_the_axial_field_drives_only_what_runs_along_z():
    square_m = np.array([[0.1, 0, 0], [0.2, 0, 0], [0.2, 0, 0.1], [0.1, 0, 0.1]], dtype=float)
    emf_v = segment_emf_v(square_m, [0, 1e-6, 0], frequency_hz=FREQUENCY_HZ)
    np.testing.assert_allclose(np.abs(emf_v), W * 1e-6 * np.array([0, 0.2 * 0.1, 0, 0.1 * 0.1]), atol=1e-15)


@pytest.mark.parametrize("electric", BOTH)
def test_port_voltages_drive_the_currents_that_the_loaded_wires_carry(electric):
    """Thevenin at eight gaps of two loops against the loads put into the method of moments itself."""
    parts = dressed(
        [standing_ring(corners=16), standing_ring(corners=16, turn=0.9, centre_m=(0.05, -0.09, 0.05))], gaps=4
    )
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=1)
    mesh = mesh_wires(parts)
    field_t = rotating_field_t(20e-6)
    load_ohm = np.diag(np.linspace(1, 8, 8) - 40j)
    emf_v = port_emf_v(network, mesh.vertices_m, field_t, electric=electric)
    by_ports_a = np.linalg.solve(network.impedance_ohm[0] + load_ohm, emf_v)

    whole_ohm = lossless_impedance_ohm(mesh, FREQUENCY_HZ)[0] + network.loss_matrix_ohm
    whole_ohm[network.port_node, network.port_node] += np.diag(load_ohm)
    induced_v = np.concatenate(
        [
            node_emf_v(element.vertices_m, field_t, frequency_hz=FREQUENCY_HZ, electric=electric)
            for element in parts.layout.elements
        ]
    )
    by_wires_a = np.linalg.solve(whole_ohm, induced_v)[network.port_node]
    np.testing.assert_allclose(by_ports_a, by_wires_a, rtol=1e-9)


def test_circuits_are_driven_by_the_negative_of_the_emf_in_series():
    """The same resistors as loads of the ports and as circuits across the gaps: one current, sign and all."""
    parts = dressed([standing_ring(corners=16)], gaps=2)
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=1)
    emf_v = port_emf_v(network, mesh_wires(parts).vertices_m, rotating_field_t(20e-6))
    loads_ohm = (3.0, 40.0)
    circuit = ElementCircuit(
        gap_count=2,
        branches=tuple(
            Branch(name=f"R {gap}", between=(f"gap {gap}", f"return {gap}"), part=Resistor(resistance_ohm=ohm))
            for gap, ohm in enumerate(loads_ohm, start=1)
        ),
        channel=("gap 1", "return 1"),
        receiver=Preamplifier(input_ohm=50.0),
    )
    state = array_state(network.impedance_ohm[0], [circuit], [UNPLUGGED], frequency_hz=FREQUENCY_HZ)
    as_loads_a = np.linalg.solve(network.impedance_ohm[0] + np.diag(loads_ohm), emf_v)
    np.testing.assert_allclose(gap_currents_a(state, -emf_v), as_loads_a, rtol=1e-9)


def test_what_does_not_fit_is_refused():
    parts = dressed([standing_ring(corners=12)], gaps=2)
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=1)
    with pytest.raises(ValueError, match="11 vertices were given for 12 nodes"):
        port_emf_v(network, standing_ring(corners=11), rotating_field_t(1e-6))
    with pytest.raises(ValueError, match="no Bz"):
        electric_field_v_per_m([0, 0, 0], [0, 0, 1e-6], frequency_hz=FREQUENCY_HZ, electric=ElectricField.AXIAL)
