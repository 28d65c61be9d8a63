"""Single faults while the scanner transmits, the worst first."""

from collections.abc import Iterator
from functools import partial
from math import isfinite, isnan

from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.states import Diodes
from loopwright.circuits.under_field.pin_hold import PinHold
from loopwright.dossier.findings import Answer, Cell, Column, Finding, Section, Table, computed
from loopwright.dossier.numbers import printed, printed_in_steps, printed_to
from loopwright.dossier.transmit_words import (
    NOTHING,
    change_percent,
    fault_and_place,
    local_sar_cell,
    noticed_words,
    number_or_nothing,
    ranked_cases,
    ratings_exceeded_cell,
    unplugged,
    worst_percent,
    worst_surface_words,
)
from loopwright.limits import CaseTold, RankedFault, WhileTransmitting

__all__ = ["faults_section"]

_SECTION = "transmit_faults"
_ROWS = 20
_NAMED = 3
_Ranked = tuple[RankedFault, CaseTold]
_ORDER = (
    "First come cases beyond a limit, by the part of its allowance that they use, the far end of every uncertainty "
    "counted: of temperature the way from the surface at rest to the limit, of B1+ that from no change. Then those "
    "with the least margin of temperature; then the others by the part of an allowance that they use."
)
_figure = partial(
    computed,
    how="the whole array solved with one thing wrong, every case of the list",
    because="not judged in this run",
)


def faults_section(told: WhileTransmitting) -> Section:
    """Tell every single fault, and what the worst of them does.

    Parameters
    ----------
    told : WhileTransmitting
        What was found.
    """
    ranked = ranked_cases(told)
    return Section(
        anchor=_SECTION,
        title="Single faults, worst first",
        prose=tuple(_prose(told, ranked)),
        answers=tuple(_answers(told, ranked)),
        findings=tuple(_findings(told, ranked)),
        tables=(_table(ranked),) if ranked else (),
        pictures=("transmit_faults",) if ranked else (),
    )


def _prose(told: WhileTransmitting, ranked: tuple[_Ranked, ...]) -> Iterator[str]:
    conditions = len(ranked) - len(told.faults)
    lies = sum(one.case.wearing is not Wearing.AS_DESIGNED for one in told.faults)
    worn = f", {lies} of them of how the carrier lies," if lies else ""
    yield (
        f"{len(told.faults)} single faults{worn} and {conditions} normal conditions in which the scanner transmits "
        f"were solved, each for the whole array. {_ORDER}"
    )
    averaged = sum(one.local_sar is not None for one in told.cases)
    out_of_place = sum(isnan(one.local_sar_ratio_bound) for one in told.cases)
    yield (
        f"Averages over 10 g were made for {averaged} cases; no other has one above "
        f"{printed(told.worst_sure_w_per_kg)} W/kg"
        + (f", but for {out_of_place} whose body was not solved anew and of which none is told" if out_of_place else "")
        + ". Temperatures are those of the cases that were looked at for heat; a row without one was not."
    )


def _answers(told: WhileTransmitting, ranked: tuple[_Ranked, ...]) -> Iterator[Answer]:
    faults, holds = [one for one in ranked if one[1] not in _normal(ranked)], told.pin_holds
    if faults:
        worst = _told(faults[0], holds)
        yield Answer(question="Which single fault is worst, and why?", answer=worst, section=_SECTION)
    without = [one for one in ranked if unplugged(one[1])]
    if without:
        first = without[0]
        same = f"The worst of all: {first[1].case.name}." if first is ranked[0] else _told(first, holds)
        answer = " ".join((same, *_without_fault(without)))
        yield Answer(question="Which unplugged state is worst?", answer=answer, section=_SECTION)
    unseen = [one for one in faults if noticed_words(one[1]) == "nothing"]
    if faults:
        doubtful = sum(noticed_words(case) == "cannot be told" for _, case in faults)
        answer = _unseen(unseen, len(faults)) + (f" Of {doubtful} it cannot be told." if doubtful else "")
        yield Answer(question="Which faults does nothing notice?", answer=answer, section=_SECTION)


def _normal(ranked: tuple[_Ranked, ...]) -> list[CaseTold]:
    return [told for _, told in ranked if noticed_words(told) == "not applicable"]


def _told(one: _Ranked, holds: tuple[PinHold, ...]) -> str:
    ranked, told = one
    name = told.case.name
    sentences = (
        f"{name[:1].upper()}{name[1:]}.",
        _allowance(ranked),
        _comes_to(ranked, told),
        _beyond(told),
        *_fuse(told),
        *_pins_overcome(told, holds),
        f"Noticed by: {noticed_words(told)}.",
        *told.notes,
    )
    return " ".join(sentences)


def _without_fault(without: list[_Ranked]) -> Iterator[str]:
    """Of the unplugged states in which nothing failed the worst, where a fault stands before it."""
    sound = [one for one in without if noticed_words(one[1]) == "not applicable"]
    if sound and sound[0] is not without[0]:
        ranked, told = sound[0]
        yield f"Without any fault, {told.case.name}, rank {ranked.rank}: {_allowance(ranked)} {_comes_to(ranked, told)}"


def _allowance(ranked: RankedFault) -> str:
    if not ranked.used_of:
        return "No limit could be held against it."
    if not isfinite(ranked.used):
        return f"“{ranked.used_of}” allows it nothing."
    return f"It uses {100 * ranked.used:.0f} % of what “{ranked.used_of}” allows."


def _comes_to(ranked: RankedFault, told: CaseTold) -> str:
    surface, local = worst_surface_words(ranked), local_sar_cell(told)
    heat = f"the hottest surface on the patient comes to {surface} in the end" if surface else "no heat was computed"
    return (
        f"{printed(told.largest_current_a)} A peak flow in {told.largest_current_in}, {heat}, B1+ changes by "
        f"{printed_to(change_percent(told.b1.as_driven.mean), 1)} % in the mean and "
        f"{printed_to(worst_percent(told.b1), 1)} % in the worst one per cent of the region, the largest 10 g average "
        f"is {local if isinstance(local, str) else printed(local)} times that without the array."
    )


def _beyond(told: CaseTold) -> str:
    beyond = told.ratings_exceeded
    if told.rating_over_stress is None:
        return "No part has a rating that it could be held against."
    if not beyond:
        return "No part bears more than its rating."
    more = f" and {len(beyond) - _NAMED} more" if len(beyond) > _NAMED else ""
    return f"Beyond their rating: {', '.join(beyond[:_NAMED])}{more}."


def _fuse(told: CaseTold) -> Iterator[str]:
    """Whether a fuse opens, where there are fuses."""
    times_s = [part.opens_after_s for element in told.answer.elements for part in element.parts]
    if isfinite(told.fuse_opens_after_s):
        opens = printed_in_steps(told.fuse_opens_after_s, "s", digits=2)
        yield f"A fuse opens after {opens}: all this is told before, and temperatures as if it stayed whole."
    elif not all(isnan(time_s) for time_s in times_s):
        yield "No fuse opens."


def _pins_overcome(told: CaseTold, holds: tuple[PinHold, ...]) -> Iterator[str]:
    """The PIN diode that stands farthest above the voltage up to which it blocks in the case's condition."""
    borne = [
        (part.voltage_v / hold.allowed, part.voltage_v, hold, element.name)
        for hold in holds
        if hold.state in (told.case.family, told.case.name) and hold.diodes is Diodes.BLOCK
        for element in told.answer.elements[hold.element : hold.element + 1]
        for part in element.parts
        if part.name == hold.part and not _failed(told, hold)
    ]
    over, voltage_v, hold, name = max(borne, key=lambda one: one[0], default=(0.0, 0.0, None, ""))
    if hold is not None and over > 1:
        yield (
            f"{hold.part} of {name} would have to block {printed(voltage_v, 'V')} peak and does so up to "
            f"{printed(hold.allowed, 'V')}: beyond that it conducts or breaks down, which is not in these figures, so "
            "its own heat is not known."
        )


def _failed(told: CaseTold, hold: PinHold) -> bool:
    return any(getattr(fault, "part", "") == hold.part for fault in told.case.states[hold.element].faults)


def _unseen(unseen: list[_Ranked], faults: int) -> str:
    if not unseen:
        return f"None of the {faults} goes unnoticed for certain."
    named = "; ".join(told.case.name for _, told in unseen[:_NAMED])
    return (
        f"{len(unseen)} of {faults}, the worst of them: {named}. A fault that nothing notices stays until a second one "
        "meets it."
    )


def _table(ranked: tuple[_Ranked, ...]) -> Table:
    return Table(
        name="transmit_faults",
        caption="One thing wrong, all else as the condition says; normal conditions stand among them. Current: "
        "largest along any conductor, peak. Surface: hottest on the patient in the end, and its half-width. "
        "B1+ against no array: mean of the region, and the one per cent of voxels that changes most. 10 g: largest "
        "average over that without the array; “at most” is a bound. Used: part of the allowance of the limit named "
        f"beside it. A row with a fuse that opens tells the array before that, its temperatures as if it stayed whole. "
        f"“{NOTHING}”: not computed, or none.",
        columns=(
            Column(title="rank"),
            Column(title="fault"),
            Column(title="condition"),
            Column(title="where"),
            Column(title="current, peak", unit="A"),
            Column(title="surface", unit="degC", decimals=1),
            Column(title="±", unit="K", digits=2),
            Column(title="B1+ mean [%]", decimals=1),
            Column(title="B1+ worst 1 % [%]", decimals=1),
            Column(title="10 g ratio [1]", decimals=2),
            Column(title="ratings exceeded"),
            Column(title="fuse opens after", unit="s", digits=2),
            Column(title="noticed by"),
            Column(title="used [%]", decimals=0),
            Column(title="of the limit"),
        ),
        rows=tuple(tuple(_cells(one, told)) for one, told in ranked),
        rows_on_page=_ROWS,
    )


def _cells(one: RankedFault, told: CaseTold) -> Iterator[Cell]:
    fault, where = fault_and_place(told)
    yield from (one.rank, fault, told.case.family, where)
    yield told.largest_current_a
    yield number_or_nothing(one.row.surface_c)
    yield number_or_nothing(one.row.surface_uncertainty_c)
    yield number_or_nothing(change_percent(told.b1.as_driven.mean))
    yield number_or_nothing(worst_percent(told.b1))
    yield local_sar_cell(told)
    yield ratings_exceeded_cell(told)
    yield number_or_nothing(told.fuse_opens_after_s)
    yield noticed_words(told)
    yield _used_cell(one)
    yield one.used_of or NOTHING


def _used_cell(one: RankedFault) -> Cell:
    """Part of an allowance in per cent; in words where nothing is allowed."""
    if not one.used_of:
        return NOTHING
    return 100 * one.used if isfinite(one.used) else "allows nothing"


def _findings(told: WhileTransmitting, ranked: tuple[_Ranked, ...]) -> Iterator[Finding]:
    yield _figure("transmit_faults.number", "single faults", len(told.faults), "")
    if not ranked:
        return
    worst, case = ranked[0]
    yield _figure("transmit_faults.worst", "worst case", case.case.name, "")
    yield _figure("transmit_faults.worst_uses", "part of an allowance that it uses", worst.used, "1")
    yield _figure("transmit_faults.worst_limit", "limit whose allowance that is", worst.used_of or "none", "")
    without = next((one.case.name for _, one in ranked if unplugged(one)), "none")
    yield _figure("transmit_faults.worst_unplugged", "worst case unplugged", without, "")
    unseen = sum(noticed_words(one) == "nothing" for _, one in ranked)
    yield _figure("transmit_faults.unnoticed", "faults that nothing notices", unseen, "")
    yield _figure("transmit_faults.names", "cases, the worst first", tuple(one.case.name for _, one in ranked), "")
    currents = tuple(one.largest_current_a for _, one in ranked)
    yield _figure("transmit_faults.current_a", "largest current along any conductor in each, peak", currents, "A")
    uses = tuple(one.used for one, _ in ranked)
    yield _figure("transmit_faults.uses", "part of an allowance that each uses", uses, "1")
