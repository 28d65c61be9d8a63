"""An array in the transmit field, alone and on a body: what its wires meet, and how states are recombined."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from scipy.constants import mu_0

from body_cases import solved, voxel_sphere
from exact.layers import LayeredSphere
from loopwright.conductors import RoundWire
from loopwright.fields import reply_to_sources
from loopwright.fields.body.excitation import impressed_field_of_wires_v_per_m, magnetic_field_of_wires_t
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import noise_resistance_ohm, reply_magnetic_field_t
from loopwright.fields.body.sources import Excitation, WireSources, array_sources
from loopwright.fields.body.wire_kernels import magnetic_rows_t, potential_rows_v, vector_rows_v_per_m
from loopwright.fields.rotating import Precession, transmit_component
from loopwright.fields.transmit import (
    BodyResonator,
    ElectricField,
    UniformField,
    absorbed_power_w,
    amplitudes,
    b1_plus_by_case_t,
    electric_field_by_case_v_per_m,
    node_currents_a_per_t,
    open_array,
)
from loopwright.fields.wires import array_wires, mesh_wires, solve_network, split_segments
from loopwright.fields.wires.spare_currents import settled
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Forgetful, Silent
from transmit_cases import reply, taken_w
from wire_arrays import dressed
from wire_cases import equal_area_polygon

F_HZ = 127.74e6
W = 2 * np.pi * F_HZ
WIRE = RoundWire(diameter_m=1e-3, conductivity_s_per_m=5.8e7)
LONG = BodyResonator(radius_m=0.35, length_m=1.2, centre_m=(0.0, 0.0, 0.0), frequency_hz=F_HZ)


def facing_x(radius_m, segments, centre_m=(0.0, 0.0, 0.0)):
    """Loop of equal area with its normal along x."""
    return equal_area_polygon(radius_m, segments)[:, [2, 0, 1]] + np.array(centre_m)


def wired(polygons, gaps, frequency_hz=F_HZ):
    parts = dressed(polygons, gaps=gaps, section=WIRE)
    return parts, solve_network(parts, frequency_hz, band_fraction=0.04, frequency_count=3)


# --- one loop alone


@cache
def d80():
    """Loop of 80 mm on the axis, with so many gaps that its current is the same all round."""
    parts, network = wired([facing_x(0.04, 48)], 24)
    return network, open_array(parts, network, LONG)


def loop_current_a_per_t(total_ohm):
    """Currents of all nodes with the gaps closed so that the whole loop is resonant and has so many ohm."""
    network, array = d80()
    load_ohm = (total_ohm - network.loop_impedance_ohm[0, 0]) / 24 * np.eye(24)
    ports = -np.linalg.solve(network.at(F_HZ) + load_ohm, array.open_v_per_t)
    return node_currents_a_per_t(array, ports)


def test_emf_of_a_loop_of_80_mm_at_10_ut():
    """Peak omega B1+ A; as far as its corners reach the field falls by less than a part in ten thousand."""
    assert abs(d80()[1].node_emf_v_per_t.sum()) * 10e-6 == pytest.approx(40.344, rel=1e-3)


@pytest.mark.parametrize(("total_ohm", "current_a", "power_w"), [(5, 8.07, 162.8), (1000, 40.344e-3, 0.81381)])
def test_current_of_that_loop_resonant_and_blocked(total_ohm, current_a, power_w):
    current = np.abs(loop_current_a_per_t(total_ohm)).mean() * 10e-6
    assert current == pytest.approx(current_a, rel=1e-3)
    assert 0.5 * total_ohm * current**2 == pytest.approx(power_w, rel=1e-3)


@pytest.mark.parametrize("load_ohm", [5.0, 200.0, 5 - 31j])
def test_one_small_loop_falls_back_to_the_lumped_formula(load_ohm):
    """Omega B A / (R + jX), X of a ring of 20 mm from L = mu0 a (ln(8a/b) - 2).

    Behind a kilohm its own capacitance already counts for one per cent, which the formula lacks.
    """
    radius_m = 0.01
    parts, network = wired([facing_x(radius_m, 48)], 1)
    array = open_array(parts, network, LONG)
    found = node_currents_a_per_t(array, -array.open_v_per_t / (network.at(F_HZ)[0, 0] + load_ohm))
    inductance_h = mu_0 * radius_m * (np.log(8 * radius_m / (WIRE.diameter_m / 2)) - 2)
    expected = W * np.pi * radius_m**2 / abs(load_ohm + network.at(F_HZ)[0, 0].real + 1j * W * inductance_h)
    assert np.abs(found).mean() == pytest.approx(expected, rel=0.01)


def test_the_profile_of_a_short_resonator_is_in_the_emf():
    short = replace(LONG, length_m=0.3)
    polygon = facing_x(0.04, 48, centre_m=(0.0, 0.0, 0.15))
    parts, network = wired([polygon], 4)
    emf = open_array(parts, network, short).node_emf_v_per_t.sum()
    # flux of a(z) through the disc: chords of width 2 sqrt(a^2 - z^2)
    nodes, weights = np.polynomial.chebyshev.chebgauss(60)
    chord = 0.04 * np.sqrt(1 - nodes**2)
    flux = np.sum(weights * np.sqrt(1 - nodes**2) * 0.04 * 2 * chord * short.profile(0.15 + 0.04 * nodes))
    assert flux / (np.pi * 0.04**2) < 0.75
    assert abs(emf) == pytest.approx(W * flux, rel=1e-3)


# --- two coupled loops, open gaps


PAIR = [facing_x(0.03, 24, (0.065, 0.0, 0.02)), facing_x(0.03, 24, (0.068, 0.04, 0.025))]


@cache
def pair(frequency_hz=F_HZ, gauge=ElectricField.AXIAL):
    parts, network = wired(PAIR, 2, frequency_hz)
    source = UniformField(frequency_hz=frequency_hz, gauge=gauge)
    return parts, network, source, open_array(parts, network, source)


def node_impedance_ohm(parts, frequency_hz=F_HZ):
    return settled(parts, array_wires(parts, split=split_segments(parts)), frequency_hz).impedance_ohm


@pytest.mark.parametrize("gauge", ElectricField)
def test_ports_and_open_part_together_are_the_whole_wires(gauge):
    """All nodes at once with loads in the gaps; the open part alone is what no load current passes."""
    parts, network, _, array = pair(gauge=gauge)
    load_ohm = np.diag([3.0, 40 - 50j, 1e4, -200j])
    gaps = np.zeros((len(array.node_emf_v_per_t), 4))
    gaps[network.port_node, np.arange(4)] = 1
    whole = np.linalg.solve(node_impedance_ohm(parts) + gaps @ load_ohm @ gaps.T, array.node_emf_v_per_t)
    ports = -np.linalg.solve(network.at(F_HZ) + load_ohm, array.open_v_per_t)
    assert ports == pytest.approx(whole[network.port_node], rel=1e-6)
    assert np.abs(node_currents_a_per_t(array, ports) - whole).max() < 1e-6 * np.abs(whole).max()
    assert np.abs(array.open_current_a_per_t).max() > 0.01 * np.abs(whole).max()
    assert np.abs(array.open_current_a_per_t[network.port_node]).max() < 1e-9 * np.abs(whole).max()


def test_wires_and_field_at_two_frequencies_are_refused():
    parts, network, *_ = pair()
    with pytest.raises(OutsideModelError, match=r"6\.4e\+07 Hz"):
        open_array(parts, network, UniformField(frequency_hz=64e6))


# --- with a body


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
