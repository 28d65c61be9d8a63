"""While the scanner transmits: field, body without the array, normal conditions, diodes."""

from collections.abc import Iterator
from functools import partial
from math import isfinite

from loopwright.dossier.findings import Answer, Finding, Section, asked_for, computed
from loopwright.dossier.numbers import printed, printed_as_given, printed_in_steps, printed_position, printed_to
from loopwright.dossier.transmit_faults import faults_section
from loopwright.dossier.transmit_heat import heat_section
from loopwright.dossier.transmit_limits import limits_held_section
from loopwright.dossier.transmit_maps import transmit_map_name
from loopwright.dossier.transmit_words import (
    assessment_sentence,
    change_percent,
    heat_was_asked,
    transmitted_in,
    worst_percent,
)
from loopwright.dossier.transmitting_tables import transmitting_tables
from loopwright.limits import CAUTIONS, CaseTold, LimitName, WhileTransmitting

__all__ = ["transmit_sections"]

_SECTION = "transmitting"
#: Who decides; what the limits are worth; what was left out: cautions of each kind stand together.
_KINDS = ((0, 2), (2, 7), (7, len(CAUTIONS)))
_GLOBAL_SAR = (
    LimitName.WHOLE_BODY_NORMAL,
    LimitName.WHOLE_BODY_FIRST,
    LimitName.HEAD,
    LimitName.PARTIAL_NORMAL,
    LimitName.PARTIAL_FIRST,
)
_HELD = (
    "Amplitudes count at the middle of the unloaded resonator, whose current is held whatever lies in it. Currents, "
    "voltages and ratings are told at the peak of the field, powers, SAR and temperatures for the rms."
)
_NO_HEAT = (
    "Heat was not asked for, so no temperature is told, no probe has a place, and no limit of temperature is assessed: "
    "write `heat` in the brief."
)
_HOW = "circuits on the whole array's ports, driven by the transmit field with the body in it"
_NOT_STUDIED = "tolerances and losses of parts under power are not known"
_figure = partial(computed, how=_HOW, because=_NOT_STUDIED)


def transmit_sections(told: WhileTransmitting) -> tuple[Section, ...]:
    """Tell what the array does while the scanner transmits, what gets hot, and what limits make of it.

    Parameters
    ----------
    told : WhileTransmitting
        What was found.

    Returns
    -------
    tuple of Section
        The field and the normal conditions, faults, heat where it was asked for, limits.
    """
    return (
        _conditions_section(told),
        faults_section(told),
        *((heat_section(told),) if heat_was_asked(told) else ()),
        limits_held_section(told),
    )


def _conditions_section(told: WhileTransmitting) -> Section:
    return Section(
        anchor=_SECTION,
        title="While the scanner transmits",
        prose=(
            *_field(told),
            *(
                assessment_sentence(one)
                for one in told.assessments
                if one.limit.name in _GLOBAL_SAR and one.value is not None
            ),
            *(() if heat_was_asked(told) else (_NO_HEAT,)),
        ),
        cautions=tuple(_cautions(first, end) for first, end in _KINDS),
        answers=tuple(_answers(told)),
        findings=tuple(_findings(told)),
        tables=transmitting_tables(told),
        pictures=(*(transmit_map_name(one.name) for one in told.maps), *(("transmit_onset",) if told.diodes else ())),
    )


def _cautions(first: int, end: int) -> str:
    return " ".join(caution.sentence for caution in CAUTIONS[first:end])


def _field(told: WhileTransmitting) -> Iterator[str]:
    exposure = told.exposure
    source = told.source[:1].upper() + told.source[1:].rstrip(".")
    yield (
        f"{source}, at {printed_as_given(told.frequency_hz, 'Hz')}, its middle at {printed_position(told.middle_m)} of "
        f"the body frame. B1+ reaches {printed(exposure.peak_b1_plus_t, 'T')} at its peak and "
        f"{printed(exposure.rms_b1_plus_t, 'T')} rms (B1+rms, as scanners print it) over a sequence that is played "
        f"for {printed_in_steps(exposure.duration_s, 's')}; the mean power is {printed(exposure.duty, digits=2)} of "
        f"that at the peak. {_HELD}"
    )
    yield f"The field is scaled by: {told.scaled_by}."
    yield f"It turns {told.sense}."
    yield f"Its electric field is {told.gauge}."


def _answers(told: WhileTransmitting) -> Iterator[Answer]:
    conditions = "; ".join(_b1_words(one) for one in transmitted_in(told))
    yield Answer(
        question="What does the array do to B1+?",
        answer=f"{conditions}, nothing having failed. All against the body without the array: mean of the region, and "
        "the one per cent of its voxels that changes most.",
        section=_SECTION,
    )
    if told.diodes:
        yield Answer(
            question="Above which B1+ do crossed diodes act, and which flip angles change below it?",
            answer=_onset(told),
            section=_SECTION,
        )


def _b1_words(one: CaseTold) -> str:
    mean, worst = printed_to(change_percent(one.b1.as_driven.mean), 1), printed_to(worst_percent(one.b1), 1)
    return f"{one.case.name}: {mean} %, worst {worst} %"


def _onset(told: WhileTransmitting) -> str:
    acting = sorted(one.acts_t for one in told.diodes if isfinite(one.acts_t))
    idle = len(told.diodes) - len(acting)
    peak = printed(told.exposure.peak_b1_plus_t, "T")
    below = max(told.diodes, key=lambda one: abs(one.b1_below - 1))
    flips = (
        f"Where the field is too weak for any diode, B1+ changes by {printed_to(change_percent(below.b1_below), 1)} % "
        f"in the mean ({below.condition}), and flip angles of weak pulses with it."
    )
    if not acting:
        return f"No pair conducts as well as what lies beside it, up to {peak}. {flips}"
    low, high = printed(acting[0], "T", digits=2), printed(acting[-1], "T", digits=2)
    span = f"From {low}" if low == high else f"From {low} to {high}, by pair and condition,"
    never = (
        f" In {idle} of {len(told.diodes)} rows of pair and condition the pair never conducts as well as what lies "
        f"beside it, up to {peak}."
    )
    return f"{span} peak B1+.{never if idle else ''} {flips}"


def _findings(told: WhileTransmitting) -> Iterator[Finding]:
    yield from _of_the_field(told)
    yield from _of_the_body(told)
    conditions = told.conditions
    yield _figure("transmit.condition_names", "normal conditions", tuple(one.case.name for one in conditions), "")
    yield _figure("transmit.condition_current_a", "largest current along any conductor in each, peak",
                  tuple(one.largest_current_a for one in conditions), "A")  # fmt: skip
    yield _figure("transmit.condition_array_w", "heat of parts and conductors in each, mean",
                  tuple(one.array_w for one in conditions), "W")  # fmt: skip
    yield _figure("transmit.condition_mean_b1", "mean of B1+ over that without the array in each",
                  tuple(one.b1.as_driven.mean for one in conditions), "1")  # fmt: skip
    yield _figure("transmit.condition_lowest_b1", "what one voxel in a hundred falls short of in each",
                  tuple(one.b1.as_driven.lowest_percent for one in conditions), "1")  # fmt: skip
    yield _figure("transmit.condition_highest_b1", "what one voxel in a hundred exceeds in each",
                  tuple(one.b1.as_driven.highest_percent for one in conditions), "1")  # fmt: skip
    if told.diodes:
        acts = tuple(one.acts_t for one in told.diodes)
        yield _figure("transmit.diodes_act_from_t", "peak B1+ from which each pair of crossed diodes acts", acts, "T")
    conditions_held = [h for h in told.pin_holds if h.state in {one.case.name for one in conditions}]
    if conditions_held:
        yield _figure("transmit.pin_hold_margin", "what the bias of a PIN diode holds over what it bears, least",
                      min(hold.margin for hold in conditions_held), "1")  # fmt: skip


def _of_the_field(told: WhileTransmitting) -> Iterator[Finding]:
    exposure, how = told.exposure, "as the brief asks"
    yield asked_for("transmit.source", "what transmits", told.source, "", how=how)
    yield asked_for("transmit.peak_b1_plus_t", "peak B1+", exposure.peak_b1_plus_t, "T", how=how)
    yield asked_for("transmit.rms_b1_plus_t", "B1+rms of the sequence", exposure.rms_b1_plus_t, "T", how=how)
    yield asked_for("transmit.duration_s", "for which it is played", exposure.duration_s, "s", how=how)


def _of_the_body(told: WhileTransmitting) -> Iterator[Finding]:
    alone, how = told.body_alone, "volume solution of the body in the transmit field, without the array"
    known = alone.absorbed_uncertainty_w
    yield Finding(
        key="transmit.absorbed_w", label="power that the body absorbs without the array",
        value=alone.sar.absorbed_w, unit="W", how=how, source="computed here", uncertainty=known,
        no_uncertainty_because="no second grid was solved" if known is None else None,
    )  # fmt: skip
    for key, label, value in (
        ("model_sar_w_per_kg", "SAR without the array, mean over the model", alone.sar.model_w_per_kg),
        ("partial_body_sar_w_per_kg", "partial-body SAR without the array", alone.sar.partial_body_w_per_kg),
        ("whole_body_sar_w_per_kg", "whole-body SAR without the array", alone.sar.whole_body_w_per_kg),
        ("local_sar_w_per_kg", "largest 10 g average without the array", alone.peak_local_w_per_kg),
    ):
        if value is not None:
            yield computed(f"transmit.{key}", label, value, "W/kg", how=how, because="that of the power holds for it")
    yield computed("transmit.local_sar_place_m", "where that lies", alone.peak_local_place_m, "m", how=how,
                   because="a cube of the grid")  # fmt: skip
    yield computed("transmit.mean_b1_in_region", "mean B1+ of the region over that of the empty resonator",
                   alone.mean_b1_in_region, "1", how=how, because="that of the power holds for it")  # fmt: skip
