"""The section on elements of coaxial line: resonance, terminal, what they lose, how they couple."""

from collections.abc import Sequence

import numpy as np

from loopwright.circuits import CoaxialOutcome
from loopwright.circuits.coaxial.coaxial_coupling import PairCoupling
from loopwright.dossier.coaxial_tables import COUPLING_COLUMNS, coupling_cells
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Finding, Section, Table

__all__ = ["coaxial_section"]

_HOW = "lines inside joined to the thin-wire moment method outside, the body's impedance added; the others' gaps open"
_NOT_ASKED = (
    "Preamplifiers and what stands between them and the terminals are not computed for coaxial elements: the match is "
    "lossless and ideal. In use a receiver of low impedance across the cut keeps current out of an element."
)


def coaxial_section(evidence: Evidence, coaxial: CoaxialOutcome) -> Section:
    """Tell what the coaxial elements are on this body.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.
    coaxial : CoaxialOutcome
        Of the coaxial elements.
    """
    return Section(
        anchor="coaxial",
        title="The coaxial elements",
        prose=(_words(evidence, coaxial), _NOT_ASKED, *coaxial.limits),
        findings=_findings(evidence, coaxial),
        tables=(_terminals(evidence, coaxial), *_pairs(evidence.element_names, coaxial.pairs)),
    )


def _words(evidence: Evidence, coaxial: CoaxialOutcome) -> str:
    network = evidence.network
    line, outside = (np.median(network.resistance_ohm[cause]) for cause in ("line", "conductor"))
    off = [one.self_resonance_hz / evidence.frequency_hz - 1 for one in coaxial.figures]
    return (
        f"On this body, nothing at their terminals, the elements are resonant {_percent(min(off))} to "
        f"{_percent(max(off))} away from the operating frequency. In the median element the line inside loses "
        f"{line:.2g} ohm, the outside of the shield {outside:.2g} ohm, the body "
        f"{np.median(network.resistance_ohm['body']):.2g} ohm."
    )


def _percent(part: float) -> str:
    return f"{100 * part:+.1f} %".replace("-", "−")


def _findings(evidence: Evidence, coaxial: CoaxialOutcome) -> tuple[Finding, ...]:
    f0 = evidence.frequency_hz
    rows = (
        ("self_resonance_hz", "self-resonance on this body", "Hz", [one.self_resonance_hz for one in coaxial.figures]),
        ("terminal_siemens", "susceptance across the terminal that tunes", "S",
         [one.tuning_siemens for one in coaxial.figures]),
        ("terminal_capacitance_f", "the same as a capacitor; negative for an inductor", "F",
         [one.tuning_capacitance_f(f0) for one in coaxial.figures]),
    )  # fmt: skip
    return tuple(
        Finding(
            key=f"coaxial.{key}",
            label=label,
            value=tuple(values),
            unit=unit,
            no_uncertainty_because="that of the cable is far larger: measure its impedance, speed and loss",
            how=_HOW,
            source="computed here",
        )
        for key, label, unit, values in rows
    )


def _terminals(evidence: Evidence, coaxial: CoaxialOutcome) -> Table:
    w = 2 * np.pi * evidence.frequency_hz
    return Table(
        name="coaxial_terminals",
        caption="Each element alone on this body. The terminal is across the first cut of the inner conductor; its "
        "resistance holds all but the loss of the part there. A self-resonance outside the band that was solved is a "
        "straight line's estimate.",
        columns=(
            Column(title="element"),
            Column(title="gaps in the shield"),
            Column(title="self-resonance", unit="Hz", digits=5),
            Column(title="part across the terminal"),
            Column(title="its reactance", unit="ohm"),
            Column(title="terminal, tuned", unit="ohm"),
            Column(title="line's share of the coil's loss", digits=2),
        ),
        rows=tuple(
            (
                element.name,
                element.gaps,
                one.self_resonance_hz,
                _part(one.tuning_siemens, w),
                1 / abs(one.tuning_siemens),
                1 / (1 / one.terminal_ohm).real,
                one.line_ohm / (one.line_ohm + one.conductor_ohm),
            )
            for element, one in zip(evidence.layout.elements, coaxial.figures, strict=True)
        ),
    )


def _part(siemens: float, w: float) -> str:
    if siemens >= 0:
        return f"capacitor, {1e12 * siemens / w:.3g} pF"
    return f"inductor, {-1e9 / (w * siemens):.3g} nH"


def _pairs(names: Sequence[str], pairs: Sequence[PairCoupling]) -> tuple[Table, ...]:
    if not pairs:
        return ()
    return (
        Table(
            name="coaxial_pairs",
            caption="The nearest pairs in air, each element made resonant at its terminal, and loops of the same "
            "shield in their places with capacitors in four gaps: coefficient that splits the pair, mutual reactance, "
            "and correlation of what they lose.",
            columns=(
                Column(title="element"),
                Column(title="with"),
                *COUPLING_COLUMNS,
            ),
            rows=tuple((names[row.pair[0]], names[row.pair[1]], *coupling_cells(row)) for row in pairs),
        ),
    )
