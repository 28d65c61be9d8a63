"""Every figure of a comparison, for the summary; its keys are told in docs/reference/designs.md."""

from collections.abc import Iterator

from loopwright.designs import Comparison, DesignResult
from loopwright.dossier.findings import CHOSEN, Finding, FindingValue

__all__ = ["design_findings"]

_ONE_GRID = "told on the finer grid only"


def design_findings(comparison: Comparison) -> tuple[Finding, ...]:
    """Return the figures of all designs; lists follow the depths, in their order."""
    return (*_whole(comparison), *(found for result in comparison.results for found in _design(result, comparison)))


def _whole(comparison: Comparison) -> Iterator[Finding]:
    names = tuple(result.name for result in comparison.results)
    yield _finding("designs.names", "names of the designs", names, "", CHOSEN)
    depths = tuple(verdict.depth_m for verdict in comparison.depths)
    yield _finding("designs.depth_m", "depths at which they are compared", depths, "m", CHOSEN)
    best = tuple(names[verdict.best] for verdict in comparison.depths)
    yield _finding("designs.best", "design with the highest median at each depth", best, "", "a name")
    close = tuple(" ".join(names[index] for index in verdict.close) for verdict in comparison.depths)
    yield _finding("designs.close", "designs within 5 % of it, the change between grids counted in", close, "", "names")
    yield _finding("designs.fine_voxel_m", "finer voxel", comparison.voxel_m, "m", CHOSEN)
    yield _finding("designs.coarse_voxel_m", "coarser voxel", comparison.coarse_voxel_m, "m", CHOSEN)


def _design(result: DesignResult, comparison: Comparison) -> Iterator[Finding]:
    figures, key, unit = result.figures, f"design.{result.name}", comparison.unit
    value = comparison.quantity
    yield _finding(
        f"{key}.choices", "what it took from each list", ", ".join(f"{k} {v}" for k, v in result.planned.choices), "",
        CHOSEN,
    )  # fmt: skip
    yield _finding(f"{key}.elements", "number of elements", float(figures.element_count), "1", CHOSEN)
    yield _finding(f"{key}.size_m", "size of its elements", figures.size_m, "m", CHOSEN)
    medians = tuple(at.median for at in figures.depths)
    yield Finding(
        key=f"{key}.median",
        label=f"{value}, median of the region at each depth",
        value=medians,
        uncertainty=tuple(
            abs(fine - coarse) for fine, coarse in zip(medians, result.coarse_median, strict=True)
        ),
        unit=unit,
        how="optimum combination at the common points",
        source="[roemer1990]",
    )  # fmt: skip
    for name in ("percentile_5", "percentile_95"):
        spread = tuple(float(getattr(at, name)) for at in figures.depths)
        yield _finding(f"{key}.{name}", f"{value}, {name.replace('_', ' ')} at each depth", spread, unit, _ONE_GRID)
    under = tuple(float("nan") if at.under_elements is None else at.under_elements for at in figures.depths)
    yield _finding(f"{key}.under_elements", f"{value} on the elements' own axes, mean", under, unit, _ONE_GRID)
    for number, found in enumerate(figures.accelerations):
        left = tuple(at.accelerated_median[number] for at in figures.depths)
        name = f"{key}.{found.name}"
        yield _finding(f"{name}.median", f"{value} at each depth, {found.name}", left, unit, _ONE_GRID)
        yield _finding(f"{name}.g_mean", f"g, mean of the region, {found.name}", found.g_mean, "1", _ONE_GRID)
        yield _finding(f"{name}.g_largest", f"g, largest, {found.name}", found.g_largest, "1", _ONE_GRID)
        yield _finding(f"{name}.mean", f"{value}, mean of the region, {found.name}", found.snr_mean, unit, _ONE_GRID)
        yield _finding(
            f"{name}.percentile_5", f"{value}, 5th percentile, {found.name}", found.snr_percentile_5, unit, _ONE_GRID
        )
    yield from _as_a_coil(result, key)


def _as_a_coil(result: DesignResult, key: str) -> Iterator[Finding]:
    figures = result.figures
    mass = float("nan") if figures.conductor_mass_kg is None else figures.conductor_mass_kg
    for name, label, value, unit in (
        ("coil_noise_share_mean", "coil's part of the noise power, mean", figures.coil_noise_share_mean, "1"),
        ("coil_noise_share_largest", "coil's part of the noise power, largest", figures.coil_noise_share_largest, "1"),
        ("conductor_length_m", "length of conductor", figures.conductor_length_m, "m"),
        ("conductor_mass_kg", "mass of conductor", mass, "kg"),
        ("quality_unloaded", "Q without the body, median", figures.quality_unloaded, "1"),
        ("quality_loaded", "Q with the body, median", figures.quality_loaded, "1"),
        ("coupling_largest", "size of the largest coupling coefficient", figures.coupling_largest, "1"),
    ):
        yield _finding(f"{key}.{name}", label, value, unit, _ONE_GRID)


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
