"""The page of a measurement: what to turn, what differs from the design, and how far that is known."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loopwright.bench import BenchFit, BenchModel, Difference, Kind, MeasuredNetwork, Turn, main_value
from loopwright.dossier.findings import Answer, Cell, Column, Dossier, Finding, FindingValue, Section, Table
from loopwright.dossier.numbers import printed, printed_with_uncertainty

__all__ = ["BenchEvidence", "compile_bench"]

_ABOUT_ONE_TURN = (
    "Each turn stands for itself, the other parts as they are. After one turn, measure again, for the list changes. "
    "Standard deviations hold what the measurement leaves open, not errors of the circuit as it was drawn."
)
_HOW_FITTED = (
    "Least squares with priors: parts of 5 % and loops of 5 % in inductance, half a factor e in resistance, 2 % of the "
    "loop's reactance between elements, 3 mm of line to the plane of calibration (common practice for hand-built "
    "coils). What the measurement cannot tell keeps its prior. The circuit is that of the brief; strays that it does "
    "not hold are pressed into the parts that it has."
)
_CAUTION = (
    "A fit describes the element as it was measured: in that place, with that load and those neighbours. It approves "
    "nothing; detuning and faults are not seen in it."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEvidence:
    """A measurement, the model fitted to it, and what to turn."""

    title: str
    tool_version: str
    element_names: tuple[str, ...]
    measured: MeasuredNetwork
    design_scattering: np.ndarray
    fit: BenchFit
    turns: tuple[Turn, ...]
    cautions: tuple[str, ...]


def compile_bench(evidence: BenchEvidence) -> Dossier:
    """Write the page of one measurement.

    Parameters
    ----------
    evidence : BenchEvidence
        What was measured and found.
    """
    return Dossier(
        title=evidence.title,
        tool_version=evidence.tool_version,
        element_names=evidence.element_names,
        sections=(_turns_section(evidence), _fit_section(evidence)),
        subject=f"{evidence.measured.name} held against the design of {', '.join(evidence.element_names)}.",
    )


def _turns_section(evidence: BenchEvidence) -> Section:
    return Section(
        anchor="turns",
        title="What to turn",
        prose=(_ABOUT_ONE_TURN,),
        cautions=(_CAUTION, *evidence.cautions),
        answers=tuple(_answers(evidence)),
        tables=(_turn_table(evidence),),
    )


def _answers(evidence: BenchEvidence) -> Iterator[Answer]:
    for number, name in enumerate(evidence.element_names):
        best = next((turn for turn in evidence.turns if turn.element == number), None)
        if best is not None:
            yield Answer(question=f"Which part of {name} first?", answer=_told(best), section="turns")


def _told(turn: Turn) -> str:
    way = "up" if turn.change > 0 else "down"
    return (
        f"{turn.part} {way} by {100 * abs(turn.change):.1f} ± {100 * turn.change_deviation:.1f} %, from "
        f"{printed(turn.value, turn.unit)} to {printed(turn.wanted, turn.unit)}: the reflection falls from "
        f"{_db(turn.reflection_before)} to {_db(turn.reflection_after)} dB."
    )


def _db(size: float) -> str:
    return printed(20 * float(np.log10(max(size, 1e-4))), digits=3)


def _turn_table(evidence: BenchEvidence) -> Table:
    return Table(
        name="turns",
        caption="Parts by what turning each of them alone would gain, the best first.",
        columns=(
            Column(title="element"),
            Column(title="part"),
            Column(title="as fitted"),
            Column(title="wanted"),
            Column(title="change [%]", decimals=1),
            Column(title="± [%]", decimals=1),
            Column(title="reflection before", unit="dB", decimals=1),
            Column(title="after", unit="dB", decimals=1),
        ),
        rows=tuple(
            (
                evidence.element_names[turn.element],
                turn.part,
                printed(turn.value, turn.unit),
                printed(turn.wanted, turn.unit),
                100 * turn.change,
                100 * turn.change_deviation,
                20 * float(np.log10(max(turn.reflection_before, 1e-4))),
                20 * float(np.log10(max(turn.reflection_after, 1e-4))),
            )
            for turn in evidence.turns
        ),
    )


def _fit_section(evidence: BenchEvidence) -> Section:
    fit = evidence.fit
    left = (
        f"The design misses the measurement by {fit.design_error:.4f} (root mean square of S), the fit by "
        f"{fit.error:.4f}. Where that is much more than the analyser's own error, the circuit lacks something."
    )
    return Section(
        anchor="fit",
        title="What differs from the design",
        prose=(left, _HOW_FITTED),
        findings=tuple(_findings(evidence)),
        tables=(_difference_table(evidence), _loop_table(evidence)),
        pictures=("bench_reflection",),
    )


def _findings(evidence: BenchEvidence) -> Iterator[Finding]:
    fit = evidence.fit

    def finding(key: str, label: str, value: FindingValue, unit: str) -> Finding:
        return Finding(
            key=f"bench.{key}",
            label=label,
            value=value,
            unit=unit,
            how="least squares with priors",
            source="computed here",
            no_uncertainty_because="a residual",
        )

    yield finding("error", "what the fit misses, root mean square of S", fit.error, "1")
    yield finding("design_error", "what the design misses, root mean square of S", fit.design_error, "1")


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
    return (names, what, printed(design, unit), printed_with_uncertainty(fitted, spread, unit), 100 * max(learnt, 0.0))


def _design_of(evidence: BenchEvidence, one: Difference) -> tuple[float, str]:
    """Value of the design, and its SI unit."""
    model = evidence.fit.model
    first = one.elements[0]
    match one.kind:
        case Kind.PART:
            return main_value(model.circuits[first].part(one.part))
        case Kind.INDUCTANCE:
            return float(_uniform(model, first).imag / (2 * np.pi * model.frequency_hz)), "H"
        case Kind.RESISTANCE:
            return float(_uniform(model, first).real), "ohm"
        case Kind.MUTUAL:
            at = int(np.argmin(np.abs(model.frequencies_hz - model.frequency_hz)))
            i, j = (np.flatnonzero(model.port_element == element) for element in one.elements)
            return float(model.port_ohm[at][np.ix_(i, j)].sum().imag), "ohm"
        case Kind.LENGTH:
            return 0.0, "m"


def _uniform(model: BenchModel, element: int) -> complex:
    return complex(model.uniform_ohm(np.zeros(len(model.differences)))[element])


def _loop_table(evidence: BenchEvidence) -> Table:
    model, values = evidence.fit.model, evidence.fit.values
    design, fitted = model.uniform_ohm(np.zeros(len(values))), model.uniform_ohm(values)
    rate = 2 * np.pi * model.frequency_hz
    return Table(
        name="loops",
        caption="Loops at equal currents in all gaps, without capacitors.",
        columns=(
            Column(title="element"),
            Column(title="inductance, design", unit="H"),
            Column(title="fitted", unit="H"),
            Column(title="resistance, design", unit="ohm"),
            Column(title="fitted", unit="ohm"),
            Column(title="Q, fitted", digits=2),
        ),
        rows=tuple(
            (
                name,
                float(was.imag / rate),
                float(now.imag / rate),
                float(was.real),
                float(now.real),
                float(now.imag / now.real),
            )
            for name, was, now in zip(evidence.element_names, design, fitted, strict=True)
        ),
    )
