"""The page of a measurement: what to turn, what differs from the design, and how far that is known."""

from collections.abc import Iterator

import numpy as np

from loopwright.bench import Turn
from loopwright.dossier.bench_tables import BenchEvidence, decibels, fit_tables, turn_table
from loopwright.dossier.findings import Answer, Dossier, Finding, Section
from loopwright.dossier.numbers import printed, printed_with_uncertainty

__all__ = ["BenchEvidence", "compile_bench"]

_ABOUT_ONE_TURN = (
    "Each turn stands for itself, the other parts as they are. After one turn, measure again, for the list changes. "
    "Standard deviations hold what the measurement leaves open, not errors of the circuit as it was drawn."
)
_HOW_FITTED = (
    "Least squares with priors: parts by the tolerance of the brief, or 5 %; free trimmers 20 %; loops 5 % in "
    "inductance and a factor of 1.6 in resistance, 2 % of the loop's reactance between elements, 3 mm of line to the "
    "plane of calibration (common practice for hand-built coils). Parts begin at the values that are bought. What the "
    "measurement cannot tell keeps its prior. Strays that the circuit of the brief does not hold are pressed into the "
    "parts that it has."
)
#: Methods of a run that a measurement makes no use of.
_NOT_HERE = ("thermal noise", "optimum combination", "geometry factor", "shifted sampling", "simultaneous slices",
             "ultimate SNR", "ultimate SNR from a source shell")  # fmt: skip
#: Smaller than this it is matched as well as a cable and its connectors allow (common practice).
_MATCHED = 0.05
#: A turn that leaves more of the reflection than this gains nothing.
_GAINS = 0.9
_CAUTION = (
    "A fit describes the element as it was measured: in that place, with that load and those neighbours. It approves "
    "nothing; detuning and faults are not seen in it."
)


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
        methods=tuple(name for name in evidence.methods if name not in _NOT_HERE),
        subject=f"{evidence.measured.name} held against the design of {', '.join(evidence.element_names)}.",
    )


def _turns_section(evidence: BenchEvidence) -> Section:
    return Section(
        anchor="turns",
        title="What to turn",
        prose=(evidence.how_measured, _ABOUT_ONE_TURN),
        cautions=(_CAUTION, *evidence.cautions),
        answers=tuple(_answers(evidence)),
        tables=(turn_table(evidence),),
    )


def _answers(evidence: BenchEvidence) -> Iterator[Answer]:
    for number, (name, wanted) in enumerate(zip(evidence.element_names, evidence.wanted_ohm, strict=True)):
        best = next((turn for turn in evidence.turns if turn.element == number), None)
        if best is not None:
            yield Answer(question=f"Which part of {name} first?", answer=_told(best, wanted), section="turns")


def _told(turn: Turn, wanted_ohm: complex) -> str:
    against = f"against {_source(wanted_ohm)}"
    before = f"the reflection {against} is {decibels(turn.reflection_before)} dB"
    if turn.reflection_before < _MATCHED:
        return f"None: {before}."
    if turn.reflection_after > _GAINS * turn.reflection_before:
        return f"No single one: {before}, and no turn of one part alone lowers it by 1 dB."
    way = "up" if turn.change > 0 else "down"
    step = printed_with_uncertainty(abs(turn.step), turn.step_deviation, turn.unit)
    end = ", the end of what was tried" if turn.at_the_end else ""
    return (
        f"{turn.part} {way} by {step} ({100 * abs(turn.change):.1f} %), from {printed(turn.value, turn.unit)} as "
        f"fitted to {printed(turn.wanted, turn.unit)}{end}: the reflection {against} falls from "
        f"{decibels(turn.reflection_before)} to {decibels(turn.reflection_after)} dB."
    )


def _source(wanted_ohm: complex) -> str:
    resistance = printed(wanted_ohm.real, "ohm")
    if abs(wanted_ohm.imag) < 1e-3 * abs(wanted_ohm):
        return f"{resistance} wanted"
    sign = "+" if wanted_ohm.imag > 0 else "−"
    return f"{resistance} {sign} j {printed(abs(wanted_ohm.imag), 'ohm')} wanted"


def _fit_section(evidence: BenchEvidence) -> Section:
    fit = evidence.fit
    left = (
        f"The design misses the measurement by {fit.design_error:.4f} (root mean square of S), the fit by "
        f"{fit.error:.4f}, per real or imaginary part. Where that is much more than the analyser's own error, the "
        "circuit lacks something."
    )
    return Section(
        anchor="fit",
        title="What differs from the design",
        prose=(left, _HOW_FITTED),
        findings=tuple(_findings(evidence)),
        tables=tuple(fit_tables(evidence)),
        pictures=("bench_reflection", "bench_residual"),
    )


def _findings(evidence: BenchEvidence) -> Iterator[Finding]:
    fit, fitted, spread = evidence.fit, evidence.loops.fitted, evidence.loops.deviation
    how = "circuits of the brief fitted to the measurement, least squares with priors"

    def left(key: str, label: str, value: float) -> Finding:
        return Finding(key=f"bench.{key}", label=label, value=value, unit="1", how=how, source="computed here",
                       no_uncertainty_because="a residual")  # fmt: skip

    def found(key: str, label: str, unit: str, value: np.ndarray, deviation: np.ndarray) -> Finding:
        return Finding(key=f"bench.{key}", label=label, value=tuple(value.tolist()), unit=unit, how=how,
                       source="computed here", uncertainty=tuple(deviation.tolist()))  # fmt: skip

    yield left("error", "what the fit misses, root mean square of S", fit.error)
    yield left("design_error", "what the design misses, root mean square of S", fit.design_error)
    yield found("inductance", "inductance of the loops", "H", fitted.inductance_h, spread.inductance_h)
    yield found("resistance", "resistance of the loops", "ohm", fitted.resistance_ohm, spread.resistance_ohm)
    yield found("quality", "Q of the loops without capacitors", "1", fitted.quality, spread.quality)
    if len(evidence.element_names) > 1:
        pairs = np.triu_indices(len(evidence.element_names), 1)
        yield found("coupling", "coupling coefficients", "1", fitted.coupling[pairs], spread.coupling[pairs])
    yield from _turn_findings(evidence)


def _turn_findings(evidence: BenchEvidence) -> Iterator[Finding]:
    """First turn of every element."""
    how = "where the reflection of the fitted circuit is least, the other parts as they are"
    for number, name in enumerate(evidence.element_names):
        best = next((turn for turn in evidence.turns if turn.element == number), None)
        if best is not None:
            yield Finding(key=f"bench.turn.{name}.part", label=f"part of {name} to turn first", value=best.part,
                          unit="", how=how, source="computed here", no_uncertainty_because="a name")  # fmt: skip
            yield Finding(key=f"bench.turn.{name}.step", label=f"by how much, {best.part} of {name}", value=best.step,
                          unit=best.unit, how=how, source="computed here",
                          uncertainty=best.step_deviation)  # fmt: skip
