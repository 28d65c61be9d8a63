"""Every figure of a comparison, for the summary; its keys are told in docs/reference/designs.md."""

from collections.abc import Iterator

from loopwright.designs import Comparison, DesignResult
from loopwright.dossier.findings import CHOSEN, Finding, FindingValue

__all__ = ["design_findings"]

_ONE_GRID = "told on the finer grid only"


def design_findings(comparison: Comparison) -> tuple[Finding, ...]:
    """Return the figures of all designs: ``designs`` follow the designs or the depths, ``design`` the depths."""
    return (
        *_whole(comparison),
        *_of_each_design(comparison),
        *_accelerated(comparison),
        *(found for result in comparison.results for found in _over_depth(result, comparison)),
    )


def _whole(comparison: Comparison) -> Iterator[Finding]:
    names = tuple(result.name for result in comparison.results)
    yield _finding("designs.names", "names of the designs", names, "", CHOSEN)
    choices = tuple(", ".join(f"{k} {v}" for k, v in result.planned.choices) for result in comparison.results)
    yield _finding("designs.choices", "what each took from each list", choices, "", CHOSEN)
    depths = tuple(verdict.depth_m for verdict in comparison.depths)
    yield _finding("designs.depth_m", "depths at which they are compared", depths, "m", CHOSEN)
    best = tuple(names[verdict.best] for verdict in comparison.depths)
    yield _finding("designs.best", "design with the highest median at each depth", best, "", "a name")
    close = tuple(" ".join(names[index] for index in verdict.close) for verdict in comparison.depths)
    yield _finding("designs.close", "designs within 5 % of it, the change between grids counted in", close, "", "names")
    yield Finding(
        key="designs.excitation",
        label="excitation of the body",
        value=comparison.excitation.excitation.value,
        unit="",
        no_uncertainty_because=CHOSEN,
        how="the same for every design",
        source="the brief" if comparison.excitation.asked != "automatic" else "computed here",
    )
    beaten = tuple("" if index is None else names[index] for index in comparison.beating.by)
    yield _finding("designs.beaten_by", "design that beats each", beaten, "", "names")
    yield _finding("designs.fine_voxel_m", "finer voxel", comparison.voxel_m, "m", CHOSEN)
    yield _finding("designs.coarse_voxel_m", "coarser voxel", comparison.coarse_voxel_m, "m", CHOSEN)


def _of_each_design(comparison: Comparison) -> Iterator[Finding]:
    figures = [result.figures for result in comparison.results]
    masses = tuple(float("nan") if own.conductor_mass_kg is None else own.conductor_mass_kg for own in figures)
    yield _finding("designs.conductor_mass_kg", "mass of conductor", masses, "kg", _ONE_GRID)
    for name, label, unit in (
        ("element_count", "number of elements", "1"),
        ("size_m", "size of the elements", "m"),
        ("array_height_m", "reach of the array along z", "m"),
        ("centres_past_ends", "elements whose centre lies beside the cut ends of the body", "1"),
        ("conductor_length_m", "length of conductor", "m"),
        ("coil_noise_share_mean", "coil's part of the noise power, mean", "1"),
        ("coil_noise_share_largest", "coil's part of the noise power, largest", "1"),
        ("quality_unloaded", "Q without the body, median", "1"),
        ("quality_loaded", "Q with the body, median", "1"),
        ("coupling_largest", "size of the largest coupling coefficient", "1"),
    ):
        values = tuple(float(getattr(own, name)) for own in figures)
        yield _finding(f"designs.{name}", label, values, unit, _ONE_GRID)


def _accelerated(comparison: Comparison) -> Iterator[Finding]:
    value, unit = comparison.quantity, comparison.unit
    for number, first in enumerate(comparison.results[0].figures.accelerations):
        found = [result.figures.accelerations[number] for result in comparison.results]
        for name, label, its_unit in (
            ("judged_share", "part of the region that is imaged", "1"),
            ("g_mean", "g, mean of the region", "1"),
            ("g_largest", "g, largest of the region", "1"),
            ("snr_mean", f"{value}, mean of the region", unit),
            ("snr_percentile_5", f"{value}, 5th percentile of the region", unit),
        ):
            values = tuple(float(getattr(own, name)) for own in found)
            key = f"designs.{first.name}.{name.removeprefix('snr_')}"
            yield _finding(key, f"{label}, {first.name}", values, its_unit, _ONE_GRID)


def _over_depth(result: DesignResult, comparison: Comparison) -> Iterator[Finding]:
    figures, key, unit, value = result.figures, f"design.{result.name}", comparison.unit, comparison.quantity
    medians = tuple(at.median for at in figures.depths)
    yield Finding(
        key=f"{key}.median",
        label=f"{value}, median of the region at each depth",
        value=medians,
        uncertainty=tuple(abs(fine - coarse) for fine, coarse in zip(medians, result.coarse_median, strict=True)),
        unit=unit,
        how="optimum combination at the common points",
        source="[roemer1990]",
    )
    for name in ("percentile_5", "percentile_95"):
        spread = tuple(float(getattr(at, name)) for at in figures.depths)
        yield _finding(f"{key}.{name}", f"{value}, {name.replace('_', ' ')} at each depth", spread, unit, _ONE_GRID)
    under = tuple(float("nan") if at.under_elements is None else at.under_elements for at in figures.depths)
    yield _finding(f"{key}.under_elements", f"{value} on the elements' own axes, mean", under, unit, _ONE_GRID)
    for number, found in enumerate(figures.accelerations):
        left = tuple(at.accelerated_median[number] for at in figures.depths)
        label = f"{value}, median at each depth, {found.name}"
        yield _finding(f"{key}.{found.name}.median", label, left, unit, _ONE_GRID)


def _finding(key: str, label: str, value: FindingValue, unit: str, why: str) -> Finding:
    return Finding(
        key=key,
        label=label,
        value=value,
        unit=unit,
        no_uncertainty_because=why,
        how="as asked" if why == CHOSEN else "found from this design's network and maps",
        source="the brief" if why == CHOSEN else "computed here",
    )
