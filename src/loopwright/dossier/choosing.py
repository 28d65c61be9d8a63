"""The conductor held against a rigid coil: noise figures, budget of resistance, where the two break even."""

from collections.abc import Iterator
from math import inf

import numpy as np

from loopwright.brief.records import Brief
from loopwright.designs import BUDGET_DB, CoilLoss, ConductorChoice, ConductorLine
from loopwright.dossier.conducting import conductor_name
from loopwright.dossier.evidence import ChoiceEvidence
from loopwright.dossier.findings import Answer, Column, Finding, Section, Table
from loopwright.dossier.numbers import printed, printed_as_given

__all__ = ["choice_evidence", "choice_section"]

_HOW = (
    "One uniform current in the loop of the element that the body loads least, on one grid of the body; the loop moved "
    "along its normal for the rigid coil"
)
_ONE_GRID = "solved on one grid of the body"


def choice_evidence(brief: Brief, choice: ConductorChoice | None) -> ChoiceEvidence | None:
    """Put the names of the conductors to what was found.

    Parameters
    ----------
    brief : Brief
        What was asked.
    choice : ConductorChoice or None
        What was found, where it was asked.
    """
    asked = brief.conductor_choice
    if asked is None or choice is None:
        return None
    return ChoiceEvidence(
        choice=choice,
        rigid_name=conductor_name(asked.rigid),
        names=tuple(conductor_name(conductor) for conductor in (brief.conductor, *asked.others)),
    )


def choice_section(evidence: ChoiceEvidence) -> Section:
    """Tell what each conductor costs, and from which distance a rigid coil is no better."""
    choice = evidence.choice
    return Section(
        anchor="conductor_choice",
        title="The conductor against a rigid coil",
        prose=(_what(evidence), *_budget(choice), _LIMITS),
        answers=tuple(_answers(evidence)),
        findings=tuple(_findings(choice)),
        tables=(_losses(evidence), _distances(evidence)),
        pictures=("break_even",),
    )


_LIMITS = (
    "Preamplifier, cable and traps are left out on both sides, and so are neighbours: their copper costs both coils. "
    "Capacitors of the array's own conductor are those that tune it, of every other those that it names with its other "
    "series resistance. Distances between the places that were solved are read from a monotone curve through the "
    "logarithm of the ratio."
)


def _what(evidence: ChoiceEvidence) -> str:
    choice = evidence.choice
    return (
        f"{choice.element}, the element that the body loads least, stands for the array. It is compared with the same "
        f"loop made of {evidence.rigid_name} on a rigid shell that lies further out, at "
        f"{_listed(choice.depths_m)} below the skin on its axis. {_HOW}."
    )


def _budget(choice: ConductorChoice) -> Iterator[str]:
    budget = zip(BUDGET_DB, choice.budget_ohm, strict=True)
    parts = ", ".join(f"{printed(ohm, 'ohm', digits=2)} for {loss_db:g} dB" for loss_db, ohm in budget)
    spent = choice.lines[0].loss
    others = printed(spent.capacitor_ohm + spent.other_ohm, "ohm", digits=2)
    yield (
        f"Budget of resistance: the body adds {printed(float(choice.body_ohm[0]), 'ohm')}, so a coil may have {parts} "
        f"of noise in all. Capacitors and other parts take {others} of it, the conductor "
        f"{printed(spent.conductor_ohm, 'ohm', digits=2)}."
    )


def _answers(evidence: ChoiceEvidence) -> Iterator[Answer]:
    choice = evidence.choice
    for name, line in zip(evidence.names, choice.lines, strict=True):
        body_share = line.snr_retained**2
        most = "most" if body_share > 0.5 else "less than half"
        yield Answer(
            question=f"What does {name} cost?",
            answer=f"{line.noise_figure_db:.2f} dB beside {choice.element}'s body resistance: the body makes {most} of "
            f"the noise power, {100 * body_share:.0f} %. The rigid coil is no better {_from(choice, line)}.",
            section="conductor_choice",
        )


def _from(choice: ConductorChoice, line: ConductorLine) -> str:
    ends = line.break_even_m
    if np.all(ends == 0):
        return "even at the same place"
    if np.all(np.isinf(ends)):
        return f"only further out than {printed_as_given(float(choice.further_out_m[-1]), 'm')}, the furthest tried"
    told = ", ".join(f"{_distance(float(end), choice)} at {printed_as_given(float(depth), 'm')} depth"
                     for end, depth in zip(ends, choice.depths_m, strict=True))  # fmt: skip
    return f"from this much further out: {told}"


def _distance(end_m: float, choice: ConductorChoice) -> str:
    if end_m == inf:
        return f"more than {printed_as_given(float(choice.further_out_m[-1]), 'm')}"
    return printed(end_m, "m", digits=2) if end_m > 0 else "0 mm"


def _listed(lengths_m: np.ndarray) -> str:
    return ", ".join(printed_as_given(float(length), "m") for length in lengths_m)


def _findings(choice: ConductorChoice) -> Iterator[Finding]:
    def finding(key: str, label: str, value: tuple[float, ...] | tuple[tuple[float, ...], ...], unit: str) -> Finding:
        return Finding(
            key=f"conductor_choice.{key}",
            label=label,
            value=value,
            unit=unit,
            how=_HOW,
            source="computed here",
            no_uncertainty_because=_ONE_GRID,
        )

    lines = choice.lines
    yield finding("noise_figure_db", "noise figure of the coil", tuple(line.noise_figure_db for line in lines), "dB")
    yield finding("snr_retained", "part of the SNR that is left", tuple(line.snr_retained for line in lines), "1")
    yield finding(
        "resistance_ohm", "series resistance of the coil", tuple(line.loss.total_ohm for line in lines), "ohm"
    )
    yield finding("budget_ohm", "resistance that costs 0.5, 1 and 3 dB", choice.budget_ohm, "ohm")
    yield finding(
        "break_even_m",
        "how much further out the rigid coil is no better, per conductor and depth",
        tuple(tuple(float(end) for end in line.break_even_m) for line in lines),
        "m",
    )


def _losses(evidence: ChoiceEvidence) -> Table:
    choice = evidence.choice
    rigid = choice.rigid
    rigid_db = float(choice.rigid_noise_figure_db[0])
    return Table(
        name="conductor_losses",
        caption=f"Losses of {choice.element}, each coil at the place of the array.",
        columns=(
            Column(title="conductor"),
            Column(title="conductor's resistance", unit="ohm"),
            Column(title="capacitors", unit="ohm", digits=2),
            Column(title="other parts", unit="ohm", digits=2),
            Column(title="whole coil", unit="ohm"),
            Column(title="body", unit="ohm"),
            Column(title="noise figure", unit="dB", digits=2),
            Column(title="SNR retained", digits=3),
        ),
        rows=(
            *(
                (name, *_parts(line.loss), float(choice.body_ohm[0]), line.noise_figure_db, line.snr_retained)
                for name, line in zip(evidence.names, choice.lines, strict=True)
            ),
            (
                f"rigid: {evidence.rigid_name}",
                *_parts(rigid),
                float(choice.body_ohm[0]),
                rigid_db,
                10 ** (-rigid_db / 20),
            ),
        ),
    )


def _parts(loss: CoilLoss) -> tuple[float, float, float, float]:
    return loss.conductor_ohm, loss.capacitor_ohm, loss.other_ohm, loss.total_ohm


def _distances(evidence: ChoiceEvidence) -> Table:
    choice = evidence.choice
    return Table(
        name="break_even",
        caption="How much further out the rigid coil is no better, by depth on the axis.",
        columns=(
            Column(title="conductor"),
            *(Column(title=f"at {printed_as_given(float(depth), 'm')}") for depth in choice.depths_m),
        ),
        rows=tuple(
            (name, *(_distance(float(end), choice) for end in line.break_even_m))
            for name, line in zip(evidence.names, choice.lines, strict=True)
        ),
    )
