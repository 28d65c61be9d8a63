r"""The array in a lie of the carrier that is not the designed one: its gaps, circuits and share of the body's fields.

The conductors are solved anew where they lie. The circuits are those that were tuned as designed. What the body adds is
taken over from the design by a map T of port currents: a current in a port acts on the body as T of it does in the
designed ports, so that

.. math:: Z = Z_{wires} + T^T Z_{body} T,\qquad e = e_{wires} + T^T e_{scattered}

stay passive and reciprocal, and fields in the body follow with the sources' amplitudes ``source_per_port_current``.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits import with_joints
from loopwright.circuits.array_ports import ports_from_sources
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.faults.worn_cases import worn_cases
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.wiring import ElementCircuit
from loopwright.conductors import DressedLayout
from loopwright.fields.transmit import OpenArray, TransmitReply
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.batch import port_currents_a_per_t
from loopwright.transmit.driven_array import DrivenArray, driven_array

__all__ = ["WornArray", "worn_driven"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class WornArray:
    """The array in one lie.

    Attributes
    ----------
    wearing : Wearing
    wrong : tuple of int
        Elements that lie wrongly.
    dressed : DressedLayout
        Where they lie.
    array : OpenArray
        Their wires with open gaps in the transmit field.
    circuits : tuple of ElementCircuit
        As tuned; with the film across every gap where the array is wet.
    reply : TransmitReply
        From which the body's part is taken: of the design, or of this lie.
    port_map : ndarray, shape (P, P)
        Currents in the ports of that reply that act on the body as one here does.
    notes : tuple of str
        What has to be known of it.
    """

    wearing: Wearing
    wrong: tuple[int, ...]
    dressed: DressedLayout
    array: OpenArray
    circuits: tuple[ElementCircuit, ...]
    reply: TransmitReply
    port_map: Floats
    notes: tuple[str, ...]

    @property
    def source_per_port_current(self) -> Complexes:
        """Amplitude of every source of the reply per current in one port, shape (S, P). [A/A]"""
        return np.asarray(self.reply.source_per_port_current @ self.port_map)

    @property
    def open_v_per_t(self) -> Complexes:
        """Voltages across the open gaps, scattered by the body too, shape (P,). [V/T]"""
        return np.asarray(self.array.open_v_per_t + self.port_map.T @ self.reply.scattered_v_per_t)

    @property
    def port_ohm(self) -> Complexes:
        """Impedance between the open gaps with body and joints, shape (P, P). [ohm]"""
        network = self.array.network
        joints = self.dressed.other_series_resistance_ohm / np.bincount(network.port_element)[network.port_element]
        body = self.port_map.T @ self.reply.added_impedance_ohm @ self.port_map
        return np.asarray(network.at(network.frequency_hz) + body + np.diag(joints))

    @property
    def reply_in_lie(self) -> TransmitReply:
        """The reply with the ports of this lie in place of its own, so that currents here give its amplitudes.

        Raises
        ------
        OutsideModelError
            If it is of no array.
        """
        if self.reply.array is None:
            raise OutsideModelError("there is no array in the transmit field that could be worn wrongly")
        sources = replace(self.reply.array.sources, source_per_port_current=self.source_per_port_current)
        return replace(self.reply, array=replace(self.array, sources=sources))

    @property
    def cases(self) -> tuple[ArrayCase, ...]:
        """The whole array in this lie, plugged and unplugged."""
        return worn_cases(self.wearing, self.circuits, failed=self.wrong)

    @property
    def port_current_a_per_t(self) -> Complexes:
        """Currents into the conductors at all gaps, shape (cases, P). [A/T]"""
        return port_currents_a_per_t(
            self.port_ohm,
            self.circuits,
            self.cases,
            open_v_per_t=self.open_v_per_t,
            frequency_hz=self.array.network.frequency_hz,
        )


def worn_driven(worn: WornArray, temperatures: NoiseTemperatures) -> DrivenArray:
    """Gather what the cases of this lie are answered from.

    Parameters
    ----------
    worn : WornArray
        The array in its lie.
    temperatures : NoiseTemperatures
        Of body and coil.
    """
    network, body = worn.array.network, worn.reply.body
    sources = worn.source_per_port_current
    nothing = np.zeros((len(sources),) * 2, dtype=np.complex128)
    reaction = nothing if body is None else body.reaction_ohm[:-1, :-1]
    ports = ports_from_sources(
        network,
        temperatures,
        source_per_port_current=sources,
        body_ohm=reaction,
        body_noise_ohm=nothing if body is None else body.absorption_ohm[:-1, :-1].conj(),
        added_ohm=sources.T @ reaction @ sources,
    )
    elements = worn.dressed.layout.elements
    return driven_array(
        network,
        np.concatenate([element.vertices_m for element in elements]),
        names=[element.name for element in elements],
        ports=with_joints(ports, worn.dressed.other_series_resistance_ohm),
        circuits=worn.circuits,
        open_v_per_t=worn.open_v_per_t,
        open_current_a_per_t=worn.array.open_current_a_per_t,
    )
