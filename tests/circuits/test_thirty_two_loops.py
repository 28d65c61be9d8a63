"""Thirty-two loops round a cylinder in a transmit field: states on the port network against loads in the wires.

The layout is our own: loops of 80 mm, eight round a cylinder of 100 mm radius in four rows 90 mm apart, without
crossings. Which electric field goes with the magnetic one moves tuned currents little and detuned ones by a tenth or
two, for theirs are displacement currents between the gaps; the one along z is the one to state.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from circuits.one_loop import GIVEN, PRINTED, F, circuit
from circuits.test_real_wires import ring
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED, Plug, in_state
from loopwright.circuits.under_field.induced import ElectricField, node_emf_v, rotating_field_t
from loopwright.conductors import FlatStrip
from loopwright.fields.wires import mesh_wires
from loopwright.fields.wires.impedance import gap_ports, lossless_impedance_ohm, mass_matrix_m
from wire_arrays import dressed

SAMPLE_OHM, RECEIVER_OHM, ROWS, ROUND = 8.0, 2.0, 4, 8
COUNT = ROWS * ROUND
CONDUCTOR_OHM_PER_M = 0.609
UNPLUGGED_PIN_ON = replace(ACTIVELY_DETUNED, plug=Plug.OUT)


@dataclass(frozen=True)
class Cylinder:
    node_ohm: np.ndarray
    port_node: np.ndarray
    vertices_m: tuple

    def node_emf_v(self, electric):
        field = rotating_field_t(GIVEN["field"]["b1_t"])
        return np.concatenate([node_emf_v(loop, field, frequency_hz=F, electric=electric) for loop in self.vertices_m])


@cache
def cylinder(rows=ROWS, around=ROUND, *, radius_m=0.1, pitch_m=0.09):
    given = GIVEN["geometry"]
    flat = ring(given["loop_diameter_m"] / 2, 0.0, corners=24)
    loops = []
    for row in range(rows):
        for column in range(around):
            angle = 2 * np.pi * column / around + flat[:, 0] / radius_m
            height_m = flat[:, 1] + (row - (rows - 1) / 2) * pitch_m
            loops.append(np.stack([radius_m * np.cos(angle), radius_m * np.sin(angle), height_m], axis=-1))
    strip = FlatStrip(
        width_m=given["strip_width_m"],
        thickness_m=given["strip_thickness_m"],
        conductivity_s_per_m=given["conductivity_s_per_m"],
    )
    parts = dressed(loops, section=strip, gaps=given["gaps"])
    mesh = mesh_wires(parts)
    ohm, _ = lossless_impedance_ohm(mesh, F)
    mean = np.kron(np.eye(len(loops)), np.full((1, 24), 1 / 24))  # the sample sees the mean current of each loop
    ohm = ohm + (1 + 1j) * CONDUCTOR_OHM_PER_M * mass_matrix_m(mesh) + SAMPLE_OHM * mean.T @ mean
    node = [24 * number + gap for number, element in enumerate(parts.layout.elements) for gap in element.gap_nodes]
    return Cylinder(ohm, np.array(node), tuple(loops))


def by_ports(array, states, electric=ElectricField.AXIAL):
    ports = gap_ports(array.node_ohm, array.port_node)
    siemens = np.array([0 if s.plug is Plug.OUT else 1 / RECEIVER_OHM for s in states], dtype=complex)
    found = array_state(
        ports.impedance_ohm, [circuit()] * len(states), states, frequency_hz=F, receiver_siemens=siemens
    )
    open_v = -ports.node_current.T @ array.node_emf_v(electric)
    return gap_currents_a(found, open_v).reshape(len(states), -1)


def by_wires(array, states, electric=ElectricField.AXIAL):
    """Neither ports nor network: every circuit is an impedance in series with the nodes of its gaps."""
    ohm = array.node_ohm.copy()
    for element, state in enumerate(states):
        own = array.port_node[4 * element : 4 * element + 4]
        load = 0 if state.plug is Plug.OUT else 1 / RECEIVER_OHM
        ohm[np.ix_(own, own)] += np.linalg.inv(reduced(in_state(circuit(), state), F, load).gap_siemens)
    current = np.linalg.solve(ohm, array.node_emf_v(electric))
    return current[array.port_node].reshape(len(states), -1)


def means_a(array, states, electric=ElectricField.AXIAL):
    return np.abs(by_ports(array, states, electric)).mean(axis=1)


def test_ports_agree_with_loads_in_the_wires():
    states = [ACTIVELY_DETUNED] * COUNT
    states[3], states[17], states[29] = UNPLUGGED, RECEIVING, UNPLUGGED_PIN_ON
    reference = by_wires(cylinder(), states)
    assert np.abs(reference).max() > 5  # ampere: the one that nothing detunes
    assert np.abs(by_ports(cylinder(), states) - reference).max() < 1e-10 * np.abs(reference).max()


def test_one_loop_of_it_alone_is_the_loop_of_the_table():
    """Bent and of 24 segments, so less voltage drives it; tuned, so no gauge matters."""
    alone = cylinder(1, 1)
    emf = np.mean(PRINTED["emf_bent_on_100_mm_v"]) / PRINTED["emf_v"]
    row = next(row for row in PRINTED["states"] if row["state"] == "open")
    for electric in ElectricField:
        assert means_a(alone, [UNPLUGGED], electric)[0] == pytest.approx(emf * row["current_a"], rel=0.05)


@pytest.mark.parametrize("state", [UNPLUGGED, RECEIVING])
def test_the_gauge_moves_tuned_currents_by_a_few_per_cent(state):
    along_z, symmetric = (means_a(cylinder(), [state] * COUNT, electric).max() for electric in ElectricField)
    assert along_z == pytest.approx(symmetric, rel=0.05)


def test_the_gauge_moves_detuned_currents_by_more():
    along_z, symmetric = (
        np.abs(by_ports(cylinder(), [ACTIVELY_DETUNED] * COUNT, electric)).max() for electric in ElectricField
    )
    assert 0.05 < 1 - along_z / symmetric < 0.2


def test_one_loop_that_nothing_detunes_among_others_that_are():
    states = [ACTIVELY_DETUNED] * COUNT
    states[12] = UNPLUGGED
    found = means_a(cylinder(), states)
    others = np.delete(found, 12)
    assert found[12] > 30 * others.max()
    assert others.max() > means_a(cylinder(), [ACTIVELY_DETUNED] * COUNT).max()
