"""Every limit for which something was computed, held against it; and those for which nothing was."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import isfinite

from loopwright.brief.records.transmit import OperatingMode
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.ground.sources import Flag, Source
from loopwright.limits.assessing import assess, not_met_by_estimate, worst_of
from loopwright.limits.case_told import CaseTold
from loopwright.limits.limit import Assessment, Limit, LimitKind, Verdict
from loopwright.limits.limit_set import LimitName, LimitSet
from loopwright.limits.ranking import RankedFault
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.global_sar import GlobalSar

__all__ = [
    "JudgedSar",
    "b1_assessments",
    "bias_assessments",
    "rest_not_assessed",
    "rms_assessment",
    "sar_assessments",
    "worst_over_cases",
]

#: A model that holds at least this part of the patient counts as the whole of it.
_WHOLE = 0.95
#: From this duration on the limit for ten minutes counts. [s]
_LONG_S = 600.0
#: Lifetimes of PIN diodes differ by a factor of two between lots; half of a margin either way (common practice).
_LOTS = 0.5
#: In the order of the assessments of a ranked fault.
_RANKED = (LimitName.SURFACE, LimitName.MEAN_B1, LimitName.LEAST_B1, LimitName.GREATEST_B1, LimitName.RATING)


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSar:
    """Global SAR of the case in which the body takes up most.

    Attributes
    ----------
    case : str
    sar : GlobalSar
    uncertainty : float or None
        Half-width over the value, from a second grid; None where none was solved.
    head : str
        Name of the part that is a whole head; empty for every other body.
    estimated_because : str
        Why the power is an estimate, of which no limit is said to be met; empty where it is none.
    """

    case: str
    sar: GlobalSar
    uncertainty: float | None
    head: str = ""
    estimated_because: str = ""

    def of(self, value: float) -> float | None:
        """Half-width of a SAR [W/kg]. [W/kg]"""
        return None if self.uncertainty is None else self.uncertainty * value


def sar_assessments(
    limits: LimitSet, judged: JudgedSar, *, mode: OperatingMode, ambient_temperature_c: float
) -> Iterator[Assessment]:
    """Whole-body, partial-body and head SAR in the operating mode of the brief.

    Parameters
    ----------
    limits : LimitSet
    judged : JudgedSar
    mode : str
        Operating mode of the scanner.
    ambient_temperature_c : float
        Of the room. [degC]

    Notes
    -----
    Where the model is a part of the patient the whole-body SAR is at least the value, so that it cannot be met; and the
    exposed mass of the patient is not less than the model's, so that the partial-body limit lies between that of the
    model's share and that of a body exposed as a whole: both have to agree.
    """
    for found in _sar_assessments(limits, judged, mode, ambient_temperature_c):
        yield not_met_by_estimate(found, judged.estimated_because)


def _sar_assessments(
    limits: LimitSet, judged: JudgedSar, mode: OperatingMode, ambient_temperature_c: float
) -> Iterator[Assessment]:
    sar, why = judged.sar, f"largest in the case {judged.case!r}"
    whole = limits.whole_body(mode, ambient_temperature_c=ambient_temperature_c)
    value = sar.whole_body_w_per_kg
    if value is None:
        yield assess(whole, None, uncertainty=None, why="nobody told the mass of the patient")
    else:
        found = assess(whole, value, uncertainty=judged.of(value), why=why)
        part = sar.patient_mass_kg is not None and sar.model_mass_kg < _WHOLE * sar.patient_mass_kg
        yield not_met_by_estimate(
            found,
            "only the part of the patient that was modelled takes up power: it is this or more" if part else "",
        )
    yield _partial(limits, judged, mode=mode, why=why)
    head = limits.named(LimitName.HEAD)
    if judged.head:
        yield assess(head, sar.model_w_per_kg, uncertainty=judged.of(sar.model_w_per_kg), why=why)
    else:
        yield assess(head, None, uncertainty=None, why="the model is not that of a head")


def _partial(limits: LimitSet, judged: JudgedSar, *, mode: OperatingMode, why: str) -> Assessment:
    sar, value = judged.sar, judged.sar.partial_body_w_per_kg
    if sar.exposed_share is None:
        any_share = limits.partial_body(mode, exposed_share=1.0)
        return assess(any_share, None, uncertainty=None, why="nobody told the mass of the patient")
    ends = [
        assess(limits.partial_body(mode, exposed_share=share), value, uncertainty=judged.of(value), why=why)
        for share in (1.0, sar.exposed_share)
    ]
    if sar.patient_mass_kg is not None and sar.model_mass_kg >= _WHOLE * sar.patient_mass_kg:
        return ends[1]
    if ends[0].verdict is ends[1].verdict:  # met by the lower limit, or beyond the higher one: then told by that
        return ends[0] if ends[0].verdict is Verdict.MET else ends[1]
    because = "the limit depends on the exposed mass of the whole patient, of whom a part was modelled"
    return replace(ends[1], verdict=Verdict.NOT_ASSESSED, why=f"{ends[1].why}; {because}")


def b1_assessments(limits: LimitSet, told: CaseTold) -> Iterator[Assessment]:
    """Change of the transmit reference in one condition."""
    limit = limits.named(LimitName.REFERENCE)
    change = 100 * abs(told.b1.adjustment - 1)
    yield assess(limit, change, uncertainty=None, why=f"by the mean of B1+ over the region, {told.case.name}")


def worst_over_cases(
    ranked: Sequence[RankedFault], conditions: Sequence[str], *, duration_s: float, limits: LimitSet
) -> Iterator[Assessment]:
    """Surface, B1+ and ratings: the worst of the normal conditions, and the worst of all single faults.

    Parameters
    ----------
    ranked : sequence of RankedFault
        All cases.
    conditions : sequence of str
        Names of the normal conditions among them.
    duration_s : float
        Of the sequence. [s]
    limits : LimitSet
    """
    normal = [one for one in ranked if one.row.name in conditions]
    faulty = [one for one in ranked if one.row.name not in conditions]
    for place, _ in enumerate(_RANKED):
        for several in (normal, faulty):
            if several:
                yield _rating_told(_worst([one.assessments[place] for one in several]))
    if duration_s >= _LONG_S:
        limit = limits.named(LimitName.SURFACE_LONG)
        for several in (normal, faulty):
            if several:
                yield _worst([_for_long(limit, one) for one in several])


def _for_long(limit: Limit, one: RankedFault) -> Assessment:
    computed = one.assessments[0].value is not None
    why = f"{'in' if computed else 'not computed in'} the case {one.row.name!r}"
    return assess(limit, one.row.surface_c, uncertainty=one.row.surface_uncertainty_c, why=why)


def _worst(several: Sequence[Assessment]) -> Assessment:
    """The worst of those with a value; others keep it from being met and do not hide it."""
    known = [one for one in several if one.value is not None]
    missing = [one.why for one in several if one.value is None]
    if not known or not missing:
        return worst_of(several)
    more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
    return not_met_by_estimate(worst_of(known), f"{missing[0]}{more}")


def _rating_told(found: Assessment) -> Assessment:
    if found.limit.name != LimitName.RATING or found.value is not None:
        return found
    return replace(found, why="the circuit of the brief gives no part a rating")


def rms_assessment(exposure: Exposure, *, largest_b1_rms_t: float, uncertainty_t: float) -> Assessment:
    """The rms field of the sequence against the largest of the scanner.

    Parameters
    ----------
    exposure : Exposure
    largest_b1_rms_t : float
        Of the scanner. [T]
    uncertainty_t : float
        Half-width of the rms field, nought where the brief tells it. [T]
    """
    limit = Limit(
        name="largest B1+ rms of the scanner",
        quantity="B1+ rms of the sequence",
        kind=LimitKind.AT_MOST,
        value=1e6 * largest_b1_rms_t,
        unit="uT",
        edition="the scanner, as the brief tells it",
        source=Source(key="", where="the brief: largest_b1_rms", flag=Flag.ASKED),
    )
    return assess(limit, 1e6 * exposure.rms_b1_plus_t, uncertainty=1e6 * uncertainty_t, why="the level of the brief")


def bias_assessments(
    limits: LimitSet, normal: Sequence[PinHold], faulty: Sequence[PinHold], recovery: Sequence[PinRecovery]
) -> Iterator[Assessment]:
    """Whether bias holds PIN diodes, in normal conditions and where it is lost, and whether they recover in time."""
    limit = Limit(
        name="PIN diode held by its bias",
        quantity="what the bias holds over what the field puts on the diode, least of all",
        kind=LimitKind.AT_LEAST,
        value=1.0,
        unit="1",
        edition="common practice",
        source=Source(key="", where="charge of the bias against that of a half-wave", flag=Flag.COMMON_PRACTICE),
    )
    for holds in (normal, faulty):
        if holds:
            worst = min(holds, key=lambda hold: hold.margin)
            off = _LOTS * worst.margin if isfinite(worst.margin) else None
            yield assess(limit, worst.margin, uncertainty=off, why=worst.sentence)
    if not normal:
        yield assess(limit, None, uncertainty=None, why="no bias line of the brief serves a PIN diode")
    turn_off = limits.named(LimitName.TURN_OFF)
    if not recovery:
        yield assess(turn_off, None, uncertainty=None, why="the brief describes no bias line")
        return
    slowest = min(recovery, key=lambda one: one.margin)
    asked = replace(
        turn_off,
        value=1e6 * slowest.allowed_s,
        edition="the scanner, as the brief tells it",
        source=Source(key="", where="the brief: interface.turn_off", flag=Flag.ASKED),
    )
    if not isfinite(slowest.takes_s):
        yield assess(asked, None, uncertainty=None, why=slowest.sentence)
        return
    takes_us = 1e6 * slowest.takes_s
    yield assess(asked, takes_us, uncertainty=_LOTS * takes_us, why="the slowest bias line; chokes and cable add to it")


def rest_not_assessed(limits: LimitSet, done: Sequence[Assessment]) -> Iterator[Assessment]:
    """Limits of the set for which nothing was computed."""
    others = (
        LimitName.WHOLE_BODY_NORMAL,
        LimitName.WHOLE_BODY_FIRST,
        LimitName.PARTIAL_NORMAL,
        LimitName.PARTIAL_FIRST,
    )
    told = {one.limit.name for one in done}
    for limit in limits.limits:
        if limit.name not in told and limit.name not in others:
            yield assess(limit, None, uncertainty=None, why="nothing is computed for it")
