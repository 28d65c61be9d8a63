"""Tables of states and faults: traps, failed parts, crossed diodes, PIN diodes."""

from collections.abc import Mapping, Sequence
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits import ArrayUnderField
from loopwright.circuits.under_field.single_faults import SingleFault
from loopwright.dossier.findings import Cell, Column, Table

__all__ = ["PRACTICE_DB", "fault_table", "onset_table", "pin_table", "practice_word", "ranked_faults", "trap_table"]

#: Isolation of a detuned loop that the trade asks for, least and usual end (common practice). [dB]
PRACTICE_DB = (30.0, 40.0)
_FAULTS_ON_PAGE = 24


def practice_word(isolation_db: float) -> str:
    """Say where an isolation [dB] lies against the practice; no more than that is said."""
    return "inside the practice" if isolation_db >= PRACTICE_DB[0] else "outside the practice"


def trap_table(found: ArrayUnderField) -> Table:
    """Tell what each trap does alone, and all that the bias or the field close together."""
    rows = [(trap.diode, trap.isolation_db) for trap in found.traps]
    if len(found.traps) > 1:
        rows += [(name, np.array([e.isolation_db for e in found.state(name).elements])) for name in found.detuned]
    return Table(
        name="traps",
        caption="Isolation of each trap alone, its diode conducting in every element and no other, nothing plugged in; "
        "then of the detuned states. Mean gap current of the tuned array with nothing plugged in and no diode acting, "
        f"over that here. Practice: {PRACTICE_DB[0]:g} to {PRACTICE_DB[1]:g} dB (common practice).",
        columns=(
            Column(title="diode or state"),
            Column(title="least", unit="dB", decimals=1),
            Column(title="median", unit="dB", decimals=1),
            Column(title="most", unit="dB", decimals=1),
            Column(title="against the practice"),
        ),
        rows=tuple(
            (name, float(np.nanmin(db)), float(np.nanmedian(db)), float(np.nanmax(db)), practice_word(np.nanmin(db)))
            for name, db in rows
        ),
    )


def ranked_faults(found: ArrayUnderField) -> list[tuple[str, dict[str, SingleFault]]]:
    """Faults in words, each with what it does in every state, the one that lets most current through first."""
    by_words: dict[str, dict[str, SingleFault]] = {}
    for fault in found.faults:
        by_words.setdefault(fault.words, {})[fault.state] = fault
    return sorted(by_words.items(), key=lambda item: -max(np.nanmax(one.current_a) for one in item[1].values()))


def fault_table(found: ArrayUnderField, names: Sequence[str]) -> Table:
    """Every single fault: current of the element that it hits hardest, in every state in which the array may be."""
    ranked = ranked_faults(found)
    states = tuple(ranked[0][1])
    return Table(
        name="faults",
        caption="One part of one element failed, all other elements as the state says. Mean gap current, peak, largest "
        "over the elements that it may happen to, and how far that lies below the same element with nothing that acts. "
        "Element: where the largest current of the row flows. The worst fault first.",
        columns=(
            Column(title="fault"),
            Column(title="element"),
            *(
                column
                for state in states
                for column in (Column(title=state, unit="A"), Column(title="below", unit="dB", decimals=1))
            ),
        ),
        rows=tuple((words, *_fault_cells(found, by_state, names)) for words, by_state in ranked),
        rows_on_page=_FAULTS_ON_PAGE,
    )


def _fault_cells(found: ArrayUnderField, by_state: Mapping[str, SingleFault], names: Sequence[str]) -> tuple[Cell, ...]:
    bare = {fault.state: fault.current_a for fault in found.faults if fault.fault is None}
    cells: list[Cell] = []
    for state, fault in by_state.items():
        worst = int(np.nanargmax(fault.current_a))
        current_a = float(fault.current_a[worst])
        cells += [current_a, float(20 * np.log10(bare[state][worst] / current_a))]
    hardest = max(by_state.values(), key=lambda fault: float(np.nanmax(fault.current_a)))
    return names[int(np.nanargmax(hardest.current_a))], *cells


def onset_table(found: ArrayUnderField, names: Sequence[str]) -> Table:
    """From which field crossed diodes act, and what the loop carries below and at the asked field."""
    return Table(
        name="diode_onset",
        caption="Crossed diodes, nothing plugged in, all of them following the field. They act from the "
        "peak B1+ at which they conduct as well as all that lies beside them; below it the loop is a tuned one and "
        "carries a current that goes with the field.",
        columns=(
            Column(title="element"),
            Column(title="diodes"),
            Column(title="act from [µT]", digits=2),
            Column(title="below it, current per field [A/µT]", digits=2),
            Column(title="current there", unit="A", digits=2),
            Column(title="current in the asked field", unit="A", digits=2),
        ),
        rows=tuple(
            (
                name,
                one.part,
                1e6 * one.acts_t if isfinite(one.acts_t) else nan,
                1e-6 * one.blocked_a_per_t,
                one.current_at_onset_a,
                float(one.loop_a[-1]),
            )
            for name, own in zip(names, found.onsets, strict=True)
            for one in own
        ),
    )


def pin_table(found: ArrayUnderField, held_a: Mapping[str, NDArray[np.float64]], names: Sequence[str]) -> Table:
    """Radio-frequency current of each PIN diode while it is biased, against what its bias holds. [A]"""
    rows = []
    for diode, current_a in found.pin_current_a.items():
        worst = int(np.nanargmax(current_a / held_a[diode]))
        held = float(held_a[diode][worst])
        rows.append((diode, names[worst], float(current_a[worst]), held, held / float(current_a[worst])))
    return Table(
        name="pin_diodes",
        caption="PIN diodes while biased, the element with the least margin: largest radio-frequency current over the "
        "states, peak, against the one at which a half-wave carries all the charge that the bias stores.",
        columns=(
            Column(title="diode"),
            Column(title="element"),
            Column(title="its current", unit="A"),
            Column(title="held by the bias up to", unit="A", digits=2),
            Column(title="margin", digits=2),
        ),
        rows=tuple(rows),
    )
