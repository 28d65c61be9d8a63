"""Crossed diodes of every case as what the field makes of them, in place of a fixed resistance.

A junction takes nearly one voltage whatever flows, so that a pair that conducts is the more resistance the less current
it carries: about 0.9 V over the current, beside its fixed half ohm. That weakens the trap and is most of its heat.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.states import Diodes, ElementState, PairInField
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.transmit.driven_array import DrivenArray

__all__ = ["PAIRS_IN_FIELD_LIMITS", "with_pairs_in_field"]

#: What the pairs of a case are taken to be.
PAIRS_IN_FIELD_LIMITS = (
    (
        "Crossed diodes are what the peak of the field makes of them in the condition without the fault. A fault that "
        "takes current from a pair leaves it more resistance than told, one that gives it current less."
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
    Each family is followed once, in its commonest state without faults, all elements alike.
    """
    pairs = {family: _pairs(array, cases, family, peak_b1_plus_t) for family in {case.family for case in cases}}
    return tuple(
        replace(
            case,
            states=tuple(
                replace(state, pairs=own) if state.crossed_diodes is Diodes.CONDUCT else state
                for state, own in zip(case.states, pairs[case.family], strict=True)
            ),
        )
        for case in cases
    )


def _pairs(array: DrivenArray, cases: Sequence[ArrayCase], family: str, peak_t: float) -> list[tuple[PairInField, ...]]:
    """Pairs of every element in the condition of a family."""
    found: list[tuple[PairInField, ...]] = [() for _ in array.circuits]
    condition = _condition(cases, family)
    if condition.crossed_diodes is Diodes.BLOCK:
        return found
    f = array.ports.frequency_hz
    driven = drive_array(
        array.ports.at_operation_ohm,
        array.circuits,
        (condition,) * len(array.circuits),
        open_v_per_t=array.open_v_per_t,
        b1_plus_t=[peak_t],
        frequency_hz=f,
    )
    for pair, siemens in zip(driven.pairs, driven.admittance_siemens[0], strict=True):
        told = PairInField(
            part=pair.part,
            resistance_ohm=float(1 / siemens.real),
            capacitance_f=float(siemens.imag / (2 * np.pi * f)),
        )
        found[pair.element] = (*found[pair.element], told)
    return found


def _condition(cases: Sequence[ArrayCase], family: str) -> ElementState:
    sound = [replace(state, name=family, faults=()) for case in cases if case.family == family for state in case.states]
    return Counter(sound).most_common(1)[0][0]
