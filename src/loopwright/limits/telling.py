"""From the cases of one lie of the array to what is told of each."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import nan

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.faults.listing import as_case
from loopwright.circuits.states import RECEIVING, Diodes
from loopwright.circuits.under_field.induced import port_emf_v, rotating_field_t
from loopwright.fields import PortNetwork
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import absorbed_power_w, amplitudes
from loopwright.ground.progress import Progress
from loopwright.limits.case_told import CaseTold
from loopwright.limits.ranking import FaultRow
from loopwright.transmit.answers import CaseAnswer, answer_case
from loopwright.transmit.case_sar import BodySar, cases_cube_sar_w_per_kg, sar_bounds_w_per_kg, told_sar
from loopwright.transmit.detection import detections
from loopwright.transmit.diodes_as_taken import diodes_otherwise
from loopwright.transmit.driven_array import DrivenArray
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.finding import Told
from loopwright.transmit.lie import Lie, changes_of_b1
from loopwright.transmit.prescan import ReceivedChannels, received_channels

__all__ = ["fault_row", "received_open_v_per_t", "sound_channels", "tell_cases", "with_local_sar"]

#: Names of diodes that are printed of those that are not as they were taken.
_NAMED = 3


def received_open_v_per_t(
    network: PortNetwork, vertices_m: NDArray[np.float64], sense: Precession
) -> NDArray[np.complex128]:
    """Voltages across the open gaps in a uniform field that turns as received signals do; nodes (N, 3) [m]. [V/T]"""
    return -port_emf_v(network, vertices_m, rotating_field_t(1.0, sense=Precession(-sense)))


def sound_channels(array: DrivenArray, received_v_per_t: NDArray[np.complex128]) -> ReceivedChannels:
    """What channels show of a sound array, for voltages across its open gaps in the received field (P,). [V/T]"""
    case = as_case(RECEIVING, len(array.circuits))
    return received_channels(array.ports, array.circuits, case, received_open_v_per_t=received_v_per_t)


def tell_cases(
    lie: Lie,
    cases: Sequence[ArrayCase],
    *,
    exposure: Exposure,
    region: NDArray[np.bool_],
    sar: BodySar,
    received_v_per_t: NDArray[np.complex128],
    lines: Sequence[LineCheck],
    progress: Progress,
    sound: ReceivedChannels | None = None,
) -> tuple[CaseTold, ...]:
    """Tell all cases of one lie; averages over 10 g and heat come later, for few of them.

    Parameters
    ----------
    lie : Lie
    cases : sequence of ArrayCase
        One whose family's normal condition is not among them counts as that itself.
    exposure : Exposure
    region : ndarray of bool, shape (nx, ny, nz)
        Where B1+ is judged.
    sar : BodySar
        The body without the array, at the rms field.
    received_v_per_t : ndarray, shape (P,)
        See :func:`received_open_v_per_t`. [V/T]
    lines : sequence of LineCheck
        Bias lines, checked; none where the brief describes none.
    progress : Progress
    sound : ReceivedChannels or None
        What the channels show of the array as designed; None where this is that lie.
    """
    array = lie.driven
    answers = list(_answers(array, cases, exposure, progress))
    current = np.array([answer.port_current_a_per_t for answer in answers])
    base = _base(cases)
    found = detections(
        array.ports,
        array.circuits,
        cases,
        names=array.names,
        received_open_v_per_t=received_v_per_t,
        lines=lines,
        sound=sound,
    )
    absorbed = absorbed_power_w(lie.reply, exposure.rms_b1_plus_t * amplitudes(lie.reply, current))
    return tuple(
        CaseTold(
            case=case,
            answer=answer,
            b1=change,
            absorbed_w=power,
            local_sar_ratio_bound=bound,
            local_sar=None,
            hot_places=(),
            detection=detection,
            notes=notes,
        )
        for case, answer, change, power, bound, detection, notes in zip(
            cases,
            answers,
            changes_of_b1(lie, current, region),
            absorbed.tolist(),
            _ratio_bounds(lie, sar, current, base),
            found,
            _notes_of_cases(lie, answers, base),
            strict=True,
        )
    )


def _answers(
    array: DrivenArray, cases: Sequence[ArrayCase], exposure: Exposure, progress: Progress
) -> Iterator[CaseAnswer]:
    progress.begin("cases while transmitting", len(cases))
    for case in cases:
        yield answer_case(array, case, exposure)
        progress.advance()


def _base(cases: Sequence[ArrayCase]) -> list[int]:
    """Number of the normal condition from which each case departs; its own where that is not among them."""
    first = {case.name: number for number, case in reversed(list(enumerate(cases)))}
    return [first.get(case.family, number) for number, case in enumerate(cases)]


def _ratio_bounds(lie: Lie, sar: BodySar, current: NDArray[np.complex128], base: Sequence[int]) -> list[float]:
    """Bounds of the largest average over that without the array; none where fields are out of place."""
    if not lie.in_place:
        return [nan] * len(base)
    found: list[float] = (sar_bounds_w_per_kg(lie, sar, current, base=base) / sar.peak_w_per_kg).tolist()
    return found


def _notes_of_cases(lie: Lie, answers: Sequence[CaseAnswer], base: Sequence[int]) -> Iterator[tuple[str, ...]]:
    """What of each case is not as it was taken, beyond what is so of its condition; and what holds for the lie."""
    array = lie.driven
    off = [diodes_otherwise(one, array.circuits, frequency_hz=array.ports.frequency_hz) for one in answers]
    for number, (own, answer) in enumerate(zip(base, answers, strict=True)):
        known = frozenset() if own == number else off[own]
        yield (*_notes(answer, off[number] - known, array.names), *lie.notes)


def _notes(answer: CaseAnswer, otherwise: frozenset[tuple[int, str]], names: Sequence[str]) -> tuple[str, ...]:
    """Say which crossed diodes do not do what the name of the case says; those that may conduct follow the field."""
    found = []
    for taken, what in (
        (Diodes.CONDUCT, "carry too little to conduct at the peak of the field, and count as what they are then"),
        (Diodes.BLOCK, "are taken as blocking, though the voltage at the peak of the field opens them"),
    ):
        own = [f"{names[e]} {part}" for e, part in sorted(otherwise) if answer.case.states[e].crossed_diodes is taken]
        if own:
            told = ", ".join(own[:_NAMED]) + (f" and {len(own) - _NAMED} more" if len(own) > _NAMED else "")
            found.append(f"Crossed diodes {what}: {told}.")
    return tuple(found)


def with_local_sar(lie: Lie, sar: BodySar, told: Sequence[CaseTold]) -> Iterator[tuple[CaseTold, NDArray[np.float64]]]:
    """Cases of one lie with their averages over 10 g, each with those of all cubes, shape (cubes,). [W/kg]"""
    currents = np.array([one.answer.port_current_a_per_t for one in told])
    for one, cubes in zip(told, cases_cube_sar_w_per_kg(lie, sar, currents), strict=True):
        yield replace(one, local_sar=told_sar(sar, cubes)), cubes


def fault_row(told: CaseTold, exposure: Exposure, *, surface: tuple[float, float] | None) -> FaultRow:
    """What a case brings to the table of faults.

    Parameters
    ----------
    told : CaseTold
    exposure : Exposure
    surface : tuple of 2 floats or None
        Hottest surface on the patient and the half-width of its interval. [degC], [K]
    """
    noticed = {"bias monitor": told.detection.bias_monitor, "prescan": told.detection.prescan}
    opens_s = told.fuse_opens_after_s
    driven = told.b1.as_driven
    return FaultRow(
        name=told.case.name,
        family=told.case.family,
        noticed_by=tuple(name for name, one in noticed.items() if one.told is Told.NOTICED),
        largest_current_a=told.largest_current_a * exposure.rms_b1_plus_t / exposure.peak_b1_plus_t,
        surface_c=None if surface is None else surface[0],
        surface_uncertainty_c=None if surface is None else surface[1],
        mean_b1_change_percent=100 * (driven.mean - 1),
        least_local_b1=driven.lowest_percent,
        greatest_local_b1=driven.highest_percent,
        local_sar_ratio=None if told.local_sar is None else told.local_sar.ratio,
        rating_over_stress=told.rating_over_stress,
        ratings_exceeded=len(told.ratings_exceeded),
        fuse_opens_after_s=opens_s if np.isfinite(opens_s) else None,
        estimated_because=told.estimated_because,
    )
