"""From the cases of one lie of the array to what is told of each."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.states import Diodes
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
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.finding import Told
from loopwright.transmit.lie import Lie, changes_of_b1

__all__ = ["fault_row", "received_open_v_per_t", "tell_cases", "with_local_sar"]

#: Names of diodes that are printed of those that are not as they were taken.
_NAMED = 3


def received_open_v_per_t(
    network: PortNetwork, vertices_m: NDArray[np.float64], sense: Precession
) -> NDArray[np.complex128]:
    """Voltages across the open gaps in a uniform field that turns as received signals do; nodes (N, 3) [m]. [V/T]"""
    return -port_emf_v(network, vertices_m, rotating_field_t(1.0, sense=Precession(-sense)))


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
) -> tuple[CaseTold, ...]:
    """Tell all cases of one lie; averages over 10 g and heat come later, for few of them.

    Parameters
    ----------
    lie : Lie
    cases : sequence of ArrayCase
        The normal condition of every family among them.
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
    """
    array = lie.driven
    progress.begin("cases while transmitting", len(cases))
    answers = []
    for case in cases:
        answers.append(answer_case(array, case, exposure))
        progress.advance()
    current = np.array([answer.port_current_a_per_t for answer in answers])
    first = {case.name: number for number, case in reversed(list(enumerate(cases)))}
    bounds = sar_bounds_w_per_kg(lie, sar, current, base=[first[case.family] for case in cases])
    found = detections(
        array.ports, array.circuits, cases, names=array.names, received_open_v_per_t=received_v_per_t, lines=lines
    )
    absorbed = absorbed_power_w(lie.reply, exposure.rms_b1_plus_t * amplitudes(lie.reply, current))
    off = [diodes_otherwise(one, array.circuits, frequency_hz=array.ports.frequency_hz) for one in answers]
    return tuple(
        CaseTold(
            case=case,
            answer=answer,
            b1=change,
            absorbed_w=power,
            local_sar_ratio_bound=bound / sar.peak_w_per_kg,
            local_sar=None,
            hot_places=(),
            detection=detection,
            notes=_notes(answer, otherwise - (off[first[case.family]] if case.failed else frozenset()), array.names),
        )
        for case, answer, change, power, bound, detection, otherwise in zip(
            cases,
            answers,
            changes_of_b1(lie, current, region),
            absorbed.tolist(),
            bounds.tolist(),
            found,
            off,
            strict=True,
        )
    )


def _notes(answer: CaseAnswer, otherwise: frozenset[tuple[int, str]], names: Sequence[str]) -> tuple[str, ...]:
    """Say which crossed diodes the field would put into the other state."""
    found = []
    for taken, instead in ((Diodes.CONDUCT, "too little flows for it"), (Diodes.BLOCK, "the voltage opens them")):
        own = [f"{names[e]} {part}" for e, part in sorted(otherwise) if answer.case.states[e].crossed_diodes is taken]
        if own:
            told = ", ".join(own[:_NAMED]) + (f" and {len(own) - _NAMED} more" if len(own) > _NAMED else "")
            verb = "conducting" if taken is Diodes.CONDUCT else "blocking"
            found.append(f"Crossed diodes taken as {verb}, though at the peak of the field {instead}: {told}.")
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
    )
