"""Tables of the page of a measurement, and what it is written from."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loopwright.bench import BenchFit, Difference, FittedLoops, Kind, MeasuredNetwork, Turn
from loopwright.circuits.main_values import value_of
from loopwright.dossier.findings import Cell, Column, Table
from loopwright.dossier.numbers import printed, printed_to, printed_with_uncertainty

__all__ = ["BenchEvidence", "decibels", "fit_tables", "turn_table"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEvidence:
    """A measurement, the model fitted to it, and what to turn."""

    title: str
    tool_version: str
    element_names: tuple[str, ...]
    measured: MeasuredNetwork
    methods: tuple[str, ...]
    how_measured: str
    design_scattering: np.ndarray
    fit: BenchFit
    loops: FittedLoops
    wanted_ohm: tuple[complex, ...]
    turns: tuple[Turn, ...]
    cautions: tuple[str, ...]


def decibels(size: float) -> str:
    """Print the size of a wave in dB."""
    return printed_to(20 * float(np.log10(max(size, 1e-4))), 1)


def turn_table(evidence: BenchEvidence) -> Table:
    """Every part that can be turned, the one that gains most first."""
    return Table(
        name="turns",
        caption="Parts by what turning each of them alone would gain, the best first.",
        columns=(
            Column(title="element"),
            Column(title="part"),
            Column(title="as fitted"),
            Column(title="wanted"),
            Column(title="turn by"),
            Column(title="change [%]", decimals=1),
            Column(title="reflection before", unit="dB", decimals=1),
            Column(title="after", unit="dB", decimals=1),
        ),
        rows=tuple(
            (
                evidence.element_names[turn.element],
                turn.part,
                printed(turn.value, turn.unit),
                printed(turn.wanted, turn.unit),
                _step(turn),
                100 * turn.change,
                20 * float(np.log10(max(turn.reflection_before, 1e-4))),
                20 * float(np.log10(max(turn.reflection_after, 1e-4))),
            )
            for turn in evidence.turns
        ),
    )


def _step(turn: Turn) -> str:
    if turn.at_the_end:
        return f"{printed(turn.step, turn.unit)}, the end of what was tried"
    return printed_with_uncertainty(turn.step, turn.step_deviation, turn.unit)


def fit_tables(evidence: BenchEvidence) -> Iterator[Table]:
    """Differences, loops, and coupling where there are two."""
    yield _difference_table(evidence)
    yield _loop_table(evidence)
    if len(evidence.element_names) > 1:
        yield _coupling_table(evidence)


def _difference_table(evidence: BenchEvidence) -> Table:
    fit = evidence.fit
    return Table(
        name="differences",
        caption="Everything that may differ, with its standard deviation after the measurement. Learnt: part of the "
        "prior's width that the measurement took away.",
        columns=(
            Column(title="element"),
            Column(title="what"),
            Column(title="design"),
            Column(title="fitted"),
            Column(title="off by [prior widths]", decimals=1),
            Column(title="learnt [%]", decimals=0),
        ),
        rows=tuple(
            _difference_row(evidence, one, value, deviation, learnt)
            for one, value, deviation, learnt in zip(
                fit.model.differences, fit.values.tolist(), fit.deviation.tolist(), fit.learnt.tolist(), strict=True
            )
        ),
    )


def _difference_row(
    evidence: BenchEvidence, one: Difference, value: float, deviation: float, learnt: float
) -> tuple[Cell, ...]:
    names = " and ".join(evidence.element_names[element] for element in one.elements)
    design, unit = _design_of(evidence, one)
    if one.kind in {Kind.MUTUAL, Kind.LENGTH}:
        fitted, spread = design + one.width * value, one.width * deviation
    else:
        fitted = design * float(np.exp(one.width * value))
        spread = fitted * one.width * deviation
    what = one.part or one.kind.value
    told = printed_with_uncertainty(fitted, spread, unit)
    return (names, what, printed(design, unit), told, value, 100 * max(learnt, 0.0))


def _design_of(evidence: BenchEvidence, one: Difference) -> tuple[float, str]:
    """Value of the design, and its SI unit."""
    model, design = evidence.fit.model, evidence.loops.design
    first, last = one.elements[0], one.elements[-1]
    match one.kind:
        case Kind.PART:
            value, unit = value_of(model.circuits[first].part(one.part))
            return float(value), unit
        case Kind.INDUCTANCE:
            return float(design.inductance_h[first]), "H"
        case Kind.RESISTANCE:
            return float(design.resistance_ohm[first]), "ohm"
        case Kind.MUTUAL:
            return float(model.loops_ohm(np.zeros(len(model.differences)))[first, last].imag), "ohm"
        case Kind.LENGTH:
            return 0.0, "m"


def _loop_table(evidence: BenchEvidence) -> Table:
    design, fitted, spread = evidence.loops.design, evidence.loops.fitted, evidence.loops.deviation
    return Table(
        name="loops",
        caption="Loops at equal currents in all gaps, without capacitors.",
        columns=(
            Column(title="element"),
            Column(title="inductance, design", unit="H"),
            Column(title="fitted"),
            Column(title="resistance, design", unit="ohm"),
            Column(title="fitted"),
            Column(title="Q, design"),
            Column(title="fitted"),
        ),
        rows=tuple(
            (
                name,
                float(design.inductance_h[e]),
                printed_with_uncertainty(fitted.inductance_h[e], spread.inductance_h[e], "H"),
                float(design.resistance_ohm[e]),
                printed_with_uncertainty(fitted.resistance_ohm[e], spread.resistance_ohm[e], "ohm"),
                float(design.quality[e]),
                printed_with_uncertainty(fitted.quality[e], spread.quality[e]),
            )
            for e, name in enumerate(evidence.element_names)
        ),
    )


def _coupling_table(evidence: BenchEvidence) -> Table:
    names, loops = evidence.element_names, evidence.loops
    return Table(
        name="coupling",
        caption="Coupling coefficients: mutual reactance over the root of the product of the loops' reactances, the "
        "elements that were not measured as they were left.",
        columns=(
            Column(title="elements"),
            Column(title="design", decimals=4),
            Column(title="fitted"),
        ),
        rows=tuple(
            (
                f"{names[i]} and {names[j]}",
                float(loops.design.coupling[i, j]),
                printed_with_uncertainty(loops.fitted.coupling[i, j], loops.deviation.coupling[i, j]),
            )
            for i, j in zip(*np.triu_indices(len(names), 1), strict=True)
        ),
    )
