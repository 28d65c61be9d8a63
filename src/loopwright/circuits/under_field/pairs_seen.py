"""What every pair of crossed diodes of an array has before it: the linear array with all of them taken out.

With v the voltages across the open gaps, Y the circuits and N the node voltages per gap voltage, a pair between two
nodes sees the voltage d'N (1 + ZY)^-1 v and the impedance d'N (1 + ZY)^-1 Z N'd, and what its circuit adds by itself
while the gaps are held.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, CircuitGroup, array_state, gap_currents_a, gap_voltages_v
from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES
from loopwright.circuits.bias.crossed_diodes import CrossedDiodes as DiodeLaw
from loopwright.circuits.main_values import scaled
from loopwright.circuits.nodal import nodal_admittance_siemens
from loopwright.circuits.parts import CrossedDiodes, Resistor
from loopwright.circuits.states import ElementState, Fault, PartOff
from loopwright.circuits.wiring import Branch, ElementCircuit, nodes_of

__all__ = ["DiodePair", "PairsSeen", "diode_law", "pairs_of", "pairs_seen"]

Complexes = NDArray[np.complex128]

#: Ties a node that hangs on gaps alone to its return where the gaps are open at a harmonic; of no account beside the
#: capacitance of any pair. [S]
_TIED_S = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodePair:
    """One pair of crossed diodes.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
        Name of the diodes.
    law : DiodeLaw
        The two diodes.
    leak_ohm : float
        Blocking resistance across both, which stays in the linear array. [ohm]
    """

    element: int
    part: str
    law: DiodeLaw
    leak_ohm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PairsSeen:
    """N pairs on an array of P gaps; with currents I through the pairs, their voltages are ``open_v - ohm I``.

    Attributes
    ----------
    pairs : tuple of DiodePair
    open_v : ndarray, shape (N,)
        Voltages with all pairs taken out, peak. [V]
    ohm : ndarray, shape (N, N)
        Impedance between the pairs. [ohm]
    harmonic_ohm : ndarray, shape (H, N)
        What each sees at the harmonics asked for: its own element's circuit, gaps open, other pairs taken out. [ohm]
    port_a : ndarray, shape (P,)
        Port currents with all pairs taken out, peak. [A]
    port_per_pair : ndarray, shape (P, N)
        Port currents per current through a pair. [A/A]
    """

    pairs: tuple[DiodePair, ...]
    open_v: Complexes
    ohm: Complexes
    harmonic_ohm: Complexes
    port_a: Complexes
    port_per_pair: Complexes


def diode_law(part: CrossedDiodes) -> DiodeLaw:
    """Exponential law of a part: capacitance and resistance are its own, the rest those of the generic diodes."""
    return replace(
        GENERIC_CROSSED_DIODES,
        junction_capacitance_f=float(np.min(part.blocking_capacitance_f)),
        series_resistance_ohm=float(np.min(part.conducting_resistance_ohm)),
    )


def pairs_seen(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    open_v: ArrayLike,
    frequency_hz: float,
    harmonics: ArrayLike,
) -> PairsSeen:
    """Take all crossed diodes out of an array and see it from where they were.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element; some may have no crossed diodes.
    states : sequence of ElementState
        One for each element: PIN diodes, plug and faults are as it says; whether crossed diodes conduct is not asked of
        it. A pair that has failed open or short is no pair.
    open_v : array_like, shape (P,)
        Voltages that the field puts across the open gaps, peak. [V]
    frequency_hz : float
        [Hz]
    harmonics : array_like of int, shape (H,)
        Multiples of the frequency.
    """
    emf = np.asarray(open_v, dtype=np.complex128)
    found = [
        pairs_of(circuit, state, element=e) for e, (circuit, state) in enumerate(zip(circuits, states, strict=True))
    ]
    bare = [circuit for circuit, _, _ in found]
    array = array_state(port_ohm, bare, [state for _, state, _ in found], frequency_hz=frequency_hz)
    pairs = tuple(pair for _, _, own in found for pair in own)
    per_gap = np.zeros((port_ohm.shape[-1], len(pairs)), dtype=np.complex128)
    inside = np.zeros((len(pairs), len(pairs)), dtype=np.complex128)
    at_harmonics = np.zeros((np.size(harmonics), len(pairs)), dtype=np.complex128)
    f = frequency_hz * np.append(1, harmonics)
    for group in array.groups:
        nodal = _nodal_siemens(group, array.receiver_siemens, f)
        for place, element in enumerate(group.elements.tolist()):
            own = [number for number, pair in enumerate(pairs) if pair.element == element]
            if own:
                between = _between(group.circuit, [pairs[number].part for number in own])
                per_gap[np.ix_(group.ports[place], own)] = group.reduced.node_per_gap[place].T @ between
                inside[np.ix_(own, own)] = _gaps_held_ohm(nodal[0, place], between, group.circuit.gap_count)
                at_harmonics[:, own] = _gaps_open_ohm(nodal[1:, place], between)
    return _seen(array, pairs, emf, per_gap, inside, at_harmonics)


def _seen(
    array: ArrayState, pairs: tuple[DiodePair, ...], emf: Complexes, per_gap: Complexes, inside: Complexes,
    at_harmonics: Complexes,
) -> PairsSeen:  # fmt: skip
    driven = array.port_ohm @ per_gap
    across = gap_voltages_v(array, np.concatenate((emf[:, None], driven), axis=1))
    # A pair draws its current out of the nodes: the gaps see it as an EMF -Z N'd I, and N'd I leaves through them.
    drawn = gap_currents_a(array, driven.T).T
    return PairsSeen(
        pairs=pairs,
        open_v=per_gap.T @ across[:, 0],
        ohm=per_gap.T @ across[:, 1:] + inside,
        harmonic_ohm=at_harmonics,
        port_a=gap_currents_a(array, emf),
        port_per_pair=-drawn - per_gap,
    )


def pairs_of(
    circuit: ElementCircuit, state: ElementState, *, element: int = 0
) -> tuple[ElementCircuit, ElementState, tuple[DiodePair, ...]]:
    """Take the sound pairs out of a circuit, and what is off with them out of its state.

    Parameters
    ----------
    circuit : ElementCircuit
        With its diodes.
    state : ElementState
        Faults included.
    element : int
        Number that the pairs shall have.

    Returns
    -------
    circuit : ElementCircuit
        With the blocking resistance alone in each pair's place.
    state : ElementState
        For that circuit.
    pairs : tuple of DiodePair
    """
    pairs, left = [], list(state.faults)
    for branch in circuit.branches:
        faults = state.faults_of(branch.name)
        if isinstance(branch, Branch) and isinstance(branch.part, CrossedDiodes) and _sound(faults):
            part = branch.part
            for fault in faults:
                assert isinstance(fault, PartOff)  # noqa: S101 - sound ones have no others
                part = scaled(part, fault.factor)
                left.remove(fault)
            leak_ohm = float(np.min(part.blocking_resistance_ohm))
            pairs.append(DiodePair(element=element, part=branch.name, law=diode_law(part), leak_ohm=leak_ohm))
            circuit = circuit.with_part(branch.name, Resistor(resistance_ohm=leak_ohm))
    return circuit, replace(state, faults=tuple(left)), tuple(pairs)


def _sound(faults: Sequence[Fault]) -> bool:
    return all(isinstance(fault, PartOff) for fault in faults)


def _between(circuit: ElementCircuit, parts: Sequence[str]) -> NDArray[np.float64]:
    """One column for each part: 1 at its first node, -1 at its second, shape (n, parts)."""
    number = {node: at for at, node in enumerate(nodes_of(circuit))}
    ends = {b.name: b.between for b in circuit.branches if isinstance(b, Branch)}
    columns = np.zeros((len(number), len(parts)))
    for column, part in enumerate(parts):
        for sign, node in zip((1.0, -1.0), ends[part], strict=True):
            if node in number:
                columns[number[node], column] = sign
    return columns


def _nodal_siemens(group: CircuitGroup, receiver_siemens: Complexes, f: NDArray[np.float64]) -> Complexes:
    """Nodal admittance of each element of the group, its receiver in place, shape (F, E, n, n). [S]"""
    nodal = nodal_admittance_siemens(group.circuit, f[:, None])
    nodal[..., group.reduced.channel, group.reduced.channel] += receiver_siemens[group.elements]
    return nodal


def _gaps_held_ohm(nodal_siemens: Complexes, between: NDArray[np.float64], gaps: int) -> Complexes:
    """Impedance between pairs of one element while no voltage stands across its gaps, shape (pairs, pairs)."""
    inner = between[gaps:]
    return np.asarray(inner.T @ np.linalg.solve(nodal_siemens[gaps:, gaps:], inner))


def _gaps_open_ohm(nodal_siemens: Complexes, between: NDArray[np.float64]) -> Complexes:
    """Impedance of each pair alone while no current flows through the gaps, shape (H, pairs)."""
    tied = nodal_siemens + _TIED_S * np.eye(len(between))
    return np.asarray(np.einsum("np,hnp->hp", between, np.linalg.solve(tied, between[None])))
