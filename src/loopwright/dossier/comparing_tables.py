"""The tables of a comparison."""

from math import isnan

from loopwright.designs import Comparison, DesignResult
from loopwright.dossier.findings import Cell, Column, Table

__all__ = ["accelerated_table", "depths_table", "designs_table", "label_of", "refused_table", "varied_keys"]

_NOT_KNOWN = "not known"
_NOT_IMAGED = "not imaged"


def varied_keys(comparison: Comparison) -> tuple[str, ...]:
    """Keys that differ between the designs that were carried out, size first."""
    chosen = [dict(result.planned.choices) for result in comparison.results]
    return tuple(key for key in reversed(chosen[0]) if len({choice[key] for choice in chosen}) > 1)


def label_of(index: int, comparison: Comparison) -> str:
    """Name of a design and what sets it apart, such as ``D02 (size 60 mm, rows 2)``."""
    result = comparison.results[index]
    choices = dict(result.planned.choices)
    told = ", ".join(f"{key.replace('_', '-')} {choices[key]}" for key in varied_keys(comparison))
    return f"{result.name} ({told})" if told else result.name


def designs_table(comparison: Comparison) -> Table:
    """One row for each design: what it is, and its figures as a coil."""
    keys = tuple(reversed([key for key, _ in comparison.results[0].planned.choices]))
    return Table(
        name="designs",
        caption="The designs, and their figures that do not depend on depth.",
        columns=(
            Column(title="design"),
            *(Column(title=key.replace("_", "-")) for key in keys),
            Column(title="elements"),
            Column(title="size", unit="m"),
            Column(title="height of the array", unit="m"),
            Column(title="elements past the ends"),
            Column(title="coil noise share, mean", unit="1", digits=2),
            Column(title="coil noise share, largest", unit="1", digits=2),
            Column(title="conductor", unit="kg", digits=2),
            Column(title="Q unloaded", unit="1"),
            Column(title="Q loaded", unit="1"),
            Column(title="largest coupling", unit="1", digits=2),
            Column(title="beaten by"),
        ),
        rows=tuple(_design_row(index, result, keys, comparison) for index, result in enumerate(comparison.results)),
    )


def _design_row(index: int, result: DesignResult, keys: tuple[str, ...], comparison: Comparison) -> tuple[Cell, ...]:
    figures, choices, winner = result.figures, dict(result.planned.choices), comparison.beating.by[index]
    return (
        result.name,
        *(choices[key] for key in keys),
        figures.element_count,
        figures.size_m,
        figures.array_height_m,
        figures.centres_past_ends,
        figures.coil_noise_share_mean,
        figures.coil_noise_share_largest,
        _NOT_KNOWN if figures.conductor_mass_kg is None else figures.conductor_mass_kg,
        figures.quality_unloaded,
        figures.quality_loaded,
        figures.coupling_largest,
        "" if winner is None else comparison.results[winner].name,
    )


def depths_table(comparison: Comparison) -> Table:
    """One row for each depth and design, the best of each depth first."""
    accelerations = comparison.results[0].figures.accelerations
    value, unit = comparison.quantity, comparison.unit
    rows: list[tuple[Cell, ...]] = []
    for number, verdict in enumerate(comparison.depths):
        for index in sorted(range(len(comparison.results)), key=lambda index: -verdict.ratio[index]):
            at, coarse = comparison.results[index].figures.depths[number], comparison.results[index].coarse_median
            rows.append(
                (
                    verdict.depth_m,
                    label_of(index, comparison),
                    at.median,
                    abs(at.median - coarse[number]),
                    float(verdict.ratio[index]),
                    float(verdict.ratio_change[index]),
                    at.percentile_5,
                    at.percentile_95,
                    _NOT_KNOWN if at.under_elements is None else at.under_elements,
                    *(_NOT_IMAGED if isnan(left) else left for left in at.accelerated_median),
                )
            )
    return Table(
        name="depths",
        caption=f"{value} of every design at every depth, the best first. ±: change between the two grids.",
        columns=(
            Column(title="depth", unit="m"),
            Column(title="design"),
            Column(title=f"{value}, median", unit=unit),
            Column(title="±", unit=unit, digits=2),
            Column(title="over the best", unit="1", decimals=3),
            Column(title="±", unit="1", decimals=3),
            Column(title="5th percentile", unit=unit),
            Column(title="95th percentile", unit=unit),
            Column(title="under the elements", unit=unit),
            *(Column(title=f"median, {found.name}", unit=unit) for found in accelerations),
        ),
        rows=tuple(rows),
    )


def accelerated_table(comparison: Comparison) -> Table:
    """One row for each acceleration and design."""
    value, unit = comparison.quantity, comparison.unit
    return Table(
        name="accelerations",
        caption=f"g and accelerated {value} over the region.",
        columns=(
            Column(title="acceleration"),
            Column(title="design"),
            Column(title="judged", unit="1"),
            Column(title="g, mean", unit="1"),
            Column(title="g, largest", unit="1"),
            Column(title=f"{value}, mean", unit=unit),
            Column(title=f"{value}, 5th percentile", unit=unit),
        ),
        rows=tuple(
            (found.name, label_of(index, comparison), found.judged_share, found.g_mean, found.g_largest,
             found.snr_mean, found.snr_percentile_5)
            for number in range(len(comparison.results[0].figures.accelerations))
            for index, result in enumerate(comparison.results)
            for found in (result.figures.accelerations[number],)
        ),
    )  # fmt: skip


def refused_table(comparison: Comparison) -> Table:
    """One row for each combination that cannot be."""
    return Table(
        name="refused",
        caption="Refused combinations.",
        columns=(Column(title="design"), Column(title="choices"), Column(title="reason")),
        rows=tuple(
            (refused.name, ", ".join(f"{key} {value}" for key, value in reversed(refused.choices)), refused.reason)
            for refused in comparison.refused
        ),
    )
