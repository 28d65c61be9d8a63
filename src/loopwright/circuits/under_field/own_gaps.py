"""One element of an array in a field, its own circuit taken away: a source at its gaps, exact while the others keep.

With the others in place, the gaps of an element are a source of voltages e behind an impedance Z. Whatever circuit Y is
then put across them, its gap currents are -(1 + YZ)^-1 Y e: a fault of one element costs a system of its gaps only.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, gap_voltages_v
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import ElementState, channel_siemens, in_state
from loopwright.circuits.surroundings import surroundings_ohm
from loopwright.circuits.wiring import ElementCircuit, stacked

__all__ = ["OwnGaps", "own_gap_currents_a", "own_gaps"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnGaps:
    """The gaps of one element as a source.

    Attributes
    ----------
    open_v : ndarray, shape (g,)
        Voltages with its own circuit taken away, all others in place; peak. [V]
    ohm : ndarray, shape (g, g)
        Impedance between them. [ohm]
    """

    open_v: Complexes
    ohm: Complexes


def own_gaps(state: ArrayState, emf_v: ArrayLike) -> tuple[OwnGaps, ...]:
    """Take the circuit of each element away in turn, the others staying as they are.

    Parameters
    ----------
    state : ArrayState
        What the others are in; without leading axes.
    emf_v : array_like, shape (P,)
        Voltages that the field induces in the open gaps. [V]

    Returns
    -------
    tuple of OwnGaps
        One for each element.
    """
    impedances = surroundings_ohm(state)
    across = gap_voltages_v(state, np.asarray(emf_v, dtype=np.complex128)[:, None])[:, 0]
    found: dict[int, OwnGaps] = {}
    for group in state.groups:
        for place, element in enumerate(group.elements.tolist()):
            own = across[group.ports[place]]
            drawn = group.reduced.gap_siemens[place] @ own
            found[element] = OwnGaps(open_v=own + impedances[element] @ drawn, ohm=impedances[element])
    return tuple(found[element] for element in sorted(found))


def own_gap_currents_a(
    sources: Sequence[OwnGaps], circuits: Sequence[ElementCircuit], state: ElementState, *, frequency_hz: float
) -> tuple[Complexes, ...]:
    """Gap currents of each element with a circuit in a state, one element at a time.

    Parameters
    ----------
    sources : sequence of OwnGaps
        Of these elements.
    circuits : sequence of ElementCircuit
        One for each of them.
    state : ElementState
        Of the one element; faults included.
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of ndarray, shape (g,)
        Currents into the conductor, peak. [A]
    """
    loads = np.array([channel_siemens(circuit.receiver, state) for circuit in circuits], dtype=np.complex128)
    found: dict[int, Complexes] = {}
    for numbers, circuit in stacked([in_state(circuit, state) for circuit in circuits]):
        own = list(numbers)
        gap_siemens = reduced(circuit, frequency_hz, loads[own]).gap_siemens
        impedance = np.stack([sources[number].ohm for number in own])
        driven = gap_siemens @ np.stack([sources[number].open_v for number in own])[..., None]
        current = -np.linalg.solve(np.eye(circuit.gap_count) + gap_siemens @ impedance, driven)[..., 0]
        found.update(zip(own, current, strict=True))
    return tuple(found[number] for number in range(len(circuits)))
