"""The wired array over frequency: what channels show, and what each loop's current does in every state.

What the gaps of an element see, its own circuit taken off, is all that its circuit sees of conductors, body and
neighbours; every state of the one element is then algebra of the size of its gaps.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import RECEIVING, ElementState, in_state
from loopwright.circuits.surroundings import surroundings_ohm
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["ArraySweep", "array_sweep", "loop_siemens"]

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
    states = [RECEIVING] * len(circuits)
    plugged = array_state(port_ohm, circuits, states, frequency_hz=f[:, None])
    away = array_state(port_ohm, circuits, states, frequency_hz=f[:, None], receiver_siemens=np.zeros(len(circuits)))
    return ArraySweep(
        frequencies_hz=f,
        channel_ohm=away.channel_ohm,
        seen_ohm=plugged.seen_ohm,
        own_gaps_ohm=surroundings_ohm(plugged),
    )


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
    gap_siemens = reduced(in_state(circuit, state), f, np.full(f.shape, receiver_siemens)).gap_siemens
    gaps = circuit.gap_count
    driven = gap_siemens @ np.full((gaps, 1), 1 / gaps)
    return np.asarray(np.linalg.solve(np.eye(gaps) + gap_siemens @ own_ohm, driven).mean(axis=(-2, -1)))
