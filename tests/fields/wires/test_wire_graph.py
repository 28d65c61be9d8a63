"""Wires that meet at junctions: against closed wires, mesh analysis of loops, a known dipole, and invariants."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.constants import mu_0

from loopwright.fields.wires.impedance import lossless_impedance_ohm, mass_matrix_m
from loopwright.fields.wires.kernel_numba import fill_matrices
from loopwright.fields.wires.wire_graph import WireGraph, continuity, graph_impedance_ohm, unknown_at
from wire_cases import equal_area_polygon, mesh

LIGHT = 299792458.0


def graph(nodes_m, branches, radius_m):
    branches = np.asarray(branches, dtype=np.int64)
    return WireGraph(nodes_m=np.asarray(nodes_m), branches=branches, radius_m=np.broadcast_to(radius_m, len(branches)))


def chain(*nodes):
    return [*pairwise(nodes)]


def without_loss(wires, frequency_hz):
    return graph_impedance_ohm(wires, frequency_hz, resistance_ohm_per_m=np.zeros(len(wires.branches)))


def input_impedance_ohm(wires, node, frequency_hz):
    admittance = np.linalg.inv(without_loss(wires, frequency_hz))
    port = unknown_at(wires, node)
    return 1 / admittance[port, port]


def loop_with_bridges(bridges, *, radius_m=0.05, per_side=12, wire_m=5e-4):
    """Circle of 2 per_side segments; every bridge is a list of heights at which one joins its two far sides.

    A bridge runs along x, at the height given, from the node on the one side to that on the other.
    """
    ring = radius_m * np.exp(2j * np.pi * np.arange(2 * per_side) / (2 * per_side))
    nodes = [np.column_stack([ring.real, ring.imag, 0 * ring.real])]
    branches = chain(*range(2 * per_side), 0)
    for height_m in bridges:
        inner = np.linspace(radius_m, -radius_m, 11)[1:-1]
        first = sum(map(len, nodes))
        nodes.append(np.column_stack([inner, 0 * inner, height_m * np.sin(np.pi * np.arange(1, 10) / 10)]))
        branches += chain(0, *range(first, first + 9), per_side)
    return graph(np.concatenate(nodes), branches, wire_m)


def test_a_ring_is_a_closed_wire():
    """With its loss; the unknowns of the ring are the currents of the ends of its pieces, so one further on."""
    polygon = equal_area_polygon(0.04, 24)
    wires = graph(polygon, chain(*range(24), 0), 1e-3)
    found = graph_impedance_ohm(wires, 127.7e6, resistance_ohm_per_m=np.full(24, 0.7))
    closed = mesh([polygon], 1e-3)
    expected = lossless_impedance_ohm(closed, 127.7e6)[0] + 0.7 * mass_matrix_m(closed)
    assert np.abs(found - np.roll(expected, -1, axis=(0, 1))).max() <= 1e-10 * np.abs(expected).max()


def test_the_direction_of_a_piece_does_not_matter():
    """One piece turned round, the unknowns still those of its neighbours."""
    nodes = equal_area_polygon(0.04, 8)
    forward = without_loss(graph(nodes, chain(*range(8), 0), 1e-3), 127.7e6)
    turned = without_loss(graph(nodes, [(1, 0), *chain(*range(1, 8), 0)], 1e-3), 127.7e6)
    assert np.abs(forward - turned).max() <= 1e-12 * np.abs(forward).max()


def test_a_half_wave_dipole():
    """81.6 + 45.0j ohm at 40 segments with L/2a = 1000: computed apart with the same kernel and basis."""
    frequency_hz = LIGHT  # wavelength one metre
    z = np.linspace(-0.25, 0.25, 41)
    wire = graph(np.column_stack([0 * z, 0 * z, z]), chain(*range(41)), 0.5 / 2 / 1000)
    assert input_impedance_ohm(wire, 20, frequency_hz) == pytest.approx(81.6 + 45.0j, abs=0.1)


def test_two_wires_side_by_side_are_one_of_their_geometric_mean_radius():
    """A half-wave dipole of twin wires that meet at its feed, a single wire of that radius; charge shared at junctions.

    Two wires of radius a, d apart, stand for one of sqrt(a d): textbooks on antennas, common practice.
    """
    arm, apart_m, wire_m = 20, 2e-3, 1e-4
    single_m = np.sqrt(apart_m * wire_m)
    z = np.linspace(-0.25, 0.25, 2 * arm + 1)
    one = graph(np.column_stack([0 * z, 0 * z, z]), chain(*range(2 * arm + 1)), single_m)
    step = 0.25 / arm
    nodes, branches = [[0, 0, -step], [0, 0, 0], [0, 0, step]], [(0, 1), (1, 2)]
    for first, way in ((0, -1), (2, 1)):
        for x in (-apart_m / 2, apart_m / 2):
            branches += chain(first, *range(len(nodes), len(nodes) + arm))
            nodes += [[x, 0, way * step * number] for number in range(1, arm + 1)]
    two = graph(nodes, branches, np.where(np.arange(len(branches)) < 2, single_m, wire_m))
    expected = input_impedance_ohm(one, arm, LIGHT)
    assert input_impedance_ohm(two, 1, LIGHT) == pytest.approx(expected, abs=0.3)


def test_a_free_end_carries_no_current():
    """A stub on a junction: its last node gives no unknown, and what goes into it is charge alone."""
    wire = graph([[0, 0, 0], [1, 0, 0], [2, 0, 0], [1, 1, 0]], [(0, 1), (1, 2), (1, 3)], 1e-3)
    flow = continuity(wire).toarray()
    assert flow.shape == (6, 2)
    # starts 0..2, ends 3..5; free are the start of the first, the ends of the others
    assert not flow[[0, 4, 5]].any()
    assert np.allclose(flow[3], flow[1] + flow[2])


def test_a_loop_with_a_diameter_is_two_meshes():
    """Seen in one half at low frequency: L11 - L12^2 / L22 of Neumann's integrals of the two halves."""
    wires = loop_with_bridges([0.0])
    frequency_hz = 3e5
    found_h = input_impedance_ohm(wires, 6, frequency_hz).imag / (2 * np.pi * frequency_hz)
    ring, bridge = wires.nodes_m[:24], wires.nodes_m[24:]
    halves = [np.concatenate([ring[:13], bridge[::-1]]), np.concatenate([ring[12:], ring[:1], bridge])]
    count = len(halves[0])
    vector_m, _ = fill_matrices(
        np.concatenate(halves),
        np.array([0, count, 2 * count]),
        magnetic_radius_m=np.full((2, 2), 5e-4),
        electric_radius_m=np.full((2, 2), 5e-4),
        wavenumber_per_m=0.0,
    )
    starts = [0, count]
    loops_h = mu_0 * np.add.reduceat(np.add.reduceat(vector_m.real, starts, axis=0), starts, axis=1)
    assert loops_h[0, 1] < 0  # the diameter is run through in opposite directions
    assert found_h == pytest.approx(loops_h[0, 0] - loops_h[0, 1] ** 2 / loops_h[1, 1], rel=1e-6)


def test_bridges_alike_share_the_current():
    wires = loop_with_bridges([0.008, -0.008])
    current = np.linalg.solve(
        without_loss(wires, 127.7e6), np.eye(len(continuity(wires).toarray().T))[unknown_at(wires, 6)]
    )
    ends = continuity(wires) @ current
    first, second = 24, 34
    assert abs(ends[first]) > 0.1 * abs(current).max()
    assert ends[first : first + 10] == pytest.approx(ends[second : second + 10], rel=1e-9)
    # What comes along the ring at node 0 leaves by the ring and both bridges.
    pieces = len(wires.branches)
    assert ends[pieces + 23] == pytest.approx(ends[0] + ends[first] + ends[second], rel=1e-12)


@pytest.mark.parametrize("frequency_hz", [63.9e6, 298e6])
def test_reciprocity_and_passivity(frequency_hz):
    """Of wires with junctions, wires of two radii among them; losses and radiation are never negative."""
    wires = loop_with_bridges([0.01, -0.01])
    wires = graph(wires.nodes_m, wires.branches, np.where(np.arange(len(wires.branches)) < 24, 5e-4, 1e-3))
    impedance = graph_impedance_ohm(wires, frequency_hz, resistance_ohm_per_m=np.full(len(wires.branches), 0.1))
    assert np.abs(impedance - impedance.T).max() <= 1e-12 * np.abs(impedance).max()
    assert np.linalg.eigvalsh(impedance.real)[0] > 0
    radiation = np.linalg.eigvalsh(without_loss(wires, frequency_hz).real)
    assert radiation[0] >= -1e-6 * radiation[-1]  # what the rules for near pairs leave


def test_charges_of_joined_wires_have_positive_energy_whatever_their_radii():
    """A thin and a thick wire nearer to one another than the thick one's radius; the smaller radius would fail."""
    z = np.linspace(0, 0.1, 21)
    nodes = np.concatenate([np.column_stack([x + 0 * z, 0 * z, z]) for x in (0, 1e-3)])
    branches = [*chain(*range(21)), *chain(*range(21, 42)), (0, 21), (20, 41)]
    thick = (np.arange(42) >= 20) & (np.arange(42) < 40)
    wires = graph(nodes, branches, np.where(thick, 3e-3, 1e-4))
    stiffness = -np.linalg.eigvalsh(without_loss(wires, 1e4).imag)  # so slow that charges are all that counts
    assert np.sum(stiffness > 1e-6 * stiffness.max()) == len(stiffness) - 1  # the current round the loop leaves none
    assert stiffness.min() >= -1e-9 * stiffness.max()


def test_a_junction_settles_with_the_mesh():
    """Reactance of a loop with a diameter at 127.7 MHz: each halving of the pieces changes it less."""
    found = [
        input_impedance_ohm(loop_with_bridges([0.0], per_side=count), count // 2, 127.7e6).imag for count in (6, 12, 24)
    ]
    assert abs(found[2] - found[1]) < 0.5 * abs(found[1] - found[0])
    assert abs(found[2] - found[1]) < 0.02 * found[2]


def test_a_gap_needs_a_node_of_two_pieces():
    with pytest.raises(ValueError, match="1 pieces end and 2 start"):
        unknown_at(loop_with_bridges([0.0]), 0)
