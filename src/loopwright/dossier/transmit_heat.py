"""What gets hot, and where to put the probes."""

from collections.abc import Iterator
from functools import partial

from loopwright.dossier.findings import Answer, Finding, Section, computed
from loopwright.dossier.numbers import (
    is_beyond,
    printed,
    printed_in_steps,
    printed_position,
    printed_to,
    printed_with_uncertainty,
)
from loopwright.dossier.transmit_heat_tables import heat_tables, place_words
from loopwright.heating.layers import GREATEST_C
from loopwright.heating.probes import ProbePlan
from loopwright.heating.spot import Place
from loopwright.limits import HotPlace, LimitName, SurfaceHeat, WhileTransmitting, margin_of

__all__ = ["heat_section"]

_SECTION = "transmit_heat"
_SKIN_LIMITS = (
    "Limits of surface temperature are those of adults' skin: they are not limits for a child, whose skin is thinner "
    "and bears less, and none for who is sedated or cannot speak."
)
_TISSUE = (
    "What the transmit field leaves in the tissue itself is not in these temperatures. Under an element that carries "
    "current it can be several times what it is without the array, and it warms the skin besides."
)
_START = (
    "A surface on the skin is warm before any power flows, so what may be added is the way from there to the limit, "
    "not from the temperature of the room."
)
#: Of a warm bore: rises over the air that would end beyond the model count from here. [degC]
_WARM_AIR_C = 30.0
_figure = partial(
    computed,
    how="heat conduction about each spot, layers to the skin and to the air, mean power of the sequence",
    because="not judged in this run",
)


def heat_section(told: WhileTransmitting) -> Section:
    """Tell hot spots, the coil as a whole, and the plan of the probes.

    Parameters
    ----------
    told : WhileTransmitting
        What was found, heat asked for.
    """
    return Section(
        anchor=_SECTION,
        title="What gets hot, and where to put the probes",
        prose=tuple(_prose(told)),
        cautions=(_SKIN_LIMITS, _TISSUE),
        answers=tuple(_answers(told)),
        findings=tuple(_findings(told)),
        tables=heat_tables(told),
        pictures=("transmit_probes",) if told.hot_places or told.probes is not None else (),
    )


def _prose(told: WhileTransmitting) -> Iterator[str]:
    limit = told.limit_set.named(LimitName.SURFACE)
    yield (
        f"{_START} It starts at {printed_to(told.surface_at_rest_c, 1)} °C here, which leaves "
        f"{printed_to(limit.value - told.surface_at_rest_c, 1)} K to the {limit.value:g} °C of {limit.edition}."
    )
    coil = told.whole_coil
    if coil is not None:
        yield (
            f"The coil as a whole takes up most in “{coil.case}”: {printed(coil.array_w)} W in parts and conductors, "
            f"{printed(coil.preamplifiers_w)} W in preamplifiers and {printed(coil.bias_w)} W in bias lines. Over "
            f"{printed(coil.area_m2, 'm^2')}, the outer face of the carrier within the outline of all conductors, it "
            f"warms by {_rise(coil.rise_after_k)} over the air after the sequence and by "
            f"{_rise(coil.rise_settled_k)} in the end, with a time constant of "
            f"{printed_in_steps(coil.time_constant_s, 's', digits=2)}, at one temperature throughout."
        )
    if told.probes is not None:
        yield f"Besides: {told.probes.reference}."
        yield from (f"No probe sees the hottest place of “{state}”." for state in told.probes.unseen)
        if told.probes.close_calls:
            yield (
                f"{len(told.probes.close_calls)} places without a probe may be as hot as the hottest of a state: "
                "below the probes, the hottest of them first."
            )


def _answers(told: WhileTransmitting) -> Iterator[Answer]:
    if told.hot_places:
        yield Answer(question="What gets how hot?", answer=_hottest(told, told.hot_places[0]), section=_SECTION)
    if told.probes is not None:
        probes = len(told.probes.probes) + 1
        yield Answer(
            question=f"Where do I put {probes} temperature probes?", answer=_places(told.probes), section=_SECTION
        )


def _hottest(told: WhileTransmitting, hot: HotPlace) -> str:
    surface, part = hot.places.get(Place.APPLIED_SURFACE), hot.places.get(Place.PART)
    where = f"The {hot.part} of {hot.element}, at {printed_position(hot.position_m)}, in “{hot.case}”"
    sentences = (
        f"{where}: {printed(hot.power_w)} W.",
        *(() if surface is None else (_over_time(told, surface),)),
        *(() if part is None else (f"The part itself comes to {_told(part, part.after_c)}.",)),
        *_verdicts(told),
    )
    return " ".join(sentences)


def _over_time(told: WhileTransmitting, surface: SurfaceHeat) -> str:
    limit = told.limit_set.named(LimitName.SURFACE)
    return (
        f"The surface that faces the skin comes to {_told(surface, surface.after_c)} after "
        f"{printed_in_steps(told.exposure.duration_s, 's')} and to {_told(surface, surface.settled_c)} in the end, "
        f"from {printed_to(surface.start_c, 1)} °C, against {limit.value:g} °C ({limit.edition})."
    )


def _verdicts(told: WhileTransmitting) -> Iterator[str]:
    """What that limit came to: once for the normal conditions and once for faults, where both were assessed."""
    sound = tuple(f"in the case {one.case.name!r}" for one in told.conditions)
    held = [one for one in told.assessments if one.limit.name == LimitName.SURFACE]
    for place, one in enumerate(held):
        # Bias that is missing everywhere is a condition of the list, and stands among the faults.
        whole = "Without bias" if place else "Nothing having failed"
        failed = whole if one.why.startswith(sound) else "With a single fault"
        margin = None if one.value is not None and is_beyond(one.value, one.limit.unit) else margin_of(one)
        left = "" if margin is None else f", margin {printed(margin, digits=2)} K"
        yield f"{failed}, that limit is {one.verdict.value}{left}: {one.why}."


def _told(heat: SurfaceHeat, value_c: float) -> str:
    return printed_with_uncertainty(value_c, heat.uncertainty_k, "degC")


def _rise(rise_k: float) -> str:
    """A rise over the air; none above one that would end beyond the model."""
    most_k = GREATEST_C - _WARM_AIR_C
    return f"> {most_k:g} K" if rise_k > most_k else f"{printed_to(rise_k, 1)} K"


def _places(plan: ProbePlan) -> str:
    named = "; ".join(
        f"{number}: {probe.place.element} {place_words(probe.place)}, at {printed_position(probe.place.position_m)}"
        for number, probe in enumerate(plan.probes, start=1)
    )
    return f"{named}; {len(plan.probes) + 1}: {plan.reference}."


def _findings(told: WhileTransmitting) -> Iterator[Finding]:
    yield _figure("transmit_heat.start_c", "surface on the patient without power", told.surface_at_rest_c, "degC")
    surfaces = [(hot, hot.places[Place.APPLIED_SURFACE]) for hot in told.hot_places
                if Place.APPLIED_SURFACE in hot.places]  # fmt: skip
    if surfaces:
        hot, surface = surfaces[0]
        yield _figure("transmit_heat.hottest", "hottest spot", f"{hot.element} {hot.part}", "")
        yield _figure("transmit_heat.hottest_in", "case in which it is hottest", hot.case, "")
        for key, label, value_c in (
            ("after_c", "its surface on the patient after the sequence", surface.after_c),
            ("settled_c", "the same in the end", surface.settled_c),
        ):
            yield Finding(key=f"transmit_heat.{key}", label=label, value=value_c, unit="degC",
                          how="heat conduction about the spot, in three dimensions", source="computed here",
                          uncertainty=float(surface.uncertainty_k))  # fmt: skip
        yield _figure("transmit_heat.time_constant_s", "its time constant", surface.time_constant_s, "s")
        yield _figure("transmit_heat.power_w", "power there, mean", hot.power_w, "W")
    if told.whole_coil is not None:
        rises = ((told.whole_coil.rise_after_k, "after"), (told.whole_coil.rise_settled_k, "settled"))
        for rise_k, when in rises:
            yield _figure(f"transmit_heat.whole_coil_{when}_k", f"rise of the whole coil over the air, {when}",
                          rise_k, "K")  # fmt: skip
    if told.probes is not None:
        yield _figure("transmit_heat.probes", "probes, without that for reference", len(told.probes.probes), "")
        yield _figure("transmit_heat.probe_places_m", "places of the probes",
                      tuple(probe.place.position_m for probe in told.probes.probes), "m")  # fmt: skip
