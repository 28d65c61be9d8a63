"""What one failed part does to the current of its element, while everything else of the array is as it should be."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.faults.rules import possible_faults
from loopwright.circuits.states import Diodes, ElementState, PartFault, PartOff, PartOpen, PartShort, Plug
from loopwright.circuits.under_field.own_gaps import OwnGaps, own_gap_currents_a, own_gaps
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["SingleFault", "faults_of", "single_faults"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleFault:
    """One part of one element failed, in one state; the arrays hold every element in turn.

    Attributes
    ----------
    fault : PartFault or None
        None is an element with nothing that acts: no diode conducts and nothing is plugged in.
    words : str
        The fault in words.
    state : str
        What the other elements are in, and this one but for its fault.
    current_a : ndarray, shape (C,)
        Mean gap current of the failed element, peak; NaN where its circuit lacks the part. [A]
    """

    fault: PartFault | None
    words: str
    state: str
    current_a: NDArray[np.float64]


def faults_of(circuits: Sequence[ElementCircuit]) -> tuple[PartFault, ...]:
    """List how parts may fail; what befalls receiver, cable or bias belongs to the cases of the whole array.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element; parts of the same name count once.
    """
    seen: dict[PartFault, None] = {}
    for circuit in circuits:
        for possible in possible_faults(circuit):
            if isinstance(possible.fault, PartOpen | PartShort | PartOff):
                seen[possible.fault] = None
    return tuple(seen)


def single_faults(
    port_ohm: NDArray[np.complex128],
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    emf_v: ArrayLike,
    frequency_hz: float,
) -> tuple[SingleFault, ...]:
    """Let every part of every element fail in turn, all other elements in the state without fault.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    states : sequence of ElementState
        In which the array is while a part fails.
    emf_v : array_like, shape (P,)
        Voltages that the field induces in the open gaps, peak. [V]
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of SingleFault
        State after state: first the element with nothing that acts, then fault after fault.

    Notes
    -----
    Diodes are in their states as given; whether the field drives them there is not asked.
    """
    found = []
    for state in states:
        whole = array_state(port_ohm, circuits, [state] * len(circuits), frequency_hz=frequency_hz)
        sources = own_gaps(whole, emf_v)
        bare = replace(state, pin_diodes=Diodes.BLOCK, crossed_diodes=Diodes.BLOCK, plug=Plug.OUT)
        found.append(
            SingleFault(
                fault=None,
                words="nothing acts in this element",
                state=state.name,
                current_a=_means_a(sources, circuits, bare, frequency_hz),
            )
        )
        found += [_failed(sources, circuits, state, fault, frequency_hz) for fault in faults_of(circuits)]
    return tuple(found)


def _failed(
    sources: Sequence[OwnGaps], circuits: Sequence[ElementCircuit], state: ElementState, fault: PartFault, f: float
) -> SingleFault:
    failed = state.with_faults(fault)
    current_a = np.full(len(circuits), np.nan)
    having = [e for e, circuit in enumerate(circuits) if any(b.name == fault.part for b in circuit.branches)]
    current_a[having] = _means_a([sources[e] for e in having], [circuits[e] for e in having], failed, f)
    return SingleFault(
        fault=fault, words=failed.name.removeprefix(f"{state.name}, "), state=state.name, current_a=current_a
    )


def _means_a(
    sources: Sequence[OwnGaps], circuits: Sequence[ElementCircuit], state: ElementState, f: float
) -> NDArray[np.float64]:
    currents = own_gap_currents_a(sources, circuits, state, frequency_hz=f)
    return np.array([np.abs(current).mean() for current in currents])
