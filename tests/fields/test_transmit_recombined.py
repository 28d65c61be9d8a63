"""An array on a body in the transmit field: how states are recombined, and where their power comes from."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from body_cases import solved, voxel_sphere
from exact.layers import LayeredSphere
from loopwright.fields import reply_to_sources
from loopwright.fields.body.excitation import impressed_field_of_wires_v_per_m, magnetic_field_of_wires_t
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import noise_resistance_ohm, reply_magnetic_field_t
from loopwright.fields.body.sources import Excitation, WireSources, array_sources
from loopwright.fields.body.wire_kernels import magnetic_rows_t, potential_rows_v, vector_rows_v_per_m
from loopwright.fields.rotating import Precession, transmit_component
from loopwright.fields.transmit import (
    absorbed_power_w,
    amplitudes,
    b1_plus_by_case_t,
    electric_field_by_case_v_per_m,
    node_currents_a_per_t,
    open_array,
)
from loopwright.fields.wires import mesh_wires
from loopwright.ground.progress import Forgetful, Silent
from transmit_arrays import F_HZ, PAIR, facing_x, node_impedance_ohm, pair, wired
from transmit_cases import reply, taken_w


@cache
def ball(frequency_hz=F_HZ, voxel_m=0.01):
    return voxel_sphere(LayeredSphere.uniform(0.05, 60.0, 0.6), voxel_m=voxel_m, frequency_hz=frequency_hz)


@cache
def on_ball(frequency_hz=F_HZ):
    _, network, source, array = pair(frequency_hz)
    return network, source, array, reply(ball(frequency_hz), source, array)


def port_currents(found, network, load_ohm):
    """Back-action of the body included: its impedance between the ports and what it scatters into them."""
    total = network.at(network.frequency_hz) + found.added_impedance_ohm + load_ohm
    return -np.linalg.solve(total, found.open_v_per_t)


def test_reaction_is_the_same_both_ways():
    """What the transmit row does to the array's rows through the body, and they to it."""
    *_, found = on_ball()
    reaction = found.body.reaction_ohm
    assert found.body.asymmetry < 1e-3
    assert reaction[:-1, -1] == pytest.approx(reaction[-1, :-1], rel=1e-3)
    assert np.abs(found.scattered_v_per_t).max() > 0.005 * np.abs(found.open_v_per_t).max()


@pytest.mark.parametrize("load", [1e6, 2 - 60j])
def test_a_state_is_the_same_as_an_independent_solution(load):
    """Currents of a state on the wires and the resonator's field, impressed together on the body."""
    network, source, array, found = on_ball()
    ports = port_currents(found, network, np.diag([load, load, 1e6, 1e6]))
    x = amplitudes(found, ports[None])
    mesh = mesh_wires(pair()[0])
    nodes = node_currents_a_per_t(array, ports)[:, None]
    faces, body = faces_of(ball()), ball()
    alone = source.electric_v_per_m_per_t(faces.centres_m())[np.arange(len(faces.index)), faces.families()]
    problem, direct = solved(body, alone + impressed_field_of_wires_v_per_m(faces, mesh, nodes), relative_residual=1e-4)
    power = noise_resistance_ohm(problem, direct.solutions.astype(complex))[0, 0].real / 2
    assert absorbed_power_w(found, x)[0] == pytest.approx(power, rel=1e-5)
    points = body.grid.centre_points_m()[found.body.voxels]
    b = magnetic_field_of_wires_t(points, mesh, nodes, F_HZ)[0] + source.magnetic_t_per_t(points).T
    b = b + reply_magnetic_field_t(problem, direct.solutions)[0][:, found.body.voxels]
    (b1,) = b1_plus_by_case_t(found, x)
    assert np.linalg.norm(b1 - transmit_component(b[0], b[1], sense=1)) < 1e-5 * np.linalg.norm(b1)


def test_impedance_of_the_ports_is_that_of_reception():
    """The array's rows do not know of the transmit row."""
    parts, network, *_ = pair()
    found = on_ball()[-1]
    sources = array_sources(Excitation.FULL_CURRENT, parts, network)
    alone = reply_to_sources(ball(), sources, relative_residual=1e-4, progress=Silent(), store=Forgetful())
    ports = sources.source_per_port_current
    assert found.added_impedance_ohm == pytest.approx(ports.T @ alone.impedance_ohm @ ports, rel=1e-6)
    assert found.body.absorption_ohm[:-1, :-1] == pytest.approx(alone.noise_resistance_ohm.conj(), rel=1e-6)


def test_resonant_loops_change_power_and_b1_plus_of_the_body():
    """Otherwise the tests of superposition would pass on a transmit row alone."""
    network, _, _, found = on_ball()
    reactance = 1j * network.loop_impedance_ohm[0, 0].imag / 2
    ports = np.stack([port_currents(found, network, np.diag([z] * 4)) for z in (1e6, 5 - reactance)])
    x = amplitudes(found, ports)
    power = absorbed_power_w(found, x)
    assert abs(power[1] / power[0] - 1) > 0.1
    blocked, resonant = b1_plus_by_case_t(found, x)
    assert np.abs(resonant - blocked).max() > 0.3


@pytest.mark.parametrize(("voxel_m", "error"), [(0.01, 0.05), (0.005, 0.02)])
def test_power_in_the_voxels_comes_to_that_of_the_matrix(voxel_m, error):
    """What is left is the straight fit in cut voxels; it falls with their size."""
    network, source, array, _ = on_ball()
    body = ball(voxel_m=voxel_m)
    found = reply(body, source, array)
    x = amplitudes(found, port_currents(found, network, np.diag([2 - 60j] * 4))[None])
    (field,) = electric_field_by_case_v_per_m(found, body, x)
    sigma = body.conductivity_s_per_m()[found.body.voxels]
    power = 0.5 * np.sum(sigma * np.sum(np.abs(field) ** 2, axis=0)) * voxel_m**3
    assert power == pytest.approx(absorbed_power_w(found, x)[0], rel=error)


def test_power_balance_of_array_and_body():
    """At 20 MHz, where next to nothing radiates: the source feeds wires and body, which heat, and so do the loads."""
    network, source, array, found = on_ball(20e6)
    load_ohm = np.diag([2.5, 20.0, 1.0, 15.0]) - 0.5j * network.loop_impedance_ohm[0, 0].imag * np.eye(4)
    ports = port_currents(found, network, load_ohm)
    nodes = node_currents_a_per_t(array, ports)
    x = amplitudes(found, ports[None])
    wires_w = 0.5 * np.vdot(nodes, network.loss_matrix_ohm @ nodes).real
    loads_w = 0.5 * np.vdot(ports, load_ohm @ ports).real
    body_w = absorbed_power_w(found, x)[0]
    whole = replace(found.body, current_v_per_m=x @ found.body.current_v_per_m)
    into_body_w = taken_w(replace(found, body=whole), source)
    into_wires_w = 0.5 * np.vdot(array.node_emf_v_per_t, nodes).real
    heat_w = wires_w + loads_w + body_w
    assert min(wires_w, abs(body_w - into_body_w)) > 1e-3 * heat_w
    assert heat_w == pytest.approx(into_wires_w + into_body_w, rel=1e-4)


@cache
def as_one():
    """Impedance between all nodes with the body in it, and their EMF in the field that the body scatters."""
    parts, _, source, array = pair()
    nodes = len(array.node_emf_v_per_t)
    each = WireSources(mesh=mesh_wires(parts), node_current=np.eye(nodes), source_per_port_current=np.eye(nodes))
    bare = replace(array, sources=each, open_current_a_per_t=np.zeros(nodes))
    reaction = reply(ball(), source, bare).body.reaction_ohm
    return node_impedance_ohm(parts) + reaction[:-1, :-1], array.node_emf_v_per_t - reaction[:-1, -1]


@pytest.mark.parametrize(
    ("load", "in_ports", "along_wires"),
    [(1e6, 1e-3, 0.1), (1e3, 2e-4, 0.02), (5 - 60j, 2e-5, 3e-4)],
    ids=["blocked", "a kilohm", "near resonance"],
)
def test_currents_agree_with_wires_and_body_solved_as_one(load, in_ports, along_wires):
    network, _, array, found = on_ball()
    impedance, emf = as_one()
    gaps = np.zeros((len(emf), 4))
    gaps[network.port_node, np.arange(4)] = 1
    whole = np.linalg.solve(impedance + load * gaps @ gaps.T, emf)
    ports = port_currents(found, network, load * np.eye(4))
    through = whole[network.port_node]
    assert np.abs(ports - through).max() < in_ports * np.abs(through).max()
    assert np.abs(node_currents_a_per_t(array, ports) - whole).max() < along_wires * np.abs(whole).max()
    without = -np.linalg.solve(network.at(F_HZ) + load * np.eye(4), array.open_v_per_t)
    assert np.abs(without - through).max() > 0.01 * np.abs(through).max()


@dataclass(frozen=True)
class Loop:
    """A loop of wire with 1 A in its gap in the place of a resonator."""

    mesh: object
    node_current: np.ndarray
    frequency_hz: float = F_HZ
    sense: Precession = Precession.CLOCKWISE
    name: str = "loop"
    limits: tuple[str, ...] = ()

    def electric_v_per_m_per_t(self, points_m, step_m=5e-4):
        r = np.asarray(points_m).reshape(-1, 3)
        rows = [vector_rows_v_per_m(r, self.mesh, F_HZ, axis) @ self.node_current for axis in range(3)]

        def potential(way):
            return potential_rows_v(r + step_m * way, self.mesh, F_HZ) @ self.node_current

        slope = [(potential(way) - potential(-way)) / (2 * step_m) for way in np.eye(3)]
        return (np.stack(rows, -1) - np.stack(slope, -1)).reshape(np.shape(points_m))

    def magnetic_t_per_t(self, points_m):
        r = np.asarray(points_m).reshape(-1, 3)
        field = magnetic_rows_t(r, self.mesh, F_HZ) @ self.node_current
        return field.T.reshape(np.shape(points_m))


def test_another_loop_as_the_source_gives_the_mutual_impedance():
    """Voltage across the open gap of one loop for 1 A in the other, body between them: both signs and phases."""
    far = facing_x(0.03, 24, (-0.07, 0.01, 0.0))
    near = PAIR[0]
    both, two = wired([near, far], 1)
    parts, network = wired([near], 1)
    other, alone = wired([far], 1)
    source = Loop(mesh_wires(other), alone.node_current[:, 0])
    found = reply(ball(), source, open_array(parts, network, source))
    sources = array_sources(Excitation.FULL_CURRENT, both, two)
    body = reply_to_sources(ball(), sources, relative_residual=1e-4, progress=Silent(), store=Forgetful())
    per_port = sources.source_per_port_current
    scattered = (per_port.T @ body.impedance_ohm @ per_port)[0, 1]
    direct = two.at(F_HZ)[0, 1]
    assert abs(scattered) > 0.1 * abs(direct)
    assert found.array.open_v_per_t[0] == pytest.approx(direct, rel=0.01)
    assert found.scattered_v_per_t[0] == pytest.approx(scattered, rel=0.01)


def test_without_body_the_open_voltages_are_those_of_the_field_alone():
    *_, source, array = pair()
    found = reply(None, source, array)
    assert np.array_equal(found.open_v_per_t, array.open_v_per_t)
    assert not found.added_impedance_ohm.any()


class Kept:
    """A store in memory that counts what it gave back."""

    def __init__(self):
        self.pieces, self.found = {}, 0

    def load(self, key):
        self.found += key in self.pieces
        return self.pieces.get(key)

    def save(self, key, arrays):
        self.pieces[key] = dict(arrays)


def test_the_arrays_rows_are_taken_over_from_reception():
    """Four sources make one piece; only the transmit row is left to solve."""
    parts, network, source, array = pair()
    store = Kept()
    sources = array_sources(Excitation.FULL_CURRENT, parts, network)
    reply_to_sources(ball(), sources, relative_residual=1e-4, progress=Silent(), store=store)
    reply(ball(), source, array, store=store)
    assert (len(store.pieces), store.found) == (2, 1)
