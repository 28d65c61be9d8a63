r"""The wired array over frequency: what channels show, and what each loop's current does in every state.

With Y the circuits across the gaps and Z the conductors, K = (1 + ZY)^-1 Z is the impedance between the gaps with the
circuits on. An element's own block of it, its own circuit taken off again, (K_ee^-1 - Y_e)^-1, is all that its circuit
sees of conductors, body and neighbours; every state of the one element is then algebra of the size of its gaps.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import receiver_admittances_siemens
from loopwright.circuits.nodal import Reduced, reduced
from loopwright.circuits.states import RECEIVING, ElementState, in_state
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["ArraySweep", "array_sweep", "loop_siemens", "seen_by_gaps_ohm"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArraySweep:
    """The array over frequency, all elements receiving.

    Attributes
    ----------
    frequencies_hz : ndarray, shape (F,)
        [Hz]
    channel_ohm : ndarray, shape (F, C, C)
        Between the channels behind the circuits, the receivers away. [ohm]
    seen_ohm : ndarray, shape (F, C)
        What each receiver sees, all others in place. [ohm]
    own_gaps_ohm : tuple of ndarray, shape (F, g, g)
        What each circuit sees at its gaps, all others in place, one entry per element. [ohm]
    """

    frequencies_hz: NDArray[np.float64]
    channel_ohm: Complexes
    seen_ohm: Complexes
    own_gaps_ohm: tuple[Complexes, ...]


def array_sweep(port_ohm: Complexes, circuits: Sequence[ElementCircuit], frequencies_hz: ArrayLike) -> ArraySweep:
    """Solve the receiving array at many frequencies.

    Parameters
    ----------
    port_ohm : ndarray, shape (F, P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    frequencies_hz : array_like, shape (F,)
        [Hz]
    """
    f = np.asarray(frequencies_hz, dtype=np.float64)
    receivers = receiver_admittances_siemens(circuits, [RECEIVING] * len(circuits))
    plugged = [_reduced(circuit, RECEIVING, f, y) for circuit, y in zip(circuits, receivers.tolist(), strict=True)]
    away = [_reduced(circuit, RECEIVING, f, 0) for circuit in circuits]
    owned = _owned(circuits)
    inside = _with_circuits_ohm(port_ohm, plugged, owned)
    with_receivers = np.diagonal(_channels_ohm(inside, plugged, owned), axis1=-2, axis2=-1)
    return ArraySweep(
        frequencies_hz=f,
        channel_ohm=_channels_ohm(_with_circuits_ohm(port_ohm, away, owned), away, owned),
        seen_ohm=np.asarray(1 / (1 / with_receivers - receivers)),
        own_gaps_ohm=tuple(_own_block_ohm(inside, one, own) for one, own in zip(plugged, owned, strict=True)),
    )


def seen_by_gaps_ohm(
    port_ohm: Complexes, circuits: Sequence[ElementCircuit], frequency_hz: float, *, element: int
) -> Complexes:
    """What the circuit of one element sees at its gaps, all others receiving, shape (g, g). [ohm]

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    frequency_hz : float
        [Hz]
    element : int
        Whose gaps.
    """
    f = np.array([frequency_hz])
    receivers = receiver_admittances_siemens(circuits, [RECEIVING] * len(circuits))
    plugged = [_reduced(circuit, RECEIVING, f, y) for circuit, y in zip(circuits, receivers.tolist(), strict=True)]
    owned = _owned(circuits)
    inside = _with_circuits_ohm(port_ohm[None], plugged, owned)
    return np.asarray(_own_block_ohm(inside, plugged[element], owned[element])[0])


def loop_siemens(
    own_ohm: Complexes,
    circuit: ElementCircuit,
    state: ElementState,
    *,
    frequencies_hz: ArrayLike,
    receiver_siemens: complex,
) -> Complexes:
    """Mean current of a loop per volt round it, the volt spread evenly over its gaps.

    Two small probes beside the element that do not couple to each other show this current, but for a factor that goes
    with the square of the frequency.

    Parameters
    ----------
    own_ohm : ndarray, shape (F, g, g)
        What the circuit sees at its gaps. [ohm]
    circuit : ElementCircuit
        Of the element.
    state : ElementState
        What conducts in it.
    frequencies_hz : array_like, shape (F,)
        [Hz]
    receiver_siemens : complex
        What stands at its channel. [S]

    Returns
    -------
    ndarray, shape (F,)
        [S]
    """
    f = np.asarray(frequencies_hz, dtype=np.float64)
    gap_siemens = _reduced(circuit, state, f, receiver_siemens).gap_siemens
    gaps = circuit.gap_count
    driven = gap_siemens @ np.full((gaps, 1), 1 / gaps)
    return np.asarray(np.linalg.solve(np.eye(gaps) + gap_siemens @ own_ohm, driven).mean(axis=(-2, -1)))


def _reduced(
    circuit: ElementCircuit, state: ElementState, f: NDArray[np.float64], receiver_siemens: complex
) -> Reduced:
    return reduced(in_state(circuit, state), f, np.full(f.shape, receiver_siemens))


def _owned(circuits: Sequence[ElementCircuit]) -> list[slice]:
    ends = np.cumsum([0, *(circuit.gap_count for circuit in circuits)]).tolist()
    return [slice(first, last) for first, last in pairwise(ends)]


def _with_circuits_ohm(port_ohm: Complexes, circuits: Sequence[Reduced], owned: Sequence[slice]) -> Complexes:
    """K = (1 + ZY)^-1 Z, shape (F, P, P)."""
    loop = np.broadcast_to(np.eye(port_ohm.shape[-1], dtype=np.complex128), port_ohm.shape).copy()
    for circuit, own in zip(circuits, owned, strict=True):
        loop[..., :, own] += port_ohm[..., :, own] @ circuit.gap_siemens
    return np.asarray(np.linalg.solve(loop, port_ohm))


def _channels_ohm(inside: Complexes, circuits: Sequence[Reduced], owned: Sequence[slice]) -> Complexes:
    """M^T K M + z, shape (F, C, C)."""
    columns = np.zeros((*inside.shape[:-1], len(circuits)), dtype=np.complex128)
    for number, (circuit, own) in enumerate(zip(circuits, owned, strict=True)):
        columns[..., own, number] = circuit.channel_per_gap
    found = np.swapaxes(columns, -1, -2) @ inside @ columns
    for number, circuit in enumerate(circuits):
        found[..., number, number] += circuit.channel_own_ohm
    return np.asarray(found)


def _own_block_ohm(inside: Complexes, circuit: Reduced, own: slice) -> Complexes:
    return np.asarray(np.linalg.inv(np.linalg.inv(inside[..., own, own]) - circuit.gap_siemens))
