"""Limits while the scanner transmits: what was held against what, by which edition, and how far away it is."""

from collections.abc import Iterator
from functools import partial

from loopwright.dossier.findings import Answer, Cell, Column, Finding, Section, Table, computed
from loopwright.dossier.numbers import is_beyond, printed, printed_beyond, printed_position
from loopwright.dossier.transmit_words import NOTHING, UNIT_SYMBOLS, assessment_sentence, number_or_nothing
from loopwright.limits import Assessment, Limit, Spacing, Verdict, WhileTransmitting, margin_of

__all__ = ["limits_held_section"]

_SECTION = "held_limits"
_NAMED = 3
_MEANING = (
    "Met: the whole interval of the value keeps the limit. Not met: all of it lies beyond. Not assessed: the limit "
    "lies within the uncertainty, or there is no value. Margins are from the worse end of the interval, "
    "negative beyond the limit."
)
_LOCAL = (
    "Local SAR is told as a ratio with and without the array and has no row: its limits are written for local transmit "
    "coils."
)
_CAUTION = (
    "Each limit stands with the document in which it was read, or as common practice, or as from memory. Look it up in "
    "the edition in force. A limit that is met in a model says nothing on what was not modelled."
)
_figure = partial(
    computed, how="value held against the limit", because="the uncertainty stands with the value in limits.csv"
)


def limits_held_section(told: WhileTransmitting) -> Section:
    """Tell every limit that something was held against.

    Parameters
    ----------
    told : WhileTransmitting
        What was found.
    """
    return Section(
        anchor=_SECTION,
        title="Limits",
        prose=(_MEANING, _LOCAL, *(() if told.spacing is None else _spacing(told.spacing))),
        cautions=(_CAUTION,),
        answers=(_answer(told),) if told.assessments else (),
        findings=tuple(_findings(told)),
        tables=(
            *((_table(told), _sources(told)) if told.assessments else ()),
            *((_replaced(told),) if told.limit_set.replaced else ()),
            *((_spacings(told, told.spacing),) if told.spacing is not None else ()),
        ),
    )


def _spacing(spacing: Spacing) -> tuple[str, ...]:
    least = (
        f"The conductor comes closest to the skin in {spacing.element}: {printed(spacing.distance_m, 'm')} at "
        f"{printed_position(spacing.place_m)}; no point is closer than told by more than "
        f"{printed(spacing.missed_m, 'm', digits=2)}."
    )
    return least, *spacing.limits


def _answer(told: WhileTransmitting) -> Answer:
    by = {verdict: [one for one in told.assessments if one.verdict is verdict] for verdict in Verdict}
    counted = ", ".join(f"{len(by[verdict])} {verdict.value}" for verdict in Verdict)
    worst = by[Verdict.NOT_MET]
    named = " ".join(_capital(assessment_sentence(one)) for one in worst[:_NAMED])
    more = f" {len(worst) - _NAMED} more are not met." if len(worst) > _NAMED else ""
    open_ = ", ".join(dict.fromkeys(one.limit.name for one in by[Verdict.NOT_ASSESSED]))
    left = f" Not assessed: {open_}." if open_ else ""
    return Answer(
        question="Which limits are met?",
        answer=f"Of {len(told.assessments)} assessments {counted}. {named}{more}{left}".replace("  ", " "),
        section=_SECTION,
    )


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _table(told: WhileTransmitting) -> Table:
    return Table(
        name="limits",
        caption="Every limit, the value that was held against it with its half-width, and what that makes of it. "
        "Margins are in the unit of the limit, of a temperature in kelvin.",
        columns=(
            Column(title="limit"),
            Column(title="side"),
            Column(title="at"),
            Column(title="unit"),
            Column(title="value"),
            Column(title="±", digits=2),
            Column(title="margin", digits=2),
            Column(title="verdict"),
            Column(title="why"),
            Column(title="edition"),
        ),
        rows=tuple(tuple(_cells(one)) for one in told.assessments),
    )


def _cells(one: Assessment) -> Iterator[Cell]:
    limit = one.limit
    unit = UNIT_SYMBOLS.get(limit.unit, limit.unit) or "1"
    yield from (limit.name, limit.kind.value, number_or_nothing(limit.value), unit)
    if one.value is not None and is_beyond(one.value, limit.unit):
        yield from (printed_beyond(limit.unit).removesuffix(f" {unit}"), NOTHING, NOTHING)
    else:
        yield from (number_or_nothing(value) for value in (one.value, one.uncertainty, margin_of(one)))
    yield from (one.verdict.value, one.why, limit.edition)


def _sources(told: WhileTransmitting) -> Table:
    return Table(
        name="limits_sources",
        caption="Of what each limit is, where it was read, for whom and when it holds.",
        columns=tuple(Column(title=title) for title in ("limit", "of what", "source", "note")),
        rows=tuple(
            (limit.name, limit.quantity, str(limit.source), limit.note or NOTHING)
            for limit in {one.limit.name: one.limit for one in told.assessments}.values()
        ),
    )


def _replaced(told: WhileTransmitting) -> Table:
    def shown(limit: Limit) -> str:
        return f"{limit.value:g} {UNIT_SYMBOLS.get(limit.unit, limit.unit)}".strip()

    return Table(
        name="limits_replaced",
        caption="Limits of the brief that stand in the place of packaged ones.",
        columns=tuple(Column(title=title) for title in ("limit", "packaged", "its edition", "here", "edition here")),
        rows=tuple(
            (
                former.name,
                shown(former),
                former.edition,
                shown(told.limit_set.named(former.name)),
                told.limit_set.named(former.name).edition,
            )
            for former in told.limit_set.replaced
        ),
    )


def _spacings(told: WhileTransmitting, spacing: Spacing) -> Table:
    names = [element.name for element in told.conditions[0].answer.elements]
    return Table(
        name="spacing",
        caption="Least distance from the conductor of each element to the skin, as draped.",
        columns=(Column(title="element"), Column(title="least distance", unit="m", decimals=1)),
        rows=tuple((name, float(one)) for name, one in zip(names, spacing.each_m, strict=True)),
        rows_on_page=32,
    )


def _findings(told: WhileTransmitting) -> Iterator[Finding]:
    names = tuple(one.limit.name for one in told.assessments)
    yield _figure("held_limits.names", "limits", names, "")
    verdicts = tuple(one.verdict.value for one in told.assessments)
    yield _figure("held_limits.verdicts", "verdict on each", verdicts, "")
    for verdict in Verdict:
        key = verdict.value.replace(" ", "_")
        yield _figure(f"held_limits.{key}", f"limits {verdict.value}", verdicts.count(verdict.value), "")
    if told.spacing is not None:
        yield Finding(
            key="held_limits.spacing_m", label="least distance from conductor to skin",
            value=told.spacing.distance_m, unit="m", how="geometry of the array on the body", source="computed here",
            uncertainty=float(told.spacing.missed_m),
        )  # fmt: skip
