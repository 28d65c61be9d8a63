"""What is bought, how far trimmers have to reach, and what to turn: the part of the dossier for the bench."""

from math import isfinite

from loopwright.circuits import CircuitOutcome
from loopwright.circuits.purchase import Purchase
from loopwright.circuits.values.preferred_values import Ladder, Series
from loopwright.dossier.findings import Cell, Column, Finding, Section, Table
from loopwright.dossier.numbers import printed
from loopwright.dossier.turning import sensitivity_table, turn_table, turning_section

__all__ = ["buying_section"]

#: How far off the rule of the bench is told for. [Hz]
_FOUND_OFF_HZ = 1e6


def buying_section(outcome: CircuitOutcome, element_names: tuple[str, ...]) -> Section:
    """Tell what the values on offer cost, the trimmers' ranges, and what to turn when an element is found off.

    Parameters
    ----------
    outcome : CircuitOutcome
        The array with its circuits.
    element_names : tuple of str
        Names of the elements.
    """
    bought = outcome.bought
    found = turning_section(
        outcome.synthesis,
        snapped=bought.snapped,
        tables=(
            *((_trimmers(bought, element_names),) if bought.ranges else ()),
            *((turn_table(bought.turns, element_names),) if bought.turns else ()),
            sensitivity_table(bought.moves, element_names),
        ),
        remarks=(_chosen(bought), *_off(bought)),
    )
    return Section(
        anchor=found.anchor,
        title=found.title,
        prose=found.prose,
        findings=(*found.findings, *_reach(bought), *_per_cent(bought)),
        tables=found.tables,
    )


def _chosen(bought: Purchase) -> str:
    said = [f"{name} {_offer(of)}" for name, of in bought.choices.items()]
    said += [f"{name} stays a trimmer" for name in bought.trimmed]
    said += [f"{name} is made to its value" for name in bought.made]
    if not said:
        return "No value was found, so none is exchanged for one on offer."
    return f"In place of the values found: {'; '.join(said)}. Given values stay as given."


def _offer(of: Series | Ladder) -> str:
    return (
        f"from the series {of.name}"
        if isinstance(of, Series)
        else f"in steps of {printed(of.step, 'F')}, its finest tab"
    )


def _off(bought: Purchase) -> tuple[str, ...]:
    high = {name: by for name, by in bought.off.items() if by > 1}
    if not high or not bought.turns:
        return ()
    cut = " A printed capacitor can only be cut." if bought.printed else ""
    parts = ", ".join(f"{name} by {100 * (by - 1):.2g} %" for name, by in high.items())
    return (
        (
            f"The list of turns is for an element whose fixed capacitors are all high ({parts}), the others as they "
            "shall be: “before” is what the bench then shows. Found high in frequency instead, turn the other way by "
            f"about as much.{cut}"
        ),
    )


def _trimmers(bought: Purchase, names: tuple[str, ...]) -> Table:
    moves = {(one.element, one.part): one.dip_hz for one in bought.moves}
    rows: list[tuple[Cell, ...]] = []
    for one in bought.ranges:
        per_cent_hz = moves[one.element, one.part]
        by = _FOUND_OFF_HZ / per_cent_hz if per_cent_hz else float("inf")
        reached = isfinite(one.most_f)
        rows.append(
            (
                names[one.element],
                one.part,
                one.set_f,
                one.least_f if reached else "no reach",
                one.most_f if reached else "no reach",
                per_cent_hz,
                by,
                one.set_f * by / 100,
            )
        )
    return Table(
        name="trimmers",
        caption="Where each trimmer stands, and the range that it needs for the tolerances of all other parts of its "
        "element, off in the same direction. And by how much to turn it, to first order, where the best match of the "
        "element is found 1 MHz too low.",
        columns=(
            Column(title="element"),
            Column(title="trimmer"),
            Column(title="set to", unit="F", digits=4),
            Column(title="needs from", unit="F", digits=4),
            Column(title="to", unit="F", digits=4),
            Column(title="best match moves per %", unit="Hz"),
            Column(title="found 1 MHz low: turn by [%]", digits=2),
            Column(title="that is", unit="F", digits=2),
        ),
        rows=tuple(rows),
    )


def _reach(bought: Purchase) -> tuple[Finding, ...]:
    if not bought.ranges:
        return ()
    worst = max(one.most_f / one.set_f - 1 for one in bought.ranges)
    return (
        Finding(
            key="turning.trimmer_reach",
            label="reach that a trimmer needs to either side, relative, largest of all",
            value=worst,
            unit="1",
            how="linear bound: moves of best match by the tolerances of the element's other parts, over its own",
            source="computed here",
            no_uncertainty_because="a bound of first order; strays and the spread of the load come on top",
        ),
    )


def _per_cent(bought: Purchase) -> tuple[Finding, ...]:
    """By how much the first part that can be turned moves best match, element by element."""
    moves = {(one.element, one.part): one.dip_hz for one in bought.moves}
    first = [
        next((moves[e, name] for name in bought.adjustable if (e, name) in moves), float("nan"))
        for e in range(len(bought.circuits))
    ]
    return (
        Finding(
            key="turning.best_match_per_percent_hz",
            label="move of the frequency of best match for one per cent more of the part to turn first",
            value=tuple(first),
            unit="Hz",
            how="first order, all other parts and elements as they are",
            source="computed here",
            no_uncertainty_because="of first order; leads and pads of parts are not in it",
        ),
    )
