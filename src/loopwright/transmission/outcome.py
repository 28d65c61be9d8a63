"""From cases in their order to all that is told, limits first."""

from collections.abc import Iterator, Sequence

import numpy as np

from loopwright import conductors, limits
from loopwright.brief.records import HeadRequest, PatientRequest, SarLevel
from loopwright.circuits.states import ElementState
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.fields.rotating import transmit_component
from loopwright.ground.errors import OutsideModelError
from loopwright.limits import judged
from loopwright.limits.diodes_told import diodes_followed, pins_held
from loopwright.limits.heat_of_brief import coil_as_a_whole
from loopwright.limits.hot_places import hottest_of_all, probes_for
from loopwright.limits.taken_for_granted import granted, not_described
from loopwright.transmission.closer import Found, limit_set_of
from loopwright.transmission.question import Asked
from loopwright.transmit.lie import Lie

__all__ = ["outcome_of"]

#: Hot places that are told of all cases together.
_OF_ALL = 12
_ICE_K = 273.15
#: Of the room, where the brief says nothing of heat. [degC]
_ROOM_C = 24.0


def outcome_of(
    asked: Asked, lie: Lie, found: Found, states: Sequence[ElementState], dressed: conductors.DressedLayout
) -> limits.WhileTransmitting:
    """Put together what is told."""
    request, heat, elements = asked.request, found.heat, dressed.layout.elements
    peak_t = asked.exposure.peak_b1_plus_t
    conditions = tuple(one for one in found.told if not one.case.failed)
    holds, recovery = _pins(asked, lie, states)
    assessments = tuple(_assessments(asked, found, states, holds, recovery))
    warm, stack = asked.brief.heat, asked.stack
    ranked_names = {one.row.name for one in found.ranked}
    possible = [one for one in found.told if one.case.name in ranked_names]
    return limits.WhileTransmitting(
        source=asked.source.name,
        frequency_hz=asked.source.frequency_hz,
        exposure=asked.exposure,
        middle_m=asked.middle_m,
        body_alone=_body_alone(asked),
        conditions=conditions,
        faults=tuple(one for one in found.told if one.case.failed),
        ranked=found.ranked,
        worst=tuple(found.told[number].case.name for number in found.worst),
        worst_sure_w_per_kg=found.bound_left_w_per_kg,
        assessments=assessments,
        limit_set=limit_set_of(asked.brief),
        spacing=asked.spacing,
        diodes=diodes_followed(lie, states, peak_t=peak_t, region=asked.region),
        pin_holds=holds,
        pin_recovery=recovery,
        hot_places=() if heat is None else hottest_of_all(heat, found.worst, _OF_ALL),
        surface_at_rest_c=float("nan") if heat is None else heat.at_rest_c,
        whole_coil=None
        if warm is None or stack is None
        else coil_as_a_whole(warm, stack, elements, possible, duration_s=request.duration_s),
        probes=None if heat is None or warm is None else probes_for(heat, found.worst, probes=warm.probes),
        maps=found.maps,
        limits=granted(lie, heat),
        not_described=tuple(not_described(asked.brief, asked.check)),
    )


def _pins(
    asked: Asked, lie: Lie, states: Sequence[ElementState]
) -> tuple[tuple[PinHold, ...], tuple[PinRecovery, ...]]:
    if asked.check is None:
        return (), ()
    return pins_held(lie.driven, states, check=asked.check, peak_t=asked.exposure.peak_b1_plus_t)


def _body_alone(asked: Asked) -> limits.BodyAlone:
    """The body without array at the rms field."""
    absorbed_w = asked.alone_w_per_t2 * asked.exposure.rms_b1_plus_t**2
    rows = asked.alone.body
    if rows is None:
        raise OutsideModelError("what the body absorbs was asked for, but no body was solved")
    inside_t = rows.magnetic_field_t[-1][:, asked.region[rows.voxels]]
    return limits.BodyAlone(
        sar=asked.global_sar(absorbed_w),
        peak_local_w_per_kg=asked.sar.peak_w_per_kg,
        peak_local_place_m=asked.sar.peak_place_m,
        mean_b1_in_region=float(np.abs(transmit_component(inside_t[0], inside_t[1], sense=asked.alone.sense)).mean()),
        absorbed_uncertainty_w=asked.uncertainty * absorbed_w,
    )


def _assessments(
    asked: Asked,
    found: Found,
    states: Sequence[ElementState],
    holds: Sequence[PinHold],
    recovery: Sequence[PinRecovery],
) -> Iterator[limits.Assessment]:
    limit_set, names = limit_set_of(asked.brief), [state.name for state in states]
    told = list(judged.worst_over_cases(found.ranked, names, duration_s=asked.request.duration_s, limits=limit_set))
    for several in _normal_and_faulty(found, names):
        told += _sar(asked, limit_set, several)
    plugged = next(one for one in found.told if one.case.name == names[0])
    told += judged.b1_assessments(limit_set, plugged)
    told.append(limits.assess_spacing(asked.spacing, limit_set))
    if (largest_t := _largest_rms_t(asked)) is not None:
        told.append(
            judged.rms_assessment(asked.exposure, largest_b1_rms_t=largest_t, uncertainty_t=_rms_uncertainty_t(asked))
        )
    told += judged.bias_assessments(limit_set, holds, recovery)
    yield from told
    yield from judged.rest_not_assessed(limit_set, told)


def _normal_and_faulty(found: Found, names: Sequence[str]) -> Iterator[tuple[limits.CaseTold, ...]]:
    """Conditions in which the scanner transmits, and single faults, where there are any."""
    for several in (
        tuple(one for one in found.told if one.case.name in names),
        tuple(one for one in found.told if one.case.failed),
    ):
        if several:
            yield several


def _sar(asked: Asked, limit_set: limits.LimitSet, cases: Sequence[limits.CaseTold]) -> Iterator[limits.Assessment]:
    """Global SAR of the case among these in which the body takes up most."""
    most, heat = max(cases, key=lambda one: one.absorbed_w), asked.brief.heat
    sar = judged.JudgedSar(
        case=most.case.name, sar=asked.global_sar(most.absorbed_w), uncertainty=asked.uncertainty, head=_head(asked)
    )
    mode = asked.request.scanner_limits.operating_mode
    ambient_c = _ROOM_C if heat is None else heat.ambient_temperature_k - _ICE_K
    return judged.sar_assessments(limit_set, sar, mode=mode, ambient_temperature_c=ambient_c)


def _head(asked: Asked) -> str:
    body = asked.brief.body
    is_head = isinstance(body, HeadRequest) or (isinstance(body, PatientRequest) and body.part == "head")
    return asked.sar.body.name if is_head else ""


def _largest_rms_t(asked: Asked) -> float | None:
    own_t, interface = asked.request.scanner_limits.largest_b1_rms_t, asked.brief.interface
    return own_t if own_t is not None or interface is None else interface.largest_b1_rms_t


def _rms_uncertainty_t(asked: Asked) -> float:
    """Nought where the brief tells the field; half of the power's share where it follows from SAR. [T]"""
    by_sar = isinstance(asked.request.level, SarLevel)
    return asked.uncertainty / 2 * asked.exposure.rms_b1_plus_t if by_sar else 0.0
