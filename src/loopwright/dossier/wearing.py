"""One network for all who wear the array: its penalty in every state, and a robust one beside it."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits import WornFamily
from loopwright.circuits.main_values import main_value, unit_of
from loopwright.dossier.findings import Answer, Cell, Column, Finding, FindingValue, Section, Table
from loopwright.dossier.numbers import printed

__all__ = ["worn_section"]

_HOW = "circuits fixed, the impedance between the gaps that of each state"
_ONE_MODEL = "what the model of the states leaves out is told in words and was not studied in numbers"


def worn_section(worn: WornFamily, element_names: tuple[str, ...]) -> Section:
    """Tell penalties and shifts over the family, and what a robust network changes.

    Parameters
    ----------
    worn : WornFamily
        The family and what it costs.
    element_names : tuple of str
        Names of the elements.
    """
    robust = () if worn.robust is None else (_changes_table(worn, element_names),)
    return Section(
        anchor="worn",
        title="One network for all who wear it",
        prose=(_what(worn), *_robust_in_words(worn), *worn.notes),
        answers=(_answer(worn, element_names),),
        findings=tuple(_findings(worn)),
        tables=(_states_table(worn), _elements_table(worn, element_names), *robust),
        pictures=("worn",),
    )


def _what(worn: WornFamily) -> str:
    beyond = int(np.isnan(worn.shift_hz).sum())
    told = (
        f"{len(worn.states)} states, from {worn.states[0].name} on, are served by the network that was found for this "
        "one. A state's penalty is how far the noise figure of each preamplifier rises above its least for what it "
        "then sees, all couplings solved."
    )
    return told if not beyond else f"{told} {beyond} of {worn.shift_hz.size} resonances left the band: not known."


def _robust_in_words(worn: WornFamily) -> Iterator[str]:
    if worn.robust is None:
        return
    before, after = (float(one.worst_db.max()) for one in (worn.robust.before, worn.robust.after))
    if after < before:
        yield (
            f"A robust network, {', '.join(worn.free)} chosen anew for the worst state of every element, takes the "
            f"worst penalty from {printed(before, 'dB')} to {printed(after, 'dB')}; the state it was matched for "
            f"then pays {printed(float(worn.robust.after.penalty_db[0].max()), 'dB')}. Preamplifier decoupling there, "
            f"{printed(float(worn.decoupling_db[0].min()), 'dB')} or more, becomes "
            f"{printed(float(worn.decoupling_db[1].min()), 'dB')} or more with it."
        )
    else:
        yield f"No other values of {', '.join(worn.free)} were found with a lower worst penalty."


def _answer(worn: WornFamily, element_names: tuple[str, ...]) -> Answer:
    state, element = np.unravel_index(np.argmax(worn.penalty.penalty_db), worn.penalty.penalty_db.shape)
    worst = float(worn.penalty.penalty_db[state, element])
    told = (
        f"It costs at most {printed(worst, 'dB', digits=2)}, in {element_names[element]}: {worn.penalty.names[state]}; "
        f"the mean over all states and elements is {printed(float(worn.penalty.penalty_db.mean()), 'dB', digits=2)}."
    )
    if worn.robust is not None:
        told += f" A robust network costs at most {printed(float(worn.robust.after.worst_db.max()), 'dB', digits=2)}."
    return Answer(question="Does one network serve every body and shape it is worn in?", answer=told, section="worn")


def _findings(worn: WornFamily) -> Iterator[Finding]:
    figures: list[tuple[str, str, FindingValue, str]] = [
        ("states", "states", worn.penalty.names, ""),
        ("worst_penalty_db", "noise penalty of each element in its worst state", _floats(worn.penalty.worst_db), "dB"),
        ("mean_penalty_db", "the same, mean over the states", _floats(worn.penalty.mean_db), "dB"),
        ("penalty_db", "noise penalty, per state and element", _rows(worn.penalty.penalty_db), "dB"),
        ("shift_hz", "resonance less that of the first state, per state and element", _rows(worn.shift_hz), "Hz"),
    ]
    if worn.robust is not None:
        worst, mean = worn.robust.after.worst_db, worn.robust.after.mean_db
        figures.append(("robust_worst_penalty_db", "worst penalty with the robust network", _floats(worst), "dB"))
        figures.append(("robust_mean_penalty_db", "mean penalty with the robust network", _floats(mean), "dB"))
        figures.append(("robust_decoupling_db", "preamplifier decoupling with it, in the first state",
                        _floats(worn.decoupling_db[1]), "dB"))  # fmt: skip
    for key, label, value, unit in figures:
        yield Finding(key=f"worn.{key}", label=label, value=value, unit=unit, no_uncertainty_because=_ONE_MODEL,
                      how=_HOW, source="computed here")  # fmt: skip


def _floats(values: NDArray[np.floating]) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _rows(values: NDArray[np.floating]) -> tuple[tuple[float, ...], ...]:
    return tuple(_floats(row) for row in values)


def _states_table(worn: WornFamily) -> Table:
    columns = [Column(title="state"), Column(title="worst element", unit="dB", decimals=3),
               Column(title="mean", unit="dB", decimals=3)]  # fmt: skip
    values = [worn.penalty.penalty_db.max(axis=1), worn.penalty.penalty_db.mean(axis=1)]
    if worn.robust is not None:
        columns += [Column(title="robust, worst", unit="dB", decimals=3), Column(title="mean", unit="dB", decimals=3)]
        values += [worn.robust.after.penalty_db.max(axis=1), worn.robust.after.penalty_db.mean(axis=1)]
    columns += [Column(title="resonance moves by", unit="Hz", decimals=3), Column(title="to", unit="Hz", decimals=3)]
    values += [worn.shift_hz.min(axis=1), worn.shift_hz.max(axis=1)]
    rows = np.stack(values, axis=1).tolist()
    return Table(
        name="worn_states",
        caption="Noise penalty and shift of the resonance in every state, over the elements.",
        columns=tuple(columns),
        rows=tuple((name, *_known(row)) for name, row in zip(worn.penalty.names, rows, strict=True)),
    )


def _known(row: list[float]) -> Iterator[Cell]:
    for value in row:
        yield "not known" if np.isnan(value) else value


def _elements_table(worn: WornFamily, element_names: tuple[str, ...]) -> Table:
    penalty, robust = worn.penalty, worn.robust
    at_worst = [penalty.names[state] for state in penalty.penalty_db.argmax(axis=0)]
    columns = [Column(title="element"), Column(title="worst state"), Column(title="its penalty", unit="dB", decimals=3),
               Column(title="mean", unit="dB", decimals=3)]  # fmt: skip
    cells: list[list[Cell]] = [list(at_worst), penalty.worst_db.tolist(), penalty.mean_db.tolist()]
    if robust is not None:
        columns += [Column(title="robust, worst", unit="dB", decimals=3), Column(title="mean", unit="dB", decimals=3)]
        cells += [robust.after.worst_db.tolist(), robust.after.mean_db.tolist()]
    return Table(
        name="worn_elements",
        caption="Noise penalty of every element over all states.",
        columns=tuple(columns),
        rows=tuple((name, *row) for name, *row in zip(element_names, *cells, strict=True)),
    )


def _changes_table(worn: WornFamily, element_names: tuple[str, ...]) -> Table:
    """Values that the robust network changes."""
    robust = worn.robust
    assert robust is not None  # noqa: S101 - the caller asked
    rows: list[tuple[Cell, ...]] = []
    for element, name in enumerate(element_names):
        for part in worn.free:
            if any(branch.name == part for branch in robust.nominal[element].branches):
                before, after = (float(main_value(one[element], part)) for one in (robust.nominal, robust.circuits))
                unit = unit_of(robust.nominal[element], part)
                change = f"{100 * (after / before - 1):+.1f} %".replace("-", "\N{MINUS SIGN}")
                rows.append((name, part, printed(before, unit, digits=4), printed(after, unit, digits=4), change))
    return Table(
        name="worn_changes",
        caption="Values of the network that was found, and of the robust one.",
        columns=(Column(title="element"), Column(title="part"), Column(title="found"), Column(title="robust"),
                 Column(title="change")),
        rows=tuple(rows),
    )  # fmt: skip
