r"""From vector-part and potential matrices to the N-port of the gaps.

.. math:: Z = j\omega\mu_0 A + \frac{1}{j\omega\varepsilon_0} D\,\Phi D^T + R'W,\qquad
          Y_p = E^T Z^{-1} E,\quad Z_p = Y_p^{-1}

D takes node currents to the charges they leave on segments, W is the rooftops' mass matrix, E picks the gaps.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve

from loopwright.fields.wires.kernel_numba import fill_matrices, fill_pairs, following_vertices
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = [
    "GapPorts",
    "WireMesh",
    "gap_ports",
    "impedance_rows_ohm",
    "lossless_impedance_ohm",
    "mass_matrix_m",
    "mean_loop_currents",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireMesh:
    """Closed wires cut into straight segments, one list of nodes for all, and the kernel radius of every pair."""

    vertices_m: Floats
    first_node: Integers
    magnetic_radius_m: Floats
    electric_radius_m: Floats

    @property
    def steps_m(self) -> Floats:
        """Way from every node to the next of its conductor, shape (nodes, 3). [m]"""
        return following_vertices(self.vertices_m, self.first_node) - self.vertices_m

    @property
    def next_node(self) -> Integers:
        """Number of the node at the other end of every segment, shape (nodes,)."""
        following = np.arange(1, len(self.vertices_m) + 1, dtype=np.int64)
        following[self.first_node[1:] - 1] = self.first_node[:-1]
        return following

    @property
    def node_conductor(self) -> Integers:
        """Number of the conductor that every node belongs to, shape (nodes,)."""
        return np.repeat(np.arange(len(self.first_node) - 1), np.diff(self.first_node))


@dataclass(frozen=True, slots=True, kw_only=True)
class GapPorts:
    """The gaps as ports: their impedance, and the current everywhere for unit current in one, the others open."""

    impedance_ohm: Complexes
    node_current: Complexes


def lossless_impedance_ohm(mesh: WireMesh, frequency_hz: float) -> tuple[Complexes, Complexes]:
    """Impedance of the rooftop currents on perfect wires, and its magnetic part alone.

    Parameters
    ----------
    mesh : WireMesh
        The wires.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    impedance_ohm, magnetic_ohm : ndarray, shape (nodes, nodes)
        Symmetric; the real part of the first is radiation. [ohm]
    """
    omega = 2 * pi * frequency_hz
    vector_m, potential_per_m = fill_matrices(
        mesh.vertices_m,
        mesh.first_node,
        magnetic_radius_m=mesh.magnetic_radius_m,
        electric_radius_m=mesh.electric_radius_m,
        wavenumber_per_m=omega / SPEED_OF_LIGHT_M_PER_S,
    )
    magnetic = 1j * omega * MU_0_H_PER_M * vector_m
    return magnetic + _charged(potential_per_m, mesh.next_node) / (1j * omega * EPSILON_0_F_PER_M), magnetic


def _charged(potential_per_m: Complexes, next_node: Integers) -> Complexes:
    """D Phi D^T: a node's current leaves the segment before it charged and discharges the one after."""
    onto = _segment_before(next_node)
    rows = potential_per_m - potential_per_m[onto]
    return np.asarray(rows - rows[:, onto])


def _segment_before(next_node: Integers) -> Integers:
    """Segment that ends at each node."""
    onto = np.empty_like(next_node)
    onto[next_node] = np.arange(len(next_node))
    return onto


def impedance_rows_ohm(
    mesh: WireMesh, vertices_m: Floats, conductors: Integers, *, resistance_ohm_per_m: Floats, frequency_hz: float
) -> Complexes:
    """Rows of the impedance matrix that belong to some conductors, with the corners of the wires elsewhere.

    Parameters
    ----------
    mesh : WireMesh
        The wires, whose radii and near pairs are kept.
    vertices_m : ndarray, shape (nodes, 3)
        Where the corners are now. [m]
    conductors : ndarray of int, shape (some,)
        Conductors whose rows are wanted, rising.
    resistance_ohm_per_m : ndarray, shape (conductors,)
        Loss of every conductor. [ohm/m]
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (nodes of those conductors, nodes)
        Rows in the order of the nodes. [ohm]
    """
    omega = 2 * pi * frequency_hz
    moved = replace(mesh, vertices_m=vertices_m)
    rows = np.flatnonzero(np.isin(mesh.node_conductor, conductors))
    vector_m, potential_per_m = fill_pairs(
        vertices_m,
        mesh.first_node,
        _pairs_with(conductors, len(mesh.first_node) - 1),
        magnetic_radius_m=mesh.magnetic_radius_m,
        electric_radius_m=mesh.electric_radius_m,
        wavenumber_per_m=omega / SPEED_OF_LIGHT_M_PER_S,
        near_vertices_m=mesh.vertices_m,
    )
    onto = _segment_before(mesh.next_node)
    charged = potential_per_m[rows] - potential_per_m[onto[rows]]
    charged = charged - charged[:, onto]
    loss = resistance_ohm_per_m[mesh.node_conductor[rows], None] * mass_matrix_m(moved)[rows]
    found = 1j * omega * MU_0_H_PER_M * vector_m[rows] + charged / (1j * omega * EPSILON_0_F_PER_M) + loss
    return np.asarray(found)


def _pairs_with(some: Integers, count: int) -> Integers:
    """Every pair of count conductors of which one at least is among some."""
    first, second = np.triu_indices(count)
    wanted = np.isin(first, some) | np.isin(second, some)
    return np.stack([first[wanted], second[wanted]], axis=1)


def mass_matrix_m(mesh: WireMesh) -> Floats:
    """Overlap integrals of the rooftops along the wires: a third and a sixth of each segment.

    Parameters
    ----------
    mesh : WireMesh
        The wires.

    Returns
    -------
    ndarray, shape (nodes, nodes)
        Times the resistance per metre it is the loss matrix. [m]
    """
    h, after = np.linalg.norm(mesh.steps_m, axis=1), mesh.next_node
    here = np.arange(len(h))
    mass = np.zeros((len(h), len(h)))
    np.add.at(mass, (here, here), h / 3)
    np.add.at(mass, (after, after), h / 3)
    np.add.at(mass, (here, after), h / 6)
    np.add.at(mass, (after, here), h / 6)
    return mass


def gap_ports(impedance_ohm: Complexes, port_nodes: Iterable[int | Integers]) -> GapPorts:
    """Reduce an impedance matrix of node currents to delta-gap ports at some nodes.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (nodes, nodes)
        Impedance of the rooftop currents, losses included. [ohm]
    port_nodes : iterable of int or of ndarray of int
        Node at which each gap sits, or the nodes of the parallel wires that it cuts: they share its voltage, and their
        currents add up to the port's.

    Returns
    -------
    GapPorts
        Port impedance and the node currents per unit port current.
    """
    nodes = [np.atleast_1d(cut) for cut in port_nodes]
    excitation = np.zeros((len(impedance_ohm), len(nodes)))
    for port, cut in enumerate(nodes):
        excitation[cut, port] = 1
    response = lu_solve(lu_factor(impedance_ohm), excitation)
    port_impedance = np.linalg.inv(excitation.T @ response)
    return GapPorts(impedance_ohm=port_impedance, node_current=response @ port_impedance)


def mean_loop_currents(mesh: WireMesh, node_current: Complexes) -> Complexes:
    """Mean of each conductor's current along its length, for every port.

    Parameters
    ----------
    mesh : WireMesh
        The wires.
    node_current : ndarray, shape (nodes, ports)
        Current at every node per unit port current.

    Returns
    -------
    ndarray, shape (conductors, ports)
        Length-weighted means: the mean over the nodes where segments are equally long.
    """
    h = np.linalg.norm(mesh.steps_m, axis=1)
    share = h.copy()
    share[mesh.next_node] += h
    starts = mesh.first_node[:-1]
    weighted = np.add.reduceat(share[:, None] * node_current, starts, axis=0)
    return np.asarray(weighted / np.add.reduceat(share, starts)[:, None])
