"""The array that a transmit field drives: gaps, circuits, conductors, and what the field puts across the gaps."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.wiring import ElementCircuit
from loopwright.fields import PortNetwork

__all__ = ["DrivenArray", "driven_array", "node_lengths_m"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivenArray:
    """One lie of the array on one body in one transmit field.

    Attributes
    ----------
    names : tuple of str
        Of the elements.
    ports : ArrayPorts
        The gaps, body included, and what of their resistance is whose.
    circuits : tuple of ElementCircuit
        Diodes and fuses as they are.
    node_current : ndarray, shape (N, P)
        Current at every node of the conductors per current into each gap. [A/A]
    node_element : ndarray of int, shape (N,)
    node_length_m : ndarray, shape (N,)
        Length of conductor that belongs to each node. [m]
    loss_matrix_ohm : ndarray, shape (N, N)
        Of the conductors. [ohm]
    open_v_per_t : ndarray, shape (P,)
        Voltages that the transmit field puts across the open gaps, peak, per tesla of B1+. [V/T]
    open_current_a_per_t : ndarray, shape (N,)
        Current at every node while all gaps are open. [A/T]
    """

    names: tuple[str, ...]
    ports: ArrayPorts
    circuits: tuple[ElementCircuit, ...]
    node_current: Complexes
    node_element: NDArray[np.int64]
    node_length_m: Floats
    loss_matrix_ohm: Floats
    open_v_per_t: Complexes
    open_current_a_per_t: Complexes

    def current_along_a_per_t(self, port_current_a_per_t: ArrayLike) -> Complexes:
        """Current at every node for currents at the gaps, shape (..., N), that of the open array included. [A/T]"""
        at_gaps = np.asarray(port_current_a_per_t, dtype=np.complex128)
        return np.asarray(at_gaps @ self.node_current.T + self.open_current_a_per_t)


def driven_array(
    network: PortNetwork,
    vertices_m: ArrayLike,
    *,
    names: Sequence[str],
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    open_v_per_t: ArrayLike,
    open_current_a_per_t: ArrayLike = 0.0,
) -> DrivenArray:
    """Gather what every case of an array is worked out from.

    Parameters
    ----------
    network : PortNetwork
        The conductors.
    vertices_m : array_like, shape (N, 3)
        Their nodes, one element after the other, as the network was solved with. [m]
    names : sequence of str
        Of the elements.
    ports : ArrayPorts
        The gaps of the same network, on the body.
    circuits : sequence of ElementCircuit
        One for each element.
    open_v_per_t : array_like, shape (P,)
        Voltages that the transmit field puts across the open gaps, peak, per tesla of B1+. [V/T]
    open_current_a_per_t : array_like, shape (N,) or ()
        Current at every node while all gaps are open; none when left out. [A/T]
    """
    nodes = len(network.node_element)
    return DrivenArray(
        names=tuple(names),
        ports=ports,
        circuits=tuple(circuits),
        node_current=np.asarray(network.node_current, dtype=np.complex128),
        node_element=network.node_element,
        node_length_m=node_lengths_m(vertices_m, network.node_element),
        loss_matrix_ohm=network.loss_matrix_ohm,
        open_v_per_t=np.asarray(open_v_per_t, dtype=np.complex128),
        open_current_a_per_t=np.broadcast_to(np.asarray(open_current_a_per_t, dtype=np.complex128), nodes),
    )


def node_lengths_m(vertices_m: ArrayLike, node_element: NDArray[np.integer]) -> Floats:
    """Half of both segments that meet at each node of closed polygons.

    Parameters
    ----------
    vertices_m : array_like, shape (N, 3)
        Nodes, one element after the other. [m]
    node_element : ndarray of int, shape (N,)
        Element of each.

    Returns
    -------
    ndarray, shape (N,)
        They add up to the length of the conductors. [m]
    """
    nodes_m = np.asarray(vertices_m, dtype=np.float64)
    found = np.empty(len(nodes_m))
    for element in np.unique(node_element):
        own = node_element == element
        ahead = np.linalg.norm(np.roll(nodes_m[own], -1, axis=0) - nodes_m[own], axis=1)
        found[own] = (ahead + np.roll(ahead, 1)) / 2
    return found
