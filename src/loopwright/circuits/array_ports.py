"""The conductors on this body, seen from all gaps: what every circuit of the array is wired to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.element_ports import body_port_impedance_ohm
from loopwright.circuits.tuned.noise import NoiseTemperatures, weighted_resistance_k_ohm
from loopwright.circuits.tuned.resistances import Resistances, port_resistances
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork
from loopwright.fields.wires.polynomial import interpolate

__all__ = ["ArrayPorts", "array_ports", "ports_from_sources"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayPorts:
    """Open gaps of all elements, body included.

    Attributes
    ----------
    frequency_hz : float
        Operating frequency. [Hz]
    frequencies_hz : ndarray, shape (F,)
        Sampled frequencies, the operating frequency in the middle. [Hz]
    impedance_ohm : ndarray, shape (F, P, P)
        Between the gaps; the body's part is that at the operating frequency. [ohm]
    port_element : ndarray of int, shape (P,)
        Element of each gap.
    resistances : Resistances
        Hermitian part at the operating frequency by mechanism, (P, P); no capacitors. [ohm]
    temperatures : NoiseTemperatures
        Of what makes noise.
    """

    frequency_hz: float
    frequencies_hz: NDArray[np.float64]
    impedance_ohm: NDArray[np.complex128]
    port_element: NDArray[np.int64]
    resistances: Resistances
    temperatures: NoiseTemperatures

    @property
    def at_operation_ohm(self) -> NDArray[np.complex128]:
        """Impedance at the operating frequency, shape (P, P). [ohm]"""
        return np.asarray(self.impedance_ohm[len(self.frequencies_hz) // 2])

    @property
    def weighted_resistance_k_ohm(self) -> NDArray[np.complex128]:
        """Sum of temperature times resistance over what makes noise, shape (P, P). [K ohm]"""
        return weighted_resistance_k_ohm(self.resistances, self.temperatures)

    @property
    def element_count(self) -> int:
        """Number of elements."""
        return int(self.port_element[-1]) + 1

    def at(self, frequency_hz: float) -> NDArray[np.complex128]:
        """Impedance at a frequency of the band, shape (P, P). [ohm]

        Raises
        ------
        OutsideModelError
            Outside the sampled band.
        """
        return interpolate(self.frequencies_hz, self.impedance_ohm, frequency_hz)


def array_ports(network: PortNetwork, reply: BodyReply | None, temperatures: NoiseTemperatures) -> ArrayPorts:
    """Put the body's part to the network of the conductors.

    Parameters
    ----------
    network : PortNetwork
        Conductors in air.
    reply : BodyReply or None
        What the body does to their sources; None for the array on the bench, in air.
    temperatures : NoiseTemperatures
        Of body and coil.

    Returns
    -------
    ArrayPorts

    Notes
    -----
    The conductor's loss is split at the operating frequency; the body is held constant over the band.
    """
    nothing = np.zeros((len(network.port_element),) * 2, dtype=np.complex128)
    body_ohm = nothing if reply is None else reply.impedance_ohm
    per_port = nothing if reply is None else reply.source_per_port_current
    return ports_from_sources(
        network,
        temperatures,
        source_per_port_current=per_port,
        body_ohm=body_ohm,
        body_noise_ohm=nothing if reply is None else reply.noise_resistance_ohm,
        added_ohm=body_port_impedance_ohm(body_ohm, per_port),
    )


def ports_from_sources(
    network: PortNetwork,
    temperatures: NoiseTemperatures,
    *,
    source_per_port_current: NDArray[np.complex128],
    body_ohm: NDArray[np.complex128],
    body_noise_ohm: NDArray[np.complex128],
    added_ohm: NDArray[np.complex128],
) -> ArrayPorts:
    """Put what a body does to S sources, and by them to the gaps, to the network of the conductors.

    Parameters
    ----------
    network : PortNetwork
        Conductors in air.
    temperatures : NoiseTemperatures
        Of body and coil.
    source_per_port_current : ndarray, shape (S, P)
        Amplitude of every source per current in one port. [A/A]
    body_ohm, body_noise_ohm : ndarray, shape (S, S)
        Impedance that the body adds between the sources, and the part of it that makes noise. [ohm]
    added_ohm : ndarray, shape (P, P)
        The same impedance between the ports. [ohm]
    """
    return ArrayPorts(
        frequency_hz=network.frequency_hz,
        frequencies_hz=network.frequencies_hz,
        impedance_ohm=network.impedance_ohm + added_ohm,
        port_element=network.port_element,
        resistances=port_resistances(
            node_current=network.node_current,
            loss_matrix_ohm=network.loss_matrix_ohm,
            radiation_matrix_ohm=network.radiation_matrix_ohm,
            source_per_port_current=source_per_port_current,
            body_impedance_ohm=body_ohm,
            body_noise_resistance_ohm=body_noise_ohm,
        ),
        temperatures=temperatures,
    )
