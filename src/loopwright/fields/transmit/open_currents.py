r"""An array with all its gaps open in the transmit field: what its wires meet, and the currents that flow all the same.

With Z the impedance between the nodes, V what the field induces at them, E the nodes of the gaps and
:math:`Z_p = (E^T Z^{-1} E)^{-1}` the ports, no current passes a gap when

.. math:: I = Z^{-1}V - Z^{-1} E Z_p E^T Z^{-1} V .

What the circuits then add is a current in every port: that of all nodes is ``network.node_current @ I_ports + I``.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors import DressedLayout
from loopwright.fields.body.sources import Excitation, WireSources, array_sources
from loopwright.fields.transmit.source import TransmitSource
from loopwright.fields.wires.bundling import array_wires, split_segments
from loopwright.fields.wires.impedance import WireMesh
from loopwright.fields.wires.port_network import PortNetwork
from loopwright.fields.wires.spare_currents import settled
from loopwright.ground.errors import OutsideModelError

__all__ = ["OpenArray", "node_currents_a_per_t", "node_emf_v_per_t", "open_array"]

Complexes = NDArray[np.complex128]

# Two-point rule on a segment, exact for a quadratic field under a linear current.
_PLACES, _WEIGHTS = 0.5 + np.array([-0.5, 0.5]) / np.sqrt(3), (0.5, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenArray:
    """An array in a transmit field, without body, all gaps open.

    Attributes
    ----------
    network : PortNetwork
        Its wires in free space.
    sources : WireSources
        Patterns of its port currents, for which the body is solved.
    node_emf_v_per_t : ndarray, shape (N,)
        EMF that the rooftop current of every node meets. [V/T]
    open_current_a_per_t : ndarray, shape (N,)
        Current at every node; none at the gaps. [A/T]
    """

    network: PortNetwork
    sources: WireSources
    node_emf_v_per_t: Complexes
    open_current_a_per_t: Complexes

    @property
    def open_v_per_t(self) -> Complexes:
        """Voltages across the open gaps: minus the EMF in series with them, shape (P,). [V/T]"""
        return np.asarray(-self.network.node_current.T @ self.node_emf_v_per_t)


def open_array(dressed: DressedLayout, network: PortNetwork, source: TransmitSource) -> OpenArray:
    """Put an array with open gaps into a transmit field.

    Parameters
    ----------
    dressed : DressedLayout
        The array.
    network : PortNetwork
        Its wires, solved in free space with their middle frequency that of the field.
    source : TransmitSource
        What transmits.

    Raises
    ------
    OutsideModelError
        If wires and field are not at one frequency.

    Notes
    -----
    The difference of the field between the filaments of a split strip is left out: it drives their own currents.
    """
    if not np.isclose(network.frequency_hz, source.frequency_hz, rtol=1e-9):
        raise OutsideModelError(
            f"the wires were solved at {network.frequency_hz:.6g} Hz, but the transmit field is at "
            f"{source.frequency_hz:.6g} Hz"
        )
    wires = array_wires(dressed, split=split_segments(dressed))
    emf = node_emf_v_per_t(wires.mesh, source)
    closed = np.linalg.solve(settled(dressed, wires, network.frequency_hz).impedance_ohm, emf)
    sources = array_sources(Excitation.FULL_CURRENT, dressed, network)
    if not isinstance(sources, WireSources):
        raise TypeError("full current of an array comes as wire sources")
    return OpenArray(
        network=network,
        sources=sources,
        node_emf_v_per_t=emf,
        open_current_a_per_t=np.asarray(closed - network.node_current @ closed[network.port_node]),
    )


def node_emf_v_per_t(mesh: WireMesh, source: TransmitSource) -> Complexes:
    """EMF that the rooftop current of every node of closed wires meets in a transmit field.

    Parameters
    ----------
    mesh : WireMesh
        The wires; the current of a node rises along the segment before it and falls along the one after.
    source : TransmitSource
        What transmits.

    Returns
    -------
    ndarray, shape (N,)
        Exact while the field varies along a segment no faster than a parabola; those of one wire add up to the EMF
        round it. [V/T]
    """
    start, step = mesh.vertices_m, mesh.steps_m
    emf = np.zeros(len(start), dtype=np.complex128)
    for place, weight in zip(_PLACES, _WEIGHTS, strict=True):
        along = weight * np.sum(source.electric_v_per_m_per_t(start + place * step) * step, axis=-1)
        emf += (1 - place) * along
        np.add.at(emf, mesh.next_node, place * along)
    return emf


def node_currents_a_per_t(array: OpenArray, port_current_a_per_t: ArrayLike) -> Complexes:
    """Current at every node in any state of the circuits.

    Parameters
    ----------
    array : OpenArray
        The array in the field.
    port_current_a_per_t : array_like, shape (..., P)
        Currents in its ports. [A/T]

    Returns
    -------
    ndarray, shape (..., N)
        Those of the ports and those that flow with open gaps. [A/T]
    """
    ports = np.asarray(port_current_a_per_t, dtype=np.complex128)
    return np.asarray(ports @ array.network.node_current.T + array.open_current_a_per_t)
