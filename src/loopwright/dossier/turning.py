"""Values of the parts, what a per cent of each does, and which to turn."""

from collections.abc import Sequence

import numpy as np

from loopwright.circuits.spread.sensitivities import PartSensitivity
from loopwright.circuits.spread.turn_list import Turn
from loopwright.circuits.values.snapping import Snapped
from loopwright.circuits.values.synthesis import Synthesis
from loopwright.dossier.findings import Column, Finding, Section, Table
from loopwright.dossier.numbers import printed

__all__ = [
    "sensitivity_table",
    "snapped_findings",
    "synthesis_findings",
    "turn_table",
    "turning_section",
]

_NOT_BOUNDED = "leads and pads of parts, and their tolerance, are not in it"
#: What the reader must know before a soldering iron is taken up.
_LIMITS = (
    (
        "Values hold for conductors and body as computed, and for parts as listed; leads, pads and the capacitance "
        "between parts are not in them. Measure each part before it is fitted."
    ),
    "A per cent of a part is first order; what is left after a turn is solved again in the whole array.",
)


def synthesis_findings(synthesis: Synthesis) -> tuple[Finding, ...]:
    """How well the exact values do: the largest loss of noise figure, the least decoupling."""
    how = "all elements solved together, each receiver's source wanted as told, the others in place"
    found = [
        Finding(
            key="turning.least_decoupling_db",
            label="least decoupling by a preamplifier",
            value=float(np.min(synthesis.decoupling_db)),
            unit="dB",
            how="loop current with a power-matched receiver over that with the preamplifier; " + how,
            source="computed here",
            no_uncertainty_because=_NOT_BOUNDED,
        )
    ]
    if not np.isnan(synthesis.noise_figure_loss_db).all():
        found.insert(0, _loss("turning.noise_figure_loss_db", "exact values", synthesis.noise_figure_loss_db, how))
    return tuple(found)


def snapped_findings(snapped: Snapped) -> tuple[Finding, ...]:
    """What values on offer cost."""
    how = f"the best of {snapped.tried} sets of values on offer, trimmers set again for each"
    decoupling = Finding(
        key="turning.bought_least_decoupling_db",
        label="least decoupling by a preamplifier, values on offer",
        value=float(np.min(snapped.decoupling_db)),
        unit="dB",
        how=how,
        source="computed here",
        no_uncertainty_because=_NOT_BOUNDED,
    )
    if np.isnan(snapped.noise_figure_loss_db).all():
        return (decoupling,)
    losses_db = snapped.noise_figure_loss_db
    return (
        decoupling,
        _loss("turning.bought_noise_figure_loss_db", "values on offer", losses_db, how),
    )


def _loss(key: str, of_what: str, losses_db: np.ndarray, how: str) -> Finding:
    return Finding(
        key=key,
        label=f"largest noise figure of a preamplifier above its best, {of_what}",
        value=round(float(np.nanmax(losses_db)), 9),
        unit="dB",
        how=how,
        source="computed here",
        no_uncertainty_because=_NOT_BOUNDED,
    )


def sensitivity_table(found: Sequence[PartSensitivity], names: Sequence[str]) -> Table:
    """Every part of every element, in an element the one that moves the match most first."""
    ordered = sorted(found, key=lambda one: (one.element, -abs(one.reflection)))
    return Table(
        name="sensitivities",
        caption="What one per cent more of a part's value does: to the frequency of best match, to the reflection at "
        "the operating frequency (size of its change), to the decoupling by the preamplifier and its noise figure; "
        "and which other element's reflection moves most.",
        columns=(
            Column(title="element"),
            Column(title="part"),
            Column(title="best match moves", unit="Hz"),
            Column(title="reflection", digits=2),
            Column(title="decoupling", unit="dB", decimals=2),
            Column(title="noise figure", unit="dB", decimals=4),
            Column(title="disturbs"),
            Column(title="its reflection", digits=2),
        ),
        rows=tuple(
            (
                names[one.element],
                one.part,
                one.dip_hz,
                abs(one.reflection),
                one.decoupling_db,
                "not told" if np.isnan(one.noise_figure_db) else one.noise_figure_db,
                "none" if one.disturbed is None else names[one.disturbed],
                one.disturbed_reflection,
            )
            for one in ordered
        ),
        rows_on_page=24,
    )


def turn_table(turns: Sequence[Turn], names: Sequence[str]) -> Table:
    """Parts to turn, element after element, the one that mends most first, with figures before and after."""
    return Table(
        name="turn_this_part",
        caption="Which part to turn: each by itself, all else left. Best match, reflection at the operating frequency, "
        "decoupling and loss of noise figure, before and after. A part is turned to twice or half its value at "
        "most; one that ends there does not mend it.",
        columns=(
            Column(title="element"),
            Column(title="turn"),
            Column(title="from"),
            Column(title="to"),
            Column(title="best match before", unit="Hz", digits=5),
            Column(title="after", unit="Hz", digits=5),
            Column(title="reflection before", unit="dB", decimals=1),
            Column(title="after", unit="dB", decimals=1),
            Column(title="decoupling before", unit="dB", decimals=1),
            Column(title="after", unit="dB", decimals=1),
            Column(title="noise before", unit="dB", decimals=3),
            Column(title="after", unit="dB", decimals=3),
        ),
        rows=tuple(
            (
                names[turn.element],
                turn.instruction,
                printed(turn.value_before, turn.unit),
                printed(turn.value_after, turn.unit),
                turn.before.dip_hz,
                turn.after.dip_hz,
                turn.before.reflection_db,
                turn.after.reflection_db,
                turn.before.decoupling_db,
                turn.after.decoupling_db,
                *(
                    "not told" if np.isnan(figures.noise_figure_loss_db) else figures.noise_figure_loss_db
                    for figures in (turn.before, turn.after)
                ),
            )
            for turn in turns
        ),
        rows_on_page=24,
    )


def turning_section(
    synthesis: Synthesis, *, snapped: Snapped | None, tables: tuple[Table, ...], remarks: tuple[str, ...] = ()
) -> Section:
    """Put findings and tables of this module into one section."""
    return Section(
        anchor="turning",
        title="Values to buy, and what to turn",
        prose=(*synthesis.notes, *remarks, *_LIMITS),
        findings=(*synthesis_findings(synthesis), *(snapped_findings(snapped) if snapped is not None else ())),
        tables=tables,
    )
