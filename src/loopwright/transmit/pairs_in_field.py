"""Crossed diodes of every case as what the field makes of them, in place of a fixed resistance.

A junction takes nearly one voltage whatever flows, so that a pair that conducts is the more resistance the less current
it carries: about 0.9 V over the current, beside its fixed half ohm. That weakens the trap and is most of its heat.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from loopwright.circuits.bias.clamped_pair import HARMONICS
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.parts import OffGap
from loopwright.circuits.states import Diodes, ElementState, PairInField
from loopwright.circuits.under_field.pairs_balanced import balanced_together
from loopwright.circuits.under_field.pairs_followed import followed, pair_siemens
from loopwright.circuits.under_field.pairs_seen import PairsSeen, pairs_seen
from loopwright.circuits.wiring import ElementCircuit
from loopwright.transmit.driven_array import DrivenArray

__all__ = ["PAIRS_IN_FIELD_LIMITS", "with_pairs_in_field"]

#: What the pairs of a case are taken to be.
PAIRS_IN_FIELD_LIMITS = (
    (
        "Crossed diodes are what the peak of the field makes of them; those of the neighbours of a failed element are "
        "as without its fault."
    ),
    (
        "Their heat is that at the peak of the field for its share of time: of pulses that are at their peak or off. "
        "With the flanks of a windowed sinc it is about half as much again; with weak pulses between strong ones it "
        "may come to the peak over the rms field times as much, and no more."
    ),
)


def with_pairs_in_field(
    array: DrivenArray, cases: Sequence[ArrayCase], *, peak_b1_plus_t: float
) -> tuple[ArrayCase, ...]:
    """The same cases, their conducting crossed diodes as the peak of the field makes them.

    Parameters
    ----------
    array : DrivenArray
        In the lie of the cases.
    cases : sequence of ArrayCase
        Of all conditions.
    peak_b1_plus_t : float
        Largest amplitude of B1+. [T]

    Returns
    -------
    tuple of ArrayCase
        In the same order; cases whose crossed diodes block are as they were.

    Raises
    ------
    NotConvergedError, OutsideModelError
        As :func:`~loopwright.circuits.under_field.driven_diodes.drive_array`.

    Notes
    -----
    Each family is followed once, in its commonest state without faults, all elements alike and together. In a case the
    failed elements are followed anew, all others staying what they are without the fault.
    """
    sound = {family: _sound(array, cases, family, peak_b1_plus_t) for family in {case.family for case in cases}}
    failed = [place for place, case in enumerate(cases) if case.failed and any(sound[case.family])]
    seen = [_seen_by_failed(array, cases[place], sound[cases[place].family]) for place in failed]
    anew = dict(zip(failed, _followed(array, seen, peak_b1_plus_t), strict=True))
    return tuple(
        _with_pairs(case, sound[case.family], anew.get(place, sound[case.family])) for place, case in enumerate(cases)
    )


_Pairs = tuple[tuple[PairInField, ...], ...]


def _with_pairs(case: ArrayCase, sound: _Pairs, anew: _Pairs) -> ArrayCase:
    """The case with the pairs of its sound elements, and those of its failed ones followed anew."""
    pairs = [anew[element] if element in case.failed else own for element, own in enumerate(sound)]
    return replace(case, states=tuple(replace(state, pairs=own) for state, own in zip(case.states, pairs, strict=True)))


def _sound(array: DrivenArray, cases: Sequence[ArrayCase], family: str, peak_t: float) -> _Pairs:
    """Pairs of every element in the condition of a family; none where they block."""
    condition = _condition(cases, family)
    if condition.crossed_diodes is Diodes.BLOCK:
        return ((),) * len(array.circuits)
    (found,) = _followed(array, [_seen(array, array.circuits, (condition,) * len(array.circuits))], peak_t)
    return found


def _seen_by_failed(array: DrivenArray, case: ArrayCase, sound: _Pairs) -> PairsSeen:
    """What the pairs of the failed elements have before them while all others are as without the fault."""
    circuits = [
        circuit if element in case.failed else _as_linear(circuit, own)
        for element, (circuit, own) in enumerate(zip(array.circuits, sound, strict=True))
    ]
    return _seen(array, circuits, case.states)


def _seen(array: DrivenArray, circuits: Sequence[ElementCircuit], states: Sequence[ElementState]) -> PairsSeen:
    return pairs_seen(
        array.ports.at_operation_ohm,
        circuits,
        states,
        open_v=array.open_v_per_t,
        frequency_hz=array.ports.frequency_hz,
        harmonics=HARMONICS[1:],
    )


def _as_linear(circuit: ElementCircuit, pairs: tuple[PairInField, ...]) -> ElementCircuit:
    for pair in pairs:
        circuit = circuit.with_part(
            pair.part, OffGap(resistance_ohm=pair.resistance_ohm, capacitance_f=pair.capacitance_f)
        )
    return circuit


def _followed(array: DrivenArray, several: Sequence[PairsSeen], peak_t: float) -> Iterator[_Pairs]:
    """Pairs of every element at the peak of the field, case after case."""
    if not several:
        return
    w = 2 * np.pi * array.ports.frequency_hz
    for driven in balanced_together(several, array.ports.frequency_hz):
        siemens = pair_siemens(driven, followed(driven, np.array([peak_t])))[0]
        found: list[tuple[PairInField, ...]] = [() for _ in array.circuits]
        for pair, junctions in zip(driven.seen.pairs, siemens, strict=True):
            told = PairInField(
                part=pair.part,
                resistance_ohm=float(1 / (junctions.real + 1 / pair.leak_ohm)),
                capacitance_f=float(junctions.imag / w),
            )
            found[pair.element] = (*found[pair.element], told)
        yield tuple(found)


def _condition(cases: Sequence[ArrayCase], family: str) -> ElementState:
    sound = [replace(state, name=family, faults=()) for case in cases if case.family == family for state in case.states]
    return Counter(sound).most_common(1)[0][0]
