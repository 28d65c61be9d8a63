"""Tables of heat: hot spots, all places about them, the plan of the probes."""

from collections.abc import Iterator

from loopwright.dossier.findings import Cell, Column, Table
from loopwright.dossier.numbers import is_beyond
from loopwright.dossier.transmit_words import NOTHING, number_or_nothing
from loopwright.heating.probes import ProbePlace, ProbePlan
from loopwright.heating.spot import Place
from loopwright.limits import HotPlace, LimitName, SurfaceHeat, WhileTransmitting

__all__ = ["heat_tables", "place_words"]

_ROWS = 24
#: Close calls that the page prints.
_DOUBTS = 5


def heat_tables(told: WhileTransmitting) -> tuple[Table, ...]:
    """Hot spots by their surface on the patient, the places about each, and the probes."""
    return (
        *((_hot_spots(told), _places(told)) if told.hot_places else ()),
        *(() if told.probes is None else (_probes(told.probes),)),
        *(() if told.probes is None or not told.probes.close_calls else (_doubts(told.probes),)),
    )


def _hot_spots(told: WhileTransmitting) -> Table:
    limit = told.limit_set.named(LimitName.SURFACE)
    return Table(
        name="hot_spots",
        caption="The hottest spots, each in the case in which it is hottest: the surface that faces the skin, without "
        "power, after the sequence, and in the end. Both later temperatures have the half-width beside them. A place "
        "may be warmed by the parts beside it more than by its own power. Allowed: "
        f"what may be added until {limit.value:g} °C ({limit.edition}); for adults' skin.",
        columns=(
            Column(title="element"),
            Column(title="part"),
            Column(title="case"),
            Column(title="power", unit="W"),
            Column(title="start", unit="degC", decimals=1),
            Column(title="after", unit="degC", decimals=1),
            Column(title="settled", unit="degC", decimals=1),
            Column(title="±", unit="K", digits=2),
            Column(title="time constant", unit="s", digits=2),
            Column(title="rise after", unit="K", decimals=1),
            Column(title="allowed", unit="K", decimals=1),
            Column(title="part itself, after", unit="degC", decimals=1),
        ),
        rows=tuple(tuple(_hot_cells(hot, limit.value)) for hot in told.hot_places),
        rows_on_page=_ROWS,
    )


def _hot_cells(hot: HotPlace, limit_c: float) -> Iterator[Cell]:
    yield from (hot.element, hot.part, hot.case, hot.power_w)
    surface, part = hot.places.get(Place.APPLIED_SURFACE), hot.places.get(Place.PART)
    if surface is None:
        yield from (NOTHING,) * 7
    else:
        yield from _heat_cells(surface)
        # A rise to a temperature beyond the model is beyond it as well.
        yield NOTHING if is_beyond(surface.after_c, "degC") else number_or_nothing(surface.after_c - surface.start_c)
        yield number_or_nothing(limit_c - surface.start_c)
    yield NOTHING if part is None else number_or_nothing(part.after_c)


def _heat_cells(heat: SurfaceHeat) -> Iterator[Cell]:
    for value in (heat.start_c, heat.after_c, heat.settled_c, heat.uncertainty_k, heat.time_constant_s):
        yield number_or_nothing(value)


def _places(told: WhileTransmitting) -> Table:
    return Table(
        name="hot_spot_places",
        caption="All places about each hot spot, and where it lies in the body frame.",
        columns=(
            Column(title="element"),
            Column(title="part"),
            Column(title="x", unit="m", decimals=0),
            Column(title="y", unit="m", decimals=0),
            Column(title="z", unit="m", decimals=0),
            Column(title="place"),
            Column(title="start", unit="degC", decimals=1),
            Column(title="after", unit="degC", decimals=1),
            Column(title="settled", unit="degC", decimals=1),
            Column(title="±", unit="K", digits=2),
            Column(title="time constant", unit="s", digits=2),
        ),
        rows=tuple(
            (hot.element, hot.part, *hot.position_m, place.value, *_heat_cells(heat))
            for hot in told.hot_places
            for place, heat in hot.places.items()
        ),
        rows_on_page=_ROWS,
    )


def place_words(place: ProbePlace) -> str:
    """Part and place, once where both are called the same."""
    return place.part if place.name == place.part else f"{place.part}, {place.name}"


def _doubts(plan: ProbePlan) -> Table:
    more = len(plan.close_calls) - _DOUBTS
    return Table(
        name="probe_doubts",
        caption="Places without a probe that may, within the uncertainties, be as hot as the hottest of a state. Move "
        "a probe there, or measure again, where the built array differs from the model."
        + (f" And {more} more, in tables/probe_doubts.csv." if more > 0 else ""),
        columns=(Column(title="place and states"),),
        rows=tuple((f"{sentence}.",) for sentence in plan.close_calls),
        rows_on_page=_DOUBTS,
    )


def _probes(plan: ProbePlan) -> Table:
    return Table(
        name="probes",
        caption="Where to put the temperature probes, the most important first, in the body frame; what is expected "
        "there in the state in which it gets hottest, and why there. The last is for reference.",
        columns=(
            Column(title="probe"),
            Column(title="element"),
            Column(title="place"),
            Column(title="x", unit="m", decimals=0),
            Column(title="y", unit="m", decimals=0),
            Column(title="z", unit="m", decimals=0),
            Column(title="expected", unit="degC", decimals=1),
            Column(title="±", unit="K", digits=2),
            Column(title="reason"),
        ),
        rows=(
            *(
                (
                    number,
                    probe.place.element,
                    place_words(probe.place),
                    *probe.place.position_m,
                    number_or_nothing(probe.place.worst.temperature_c),
                    number_or_nothing(probe.place.worst.uncertainty_k),
                    probe.reason,
                )
                for number, probe in enumerate(plan.probes, start=1)
            ),
            (len(plan.probes) + 1, *(NOTHING,) * 7, plan.reference),
        ),
    )
