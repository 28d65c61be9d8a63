r"""The circuits of all elements on the gaps of the array: one state of the whole.

With Z the impedance between the gaps (currents into the conductor), Y what the circuits put across them, M the voltage
at each receiver per gap voltage and z what a receiver sees with the gaps shorted:

.. math:: v = (1 + ZY)^{-1}(e + ZM i),\qquad u = M^T v + z i

for voltages e across the open gaps and currents i put into the channels; v stands across the gaps, u across the
receivers. One solution X = (1 + YZ)^{-1} M gives both ways: X^T e is what e leaves at the receivers, and X i are the
currents that i drives into the conductors, as reciprocity asks. An EMF along the conductor, in the sense of the
currents, leaves its negative across the open gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.nodal import Reduced, reduced
from loopwright.circuits.states import ElementState, channel_siemens, in_state
from loopwright.circuits.wiring import ElementCircuit, stacked
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "ArrayState",
    "CircuitGroup",
    "array_state",
    "gap_currents_a",
    "gap_voltages_v",
    "receiver_admittances_siemens",
    "source_ohm",
]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitGroup:
    """Elements of equal wiring and their circuits reduced to gaps and receiver.

    Attributes
    ----------
    elements : ndarray of int, shape (E,)
        Their numbers.
    ports : ndarray of int, shape (E, g)
        Their gaps among those of the array.
    circuit : ElementCircuit
        Passive parts, fields of shape (..., E).
    reduced : Reduced
        With leading axes (..., E).
    """

    elements: NDArray[np.intp]
    ports: NDArray[np.intp]
    circuit: ElementCircuit
    reduced: Reduced


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayState:
    """One state of the array, every receiver (or what stands there instead) in place.

    Attributes
    ----------
    frequency_hz : float or ndarray
        [Hz]
    port_ohm : ndarray, shape (..., P, P)
        Impedance between the open gaps. [ohm]
    groups : tuple of CircuitGroup
    receiver_siemens : ndarray, shape (..., C)
        Admittance at each channel; zero where nothing is plugged in. [S]
    port_current : ndarray, shape (..., P, C)
        Currents into the conductors per current put into a channel; transposed, voltage across each receiver per
        voltage induced in an open gap. [A/A]
    gap_voltage_ohm : ndarray, shape (..., P, C)
        Gap voltages per current put into a channel. [ohm]
    channel_ohm : ndarray, shape (..., C, C)
        Voltage across the receivers per current put into a channel. [ohm]
    """

    frequency_hz: float | NDArray[np.float64]
    port_ohm: Complexes
    groups: tuple[CircuitGroup, ...]
    receiver_siemens: Complexes
    port_current: Complexes
    gap_voltage_ohm: Complexes
    channel_ohm: Complexes

    @property
    def seen_ohm(self) -> Complexes:
        """What each receiver sees, all others in place, shape (..., C). [ohm]"""
        own = np.diagonal(self.channel_ohm, axis1=-2, axis2=-1)
        return np.asarray(1 / (1 / own - self.receiver_siemens))


def receiver_admittances_siemens(circuits: Sequence[ElementCircuit], states: Sequence[ElementState]) -> Complexes:
    """Admittance that stands at each channel: the preamplifier's, or none where the plug is out, shape (C,). [S]"""
    return np.array(
        [channel_siemens(circuit.receiver, state) for circuit, state in zip(circuits, states, strict=True)],
        dtype=np.complex128,
    )


def array_state(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    frequency_hz: float | NDArray[np.float64],
    receiver_siemens: ArrayLike | None = None,
) -> ArrayState:
    """Solve one state of the array.

    Parameters
    ----------
    port_ohm : ndarray, shape (..., P, P)
        Impedance between the open gaps at the frequency, body included, element after element. [ohm]
    circuits : sequence of ElementCircuit
        One for each element; part values may have leading axes (...), draws for instance.
    states : sequence of ElementState
        One for each element.
    frequency_hz : float or ndarray
        One number, or a sweep of the shape (F, 1), the frequencies in front of elements; ``port_ohm`` is (F, P, P)
        then. [Hz]
    receiver_siemens : array_like, shape (..., C), optional
        What stands at the channels; that of the states when left out. [S]

    Returns
    -------
    ArrayState

    Raises
    ------
    OutsideModelError
        If the gaps of the circuits are not those of the network.
    """
    gap_count = np.array([circuit.gap_count for circuit in circuits])
    if gap_count.sum() != port_ohm.shape[-1]:
        raise OutsideModelError(f"the circuits have {gap_count.sum()} gaps, the conductors {port_ohm.shape[-1]}")
    at_channel = np.asarray(
        receiver_admittances_siemens(circuits, states) if receiver_siemens is None else receiver_siemens
    )
    resolved = [in_state(circuit, state) for circuit, state in zip(circuits, states, strict=True)]
    first = np.cumsum([0, *gap_count[:-1]])
    groups = tuple(
        _group(np.array(own), circuit, first, frequency_hz, at_channel) for own, circuit in stacked(resolved)
    )
    return _solved(port_ohm, groups, at_channel, frequency_hz)


def _group(
    elements: NDArray[np.intp],
    circuit: ElementCircuit,
    first: NDArray[np.intp],
    frequency_hz: float | NDArray[np.float64],
    receiver_siemens: Complexes,
) -> CircuitGroup:
    return CircuitGroup(
        elements=elements,
        ports=first[elements][:, None] + np.arange(circuit.gap_count),
        circuit=circuit,
        reduced=reduced(circuit, frequency_hz, receiver_siemens[..., elements]),
    )


def _solved(
    port_ohm: Complexes,
    groups: tuple[CircuitGroup, ...],
    receiver_siemens: Complexes,
    frequency_hz: float | NDArray[np.float64],
) -> ArrayState:
    loop, seen = (
        _loop_matrix(port_ohm, groups),
        _channel_columns(groups, receiver_siemens.shape[-1], port_ohm.shape[-1]),
    )
    current = np.asarray(np.linalg.solve(loop, seen), dtype=np.complex128)
    voltage = port_ohm @ current
    channel = np.swapaxes(seen, -1, -2) @ voltage
    for group in groups:
        channel[..., group.elements, group.elements] += group.reduced.channel_own_ohm
    return ArrayState(
        frequency_hz=frequency_hz,
        port_ohm=port_ohm,
        groups=groups,
        receiver_siemens=receiver_siemens,
        port_current=current,
        gap_voltage_ohm=voltage,
        channel_ohm=channel,
    )


def _leading(groups: tuple[CircuitGroup, ...], *others: tuple[int, ...]) -> tuple[int, ...]:
    return np.broadcast_shapes(*(group.reduced.gap_siemens.shape[:-3] for group in groups), *others)


def _loop_matrix(port_ohm: Complexes, groups: tuple[CircuitGroup, ...]) -> Complexes:
    """1 + YZ, shape (..., P, P)."""
    ports = port_ohm.shape[-1]
    loop = np.zeros((*_leading(groups, port_ohm.shape[:-2]), ports, ports), dtype=np.complex128)
    for group in groups:
        loop[..., group.ports, :] = group.reduced.gap_siemens @ port_ohm[..., group.ports, :]
    here = np.arange(ports)
    loop[..., here, here] += 1
    return loop


def _channel_columns(groups: tuple[CircuitGroup, ...], channels: int, ports: int) -> Complexes:
    """M, shape (..., P, C): a column for each channel, on the gaps of its element."""
    columns = np.zeros((*_leading(groups), ports, channels), dtype=np.complex128)
    for group in groups:
        columns[..., group.ports, group.elements[:, None]] = group.reduced.channel_per_gap
    return columns


def gap_currents_a(state: ArrayState, emf_v: ArrayLike) -> Complexes:
    """Currents into the conductors at the gaps, for voltages induced in the open gaps.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    emf_v : array_like, shape (..., P)
        Voltages of the open gaps. [V]

    Returns
    -------
    ndarray, shape (..., P)
        -(1 + YZ)^{-1} Y e: against the sense in which the gap voltage drives its own circuit. [A]
    """
    emf = np.asarray(emf_v, dtype=np.complex128)
    shape = np.broadcast_shapes(_leading(state.groups), emf.shape[:-1])
    driven = np.zeros((*shape, emf.shape[-1]), dtype=np.complex128)
    for group in state.groups:
        driven[..., group.ports] = (group.reduced.gap_siemens @ emf[..., group.ports, None])[..., 0]
    return np.asarray(-np.linalg.solve(_loop_matrix(state.port_ohm, state.groups), driven[..., None])[..., 0])


def gap_voltages_v(state: ArrayState, emf_v: ArrayLike) -> Complexes:
    """Voltages across the gaps, all circuits in place, for columns of voltages induced in the open gaps.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    emf_v : array_like, shape (..., P, K)
        Voltages of the open gaps. [V]

    Returns
    -------
    ndarray, shape (..., P, K)
        (1 + ZY)^{-1} e. [V]
    """
    loop = np.swapaxes(_loop_matrix(state.port_ohm, state.groups), -1, -2)
    emf = np.asarray(emf_v, dtype=np.complex128)
    shape = np.broadcast_shapes(loop.shape[:-2], emf.shape[:-2])
    return np.asarray(np.linalg.solve(loop, np.broadcast_to(emf, (*shape, *emf.shape[-2:]))))


def source_ohm(state: ArrayState) -> Complexes:
    """Impedance matrix that the receivers see together, all of them taken away, shape (..., C, C). [ohm]"""
    load = state.receiver_siemens[..., :, None] * np.eye(state.receiver_siemens.shape[-1])
    return np.asarray(np.linalg.inv(np.linalg.inv(state.channel_ohm) - load))
