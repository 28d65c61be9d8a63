"""From cases in their order to all that is told, limits first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from loopwright import conductors, limits
from loopwright.brief.records import HeadRequest, PatientRequest, SarLevel
from loopwright.circuits.states import ElementState
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.fields.rotating import transmit_component
from loopwright.ground.errors import OutsideModelError
from loopwright.limits import judged
from loopwright.limits.diodes_told import diodes_followed, loses_bias, onset_curves, pins_held, pins_recover
from loopwright.limits.heat_of_brief import coil_as_a_whole
from loopwright.limits.hot_places import hottest_of_all, probes_for
from loopwright.limits.taken_for_granted import granted, largest_b1_rms_t, not_described
from loopwright.transmission.closer import Found, limit_set_of
from loopwright.transmission.question import Asked
from loopwright.transmission.worn_lies import WornLies
from loopwright.transmit.field_words import gauge_words, level_words, sense_words
from loopwright.transmit.lie import Lie

__all__ = ["outcome_of"]

#: Hot places that are told of all cases together.
_OF_ALL = 12
_ICE_K = 273.15
#: Of the room, where the brief says nothing of heat. [degC]
_ROOM_C = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pins:
    """PIN diodes against their bias, in normal conditions and where it is lost; and how fast they recover."""

    normal: tuple[PinHold, ...]
    faulty: tuple[PinHold, ...]
    recovery: tuple[PinRecovery, ...]

    @property
    def all_holds(self) -> tuple[PinHold, ...]:
        return tuple(sorted(self.normal + self.faulty, key=lambda hold: hold.margin))


def outcome_of(
    asked: Asked,
    lie: Lie,
    found: Found,
    states: Sequence[ElementState],
    dressed: conductors.DressedLayout,
    worn: WornLies,
) -> limits.WhileTransmitting:
    """Put together what is told."""
    request, heat, elements = asked.request, found.heat, dressed.layout.elements
    peak_t = asked.exposure.peak_b1_plus_t
    conditions = tuple(one for one in found.told if not one.case.failed)
    diodes = diodes_followed(lie, states, peak_t=peak_t, region=asked.region)
    pins = _pins(asked, lie, found, states)
    assessments = tuple(_assessments(asked, found, states, pins))
    warm, stack = asked.brief.heat, asked.stack
    ranked_names = {one.row.name for one in found.ranked}
    possible = [one for one in found.told if one.case.name in ranked_names]
    return limits.WhileTransmitting(
        source=asked.source.name,
        scaled_by=level_words(request.level),
        sense=sense_words(asked.source.sense),
        gauge=gauge_words(request.resonator),
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
        diodes=diodes,
        onset_curves=onset_curves(lie, states, from_t=_weakest_t(diodes, peak_t), peak_t=peak_t, region=asked.region),
        pin_holds=pins.all_holds,
        pin_recovery=pins.recovery,
        hot_places=() if heat is None else hottest_of_all(heat, found.with_temperature, _OF_ALL),
        surface_at_rest_c=float("nan") if heat is None else heat.at_rest_c,
        whole_coil=None
        if warm is None or stack is None
        else coil_as_a_whole(warm, stack, elements, possible, lines=asked.lines, duration_s=request.duration_s),
        probes=None if heat is None or warm is None else probes_for(heat, found.hottest, probes=warm.probes),
        maps=found.maps,
        limits=(*granted(lie, heat), *worn.granted),
        not_described=(*not_described(asked.brief, asked.check), *worn.refused),
    )


def _weakest_t(diodes: Sequence[limits.DiodeFollowed], peak_t: float) -> float:
    """A third of the field at which the first pair begins to act, or of the peak. [T]"""
    return min([*(one.acts_t for one in diodes), peak_t]) / 3


def _pins(asked: Asked, lie: Lie, found: Found, states: Sequence[ElementState]) -> _Pins:
    if asked.check is None:
        return _Pins(normal=(), faulty=(), recovery=())
    cases, names, peak_t = [one.case for one in found.told], [s.name for s in states], asked.exposure.peak_b1_plus_t
    normal = [case for case in cases if case.name in names]
    faulty = [case for case in cases if case.failed and loses_bias(case)]
    return _Pins(
        normal=pins_held(lie.driven, normal, check=asked.check, peak_t=peak_t),
        faulty=pins_held(lie.driven, faulty, check=asked.check, peak_t=peak_t),
        recovery=pins_recover(asked.check),
    )


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
    pins: _Pins,
) -> Iterator[limits.Assessment]:
    limit_set, names = limit_set_of(asked.brief), [state.name for state in states]
    told = list(judged.worst_over_cases(found.ranked, names, duration_s=asked.request.duration_s, limits=limit_set))
    for several in _normal_and_faulty(found, names):
        told += _sar(asked, limit_set, several)
    plugged = next(one for one in found.told if one.case.name == names[0])
    told += judged.b1_assessments(limit_set, plugged)
    told.append(limits.assess_spacing(asked.spacing, limit_set))
    if (largest_t := largest_b1_rms_t(asked.request, asked.brief.interface)) is not None:
        told.append(
            judged.rms_assessment(asked.exposure, largest_b1_rms_t=largest_t, uncertainty_t=_rms_uncertainty_t(asked))
        )
    told += judged.bias_assessments(limit_set, pins.normal, pins.faulty, pins.recovery)
    yield from told
    yield from judged.rest_not_assessed(limit_set, told)


def _normal_and_faulty(found: Found, names: Sequence[str]) -> Iterator[tuple[limits.CaseTold, ...]]:
    """Conditions in which the scanner transmits, and faults, bias that is missing everywhere among them."""
    ranked = {one.row.name for one in found.ranked}
    for several in (
        tuple(one for one in found.told if one.case.name in names),
        tuple(one for one in found.told if one.case.name in ranked.difference(names)),
    ):
        if several:
            yield several


def _sar(asked: Asked, limit_set: limits.LimitSet, cases: Sequence[limits.CaseTold]) -> Iterator[limits.Assessment]:
    """Global SAR of the case among these in which the body takes up most."""
    most, heat = max(cases, key=lambda one: one.absorbed_w), asked.brief.heat
    sar = judged.JudgedSar(
        case=most.case.name,
        sar=asked.global_sar(most.absorbed_w),
        uncertainty=asked.uncertainty,
        head=_head(asked),
        estimated_because=most.estimated_because,
    )
    mode = asked.request.scanner_limits.operating_mode
    ambient_c = _ROOM_C if heat is None else heat.ambient_temperature_k - _ICE_K
    return judged.sar_assessments(limit_set, sar, mode=mode, ambient_temperature_c=ambient_c)


def _head(asked: Asked) -> str:
    body = asked.brief.body
    is_head = isinstance(body, HeadRequest) or (isinstance(body, PatientRequest) and body.part == "head")
    return asked.sar.body.name if is_head else ""


def _rms_uncertainty_t(asked: Asked) -> float:
    """Nought where the brief tells the field; half of the power's share where it follows from SAR. [T]"""
    by_sar = isinstance(asked.request.level, SarLevel)
    return asked.uncertainty / 2 * asked.exposure.rms_b1_plus_t if by_sar else 0.0
