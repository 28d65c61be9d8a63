r"""From vector-part and potential matrices to the N-port of the gaps.

.. math:: Z = j\omega\mu_0 A + \frac{1}{j\omega\varepsilon_0} D\,\Phi D^T + R'W,\qquad
          Y_p = E^T Z^{-1} E,\quad Z_p = Y_p^{-1}

D takes node currents to the charges they leave on segments, W is the rooftops' mass matrix, E picks the gaps.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve

from loopwright.fields.wires.kernel_numba import fill_pieces
from loopwright.fields.wires.pieces import Pieces, closed_wires, following_nodes, following_vertices
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = [
    "GapPorts",
    "WireMesh",
    "all_pairs",
    "gap_ports",
    "loss_ohm",
    "lossless_impedance_ohm",
    "mass_matrix_m",
    "mean_loop_currents",
    "parts_ohm",
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
        return following_nodes(self.first_node)

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
    wires = closed_wires(
        mesh.vertices_m,
        mesh.first_node,
        magnetic_radius_m=mesh.magnetic_radius_m,
        electric_radius_m=mesh.electric_radius_m,
    )
    magnetic, electric = parts_ohm(wires, all_pairs(len(mesh.first_node) - 1), frequency_hz, near=wires)
    return magnetic + electric, magnetic


def all_pairs(count: int) -> Integers:
    """Every pair of so many, and each with itself, once; shape (pairs, 2)."""
    return np.stack(np.triu_indices(count), axis=1)


def parts_ohm(pieces: Pieces, pairs: Integers, frequency_hz: float, *, near: Pieces) -> tuple[Complexes, Complexes]:
    """Magnetic and electric part of the impedance of the currents on perfect pieces, for some pairs of elements.

    Parameters
    ----------
    pieces : Pieces
        The pieces.
    pairs : ndarray of int, shape (pairs, 2)
        Elements whose blocks are wanted.
    frequency_hz : float
        Frequency. [Hz]
    near : Pieces
        Where pieces stand when near is told from far.

    Returns
    -------
    magnetic_ohm : ndarray, shape (unknowns, unknowns)
        Nodes first, then currents that pieces carry on their own. [ohm]
    electric_ohm : ndarray, shape (nodes, nodes)
        Currents of their own leave no charge. [ohm]
    """
    omega = 2 * pi * frequency_hz
    vector_m, potential_per_m = fill_pieces(pieces, pairs, wavenumber_per_m=omega / SPEED_OF_LIGHT_M_PER_S, near=near)
    electric = _charged(potential_per_m, pieces) / (1j * omega * EPSILON_0_F_PER_M)
    return 1j * omega * MU_0_H_PER_M * vector_m, electric


def _charged(potential_per_m: Complexes, pieces: Pieces) -> Complexes:
    """D Phi D^T: a node's current leaves the segment before it charged and discharges the one after."""
    onto = np.empty(pieces.nodes, dtype=np.int64)
    onto[pieces.end_node] = pieces.start_node  # the segment that ends at each node
    rows = potential_per_m - potential_per_m[onto]
    return np.asarray(rows - rows[:, onto])


def loss_ohm(pieces: Pieces, resistance_ohm_per_m: Floats) -> Floats:
    """Loss of the currents on pieces.

    Parameters
    ----------
    pieces : Pieces
        The pieces.
    resistance_ohm_per_m : ndarray, shape (pieces,)
        Resistance of each. [ohm/m]

    Returns
    -------
    ndarray, shape (unknowns, unknowns)
        Overlap integrals of the currents times resistance. [ohm]
    """
    whole = resistance_ohm_per_m * pieces.lengths_m
    nodes = pieces.nodes
    loss = np.zeros((nodes + pieces.spares,) * 2)
    shared = whole * pieces.share**2
    ends = (pieces.start_node, pieces.end_node)
    for m in ends:
        for n in ends:
            np.add.at(loss, (m, n), shared / 3 if m is n else shared / 6)
    own = pieces.spare >= 0
    spare, once = nodes + pieces.spare[own], (whole * pieces.share / 2)[own]
    np.add.at(loss, (spare, spare), whole[own])
    for m in ends:
        np.add.at(loss, (m[own], spare), once)
        np.add.at(loss, (spare, m[own]), once)
    return loss


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


def gap_ports(impedance_ohm: Complexes, port_node: Integers) -> GapPorts:
    """Reduce an impedance matrix of node currents to delta-gap ports at some nodes.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (nodes, nodes)
        Impedance of the rooftop currents, losses included. [ohm]
    port_node : ndarray of int, shape (ports,)
        Node at which each gap sits.

    Returns
    -------
    GapPorts
        Port impedance and the node currents per unit port current.
    """
    excitation = np.zeros((len(impedance_ohm), len(port_node)))
    excitation[port_node, np.arange(len(port_node))] = 1
    response = lu_solve(lu_factor(impedance_ohm), excitation)
    port_impedance = np.linalg.inv(response[port_node])
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
