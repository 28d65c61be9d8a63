"""The section on what bridges the gaps: figures, tables, cautions."""

import numpy as np

from loopwright.conductors import AIR_DISCHARGE_V, PrintedGap
from loopwright.dossier.findings import CHOSEN, Cell, Column, Finding, Section, Table
from loopwright.dossier.gap_evidence import CapacitorEvidence, GapLine, LumpedEvidence, PrintedEvidence
from loopwright.dossier.numbers import printed, printed_as_given, printed_range

__all__ = ["PRINTED_PICTURE", "capacitor_section"]

#: Name of the drawing of a printed plate.
PRINTED_PICTURE = "printed_capacitor"

_HANDBOOK = "film and ink are not known better than a handbook and a data sheet tell"
_HERE = "computed here"
_TRIM_HOW = (
    "prints drawn within the limits of the brief, film, permittivity and shift common to a plate and its tabs, each "
    "trimmed by the rule with a reading before every cut"
)


def capacitor_section(evidence: CapacitorEvidence) -> Section:
    """Tell what bridges the gaps, and what it costs."""
    if isinstance(evidence, LumpedEvidence):
        return _lumped(evidence)
    if not evidence.gaps:
        return Section(
            anchor="capacitors",
            title="Printed capacitors",
            prose=evidence.sentences,
            cautions=("No element's capacitor can be printed as asked.", *evidence.unprinted),
        )
    return Section(
        anchor="capacitors",
        title="Printed capacitors",
        prose=(*evidence.sentences, _RULE, *evidence.gaps[0].limits, _beside_network(evidence)),
        cautions=(*evidence.unprinted, *_voltage(evidence), *_coarser(evidence)),
        findings=_findings(evidence),
        tables=(_plates(evidence), _ladders(evidence), _spreads(evidence)),
        pictures=(PRINTED_PICTURE,),
    )


_RULE = (
    "Trimming: measure, then cut the largest tab that leaves the value at or above half a step below the target even "
    "if the tab is the largest that can come out and the reading wrong by its limit; go on to the next smaller tab. No "
    "cut can go below the band while film, ink and reading keep their limits. A print that comes out low, or a cut too "
    "many, is raised by bridging the smallest tab B that will do. Trim the element with its load."
)


_UNPRINTED = "An element whose capacitor cannot be printed keeps the former. "


def _beside_network(evidence: CapacitorEvidence) -> str:
    qualities = np.array([line.quality_factor for line in evidence.lines])
    unprinted = _UNPRINTED if isinstance(evidence, PrintedEvidence) else ""
    return (
        f"Signal, noise and SNR of all sections are those with these capacitors, Q {printed_range(qualities)}: every "
        f"element is tuned with `conductor.capacitor_q`, {evidence.network_q:g}, and once more with the Q of the value "
        f"so found. {unprinted}In a circuit, capacitors across gaps have the Q of their own value, and the tolerance, "
        "rating and series that `circuit` names."
    )


def _voltage(evidence: PrintedEvidence) -> tuple[str, ...]:
    least = min(evidence.gaps, key=lambda gap: gap.withstand_v)
    hottest_w = max(gap.heat_w for gap in evidence.gaps)
    told = (
        f"{evidence.derating:g} of the breakdown voltage of the film is {printed(least.withstand_v, 'V')} peak. One "
        f"capacitor then turns up to {printed(hottest_w, 'W', digits=2)} into heat, and how warm it gets "
        f"is not told here. Beside uncovered edges air may discharge above {AIR_DISCHARGE_V:g} V peak (minimum of "
        "Paschen's curve, from memory). Hold these against the voltage in every state, the untuned one in the transmit "
        "field first, and test samples to breakdown at the frequency."
    )
    return (told,)


def _coarser(evidence: PrintedEvidence) -> tuple[str, ...]:
    coarse = [
        line.name
        for line, gap in zip(evidence.lines, evidence.gaps, strict=True)
        if gap.step > 1.001 * evidence.asked_step
    ]
    if not coarse:
        return ()
    worst = max(gap.step for gap in evidence.gaps)
    return (
        (
            f"The smallest tab is too large for the step asked for, {100 * evidence.asked_step:g} %, in {len(coarse)} "
            f"of {len(evidence.lines)} elements (first {coarse[0]}); their step is up to {100 * worst:.2g} %. A "
            "thicker film or fewer gaps makes it finer."
        ),
    )


def _findings(evidence: PrintedEvidence) -> tuple[Finding, ...]:
    worst = max(evidence.lines, key=lambda line: line.cost_db)
    spread = max(gap.ladder.spread for gap in evidence.gaps)
    untrimmed = "causes at their limits, root of the sum of squares"
    return (
        Finding(
            key="capacitors.array_yield",
            label="arrays in which every printed capacitor is brought into its band",
            value=evidence.array_yield,
            uncertainty=evidence.array_yield_uncertainty,
            unit="1",
            how=f"{_TRIM_HOW}; gaps counted as if each failed on its own",
            source=_HERE,
        ),
        _known("capacitors.cost_db", f"what their loss costs, worst element ({worst.name})", worst.cost_db, "dB",
               "coil noise figure with them less that without their loss"),
        _known("capacitors.untrimmed_spread", "spread before trimming, relative, widest", spread, "1", untrimmed),
        _known("capacitors.untrimmed_detuning", "shift of resonance before trimming, relative", spread / 2, "1",
               "half the spread, all gaps of an element off together", "a first-order figure"),
        _known("capacitors.trimmed_detuning", "shift of resonance that trimming leaves at most, relative",
               max(gap.step for gap in evidence.gaps) / 4, "1",
               "a quarter of the step, all gaps at one end of their band", "a first-order figure"),
        _known("capacitors.withstand_v", "breakdown voltage of the thinnest film, derated, peak",
               min(gap.withstand_v for gap in evidence.gaps), "V",
               "breakdown field times least thickness times the derating"),
    )  # fmt: skip


def _known(key: str, label: str, value: float, unit: str, how: str, reason: str = _HANDBOOK) -> Finding:
    return Finding(key=key, label=label, value=value, unit=unit, how=how, source=_HERE, no_uncertainty_because=reason)


def _plates(evidence: PrintedEvidence) -> Table:
    return Table(
        name="printed_capacitors",
        caption="The printed capacitor in each gap: the plate that stays, all plates with their tabs, spread before "
        "trimming, Q, resistance of all of an element's capacitors, what their loss costs, and prints of a gap that "
        "end in their band (in brackets: by cutting alone).",
        columns=(
            Column(title="element"),
            Column(title="gaps"),
            Column(title="target", unit="F"),
            Column(title="plate width", unit="m"),
            Column(title="plate length", unit="m"),
            Column(title="area with tabs", unit="m^2"),
            Column(title="tabs to cut"),
            Column(title="step ±", unit="F", digits=2),
            Column(title="spread [%]", digits=2),
            Column(title="Q"),
            Column(title="resistance", unit="ohm"),
            Column(title="costs", unit="dB"),
            Column(title="in band [%]"),
        ),
        rows=tuple(_plate_row(line, gap) for line, gap in zip(evidence.lines, evidence.gaps, strict=True)),
    )


def _plate_row(line: GapLine, gap: PrintedGap) -> tuple[Cell, ...]:
    body, trimmed = gap.ladder.body, gap.trimmed
    return (
        line.name,
        line.gaps,
        line.capacitance_f,
        body.width_m,
        body.length_m,
        body.area_m2 + sum(tab.plate.area_m2 for tab in gap.ladder.tabs),
        len(gap.ladder.to_cut),
        gap.ladder.step_f / 2,
        100 * gap.ladder.spread,
        line.quality_factor,
        line.resistance_ohm,
        line.cost_db,
        f"{100 * trimmed.yield_fraction:.2f} ({100 * trimmed.yield_by_cutting:.2f})",
    )


def _ladders(evidence: PrintedEvidence) -> Table:
    rows = tuple(
        (
            line.name,
            tab.name,
            tab.kind.value,
            tab.nominal_f,
            tab.low_f,
            tab.high_f,
            tab.plate.width_m,
            tab.plate.length_m,
        )
        for line, gap in zip(evidence.lines, evidence.gaps, strict=True)
        for tab in gap.ladder.tabs
    )
    return Table(
        name="trimming_ladders",
        caption="Tabs of each printed capacitor in the order in which they are thought of: cut from the top, bridge B "
        "only where a print is low. What a tab may come out at, all limits at once, stands beside its value.",
        columns=(
            Column(title="element"),
            Column(title="tab"),
            Column(title="is to"),
            Column(title="value", unit="F"),
            Column(title="at least", unit="F"),
            Column(title="at most", unit="F"),
            Column(title="width", unit="m"),
            Column(title="length", unit="m"),
        ),
        rows=rows,
        rows_on_page=12,
    )


def _spreads(evidence: PrintedEvidence) -> Table:
    causes = sorted({share.cause for gap in evidence.gaps for share in gap.shares})
    worst = {
        cause: max(share.relative for gap in evidence.gaps for share in gap.shares if share.cause == cause)
        for cause in causes
    }
    ranked = sorted(worst.items(), key=lambda item: -item[1])
    return Table(
        name="printing_spread",
        caption="What makes an untrimmed print differ, each cause at its limit, in the element where it does most. A "
        "shift of one face only takes away, and nothing while it stays inside the margin.",
        columns=(
            Column(title="cause"),
            Column(title="change of C [%]", digits=2),
            Column(title="change of resonance [%]", digits=2),
        ),
        rows=tuple((cause, 100 * relative, 50 * relative) for cause, relative in ranked),
    )


def _lumped(evidence: LumpedEvidence) -> Section:
    worst = max(evidence.lines, key=lambda line: line.cost_db)
    prose = (
        (
            f"Parts of series {evidence.series}, {100 * evidence.tolerance:g} % to either side, rated "
            f"{printed_as_given(evidence.rating_v, 'V')} peak. Values below are those that tune; a part off by its "
            f"tolerance in every gap moves the resonance by {50 * evidence.tolerance:g} %. Class II and III ceramics "
            "are lossy and age; measure every part before it is fitted."
        ),
        _beside_network(evidence),
    )
    return Section(
        anchor="capacitors",
        title="Lumped capacitors",
        prose=prose,
        findings=(
            _known(
                "capacitors.cost_db",
                f"what their loss costs, worst element ({worst.name})",
                worst.cost_db,
                "dB",
                "coil noise figure with them less that without their loss",
                "as the loss of the parts was given",
            ),
            _known("capacitors.rating_v", "rated voltage, peak", evidence.rating_v, "V", "the brief", CHOSEN),
        ),
        tables=(_parts(evidence),),
    )


def _parts(evidence: LumpedEvidence) -> Table:
    return Table(
        name="lumped_capacitors",
        caption="The capacitor in each gap, its Q, the resistance of all of an element's capacitors and what "
        "their loss costs.",
        columns=(
            Column(title="element"),
            Column(title="gaps"),
            Column(title="value", unit="F"),
            Column(title="Q"),
            Column(title="resistance", unit="ohm"),
            Column(title="coil noise figure", unit="dB"),
            Column(title="costs", unit="dB"),
        ),
        rows=tuple(
            (
                one.name,
                one.gaps,
                one.capacitance_f,
                one.quality_factor,
                one.resistance_ohm,
                one.noise_figure_db,
                one.cost_db,
            )
            for one in evidence.lines
        ),
    )
