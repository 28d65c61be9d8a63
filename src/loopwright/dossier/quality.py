"""Sections 8 and 9: the maps of signal-to-noise ratio, and what acceleration costs."""

from loopwright.dossier.evidence import AccelerationEvidence, Evidence, MapKind, ScalarMap
from loopwright.dossier.findings import CHOSEN, Column, Finding, Section, Table
from loopwright.dossier.numbers import printed
from loopwright.dossier.statistics import depth_profile, region_statistics

__all__ = ["acceleration_section", "snr_section"]

_NO_SECOND_GRID = "no second grid was solved in this run"
_GRID = "uncertainty: the change from the coarser grid"
_PERCENTILES = (("percentile_5", "5th percentile"), ("median", "median"), ("percentile_95", "95th percentile"))


def snr_section(evidence: Evidence) -> Section:
    """Tell the SNR in the region and against depth, each map with its definition."""
    maps = _unaccelerated(evidence)
    return Section(
        anchor="snr",
        title="Signal-to-noise ratio",
        prose=tuple(f"{scalar.title}: {scalar.definition}" for scalar in maps),
        findings=(
            *_constants(evidence),
            *(finding for scalar in maps for finding in _map_findings(scalar, evidence)),
            *_ultimate(evidence),
        ),
        tables=tuple(table for scalar in maps for table in _depth_table(scalar, evidence)),
        pictures=(*(scalar.name for scalar in maps), "snr_depth"),
    )


def acceleration_section(evidence: Evidence) -> Section:
    """Tell 1/g and the SNR that is left, for every acceleration of the brief."""
    maps = [evidence.maps.named(name) for a in evidence.accelerations for name in (a.inverse_g_map, a.snr_map)]
    definitions = {scalar.kind: scalar.definition for scalar in maps}
    return Section(
        anchor="acceleration",
        title="Acceleration",
        prose=tuple(definitions.values()) or ("The brief asks for no acceleration.",),
        findings=tuple(f for a in evidence.accelerations for f in _acceleration_findings(a, evidence)),
        tables=(_acceleration_table(evidence),) if evidence.accelerations else (),
        pictures=tuple(a.inverse_g_map for a in evidence.accelerations),
    )


def _unaccelerated(evidence: Evidence) -> tuple[ScalarMap, ...]:
    accelerated = {name for a in evidence.accelerations for name in (a.inverse_g_map, a.snr_map)}
    return tuple(scalar for scalar in evidence.maps.scalars if scalar.name not in accelerated)


def _constants(evidence: Evidence) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            key="constant." + "_".join(line.name.lower().split()),
            label=line.name,
            value=line.value,
            unit=line.unit,
            no_uncertainty_because=CHOSEN,
            how="enters the printed SNR",
            source=line.source,
        )
        for line in evidence.constants
    )


def _map_findings(scalar: ScalarMap, evidence: Evidence) -> tuple[Finding, ...]:
    statistics = region_statistics(scalar, evidence.maps)
    findings = []
    for name, label in _PERCENTILES:
        value = float(getattr(statistics, name))
        uncertainty = _map_uncertainty(scalar, value, evidence)
        findings.append(
            Finding(
                key=f"map.{scalar.name}.{name}",
                label=f"{scalar.title}, {label} in the region",
                value=value,
                unit=scalar.unit,
                uncertainty=uncertainty,
                no_uncertainty_because=_NO_SECOND_GRID if uncertainty is None else None,
                how=f"{statistics.voxels} voxels; {_GRID if uncertainty is not None else 'one grid'}",
                source="computed here",
            )
        )
    return tuple(findings)


def _map_uncertainty(scalar: ScalarMap, value: float, evidence: Evidence) -> float | None:
    if evidence.grids is None:
        return None
    if scalar.kind is MapKind.INVERSE_G:
        by_map = {a.inverse_g_map: a.name for a in evidence.accelerations}
        return evidence.grids.inverse_g_absolute.get(by_map.get(scalar.name, ""))
    return abs(value) * evidence.grids.snr_relative


def _ultimate(evidence: Evidence) -> tuple[Finding, ...]:
    ultimate = evidence.ultimate
    if ultimate is None:
        return ()
    grids = evidence.grids
    return (
        Finding(
            key="ultimate.fraction_centre",
            label="fraction of the ultimate SNR at the centre",
            value=ultimate.fraction_centre,
            unit="1",
            uncertainty=None if grids is None else ultimate.fraction_centre * grids.snr_relative,
            no_uncertainty_because=_NO_SECOND_GRID if grids is None else None,
            how=ultimate.definition,
            source="[lee2018]",
        ),
    )


def _depth_table(scalar: ScalarMap, evidence: Evidence) -> tuple[Table, ...]:
    if scalar.kind is not MapKind.SNR:
        return ()
    profile = depth_profile(scalar, evidence.maps)
    return (
        Table(
            name=f"depth_{scalar.name}",
            caption=f"{scalar.title} against depth below the skin, in shells one voxel thick.",
            columns=(
                Column(title="depth", unit="m"),
                *(Column(title=title, unit=scalar.unit) for title in ("10th percentile", "median", "90th percentile")),
            ),
            rows=tuple(
                (float(d), float(low), float(middle), float(high))
                for d, low, middle, high in zip(
                    profile.depth_m, profile.percentile_10, profile.median, profile.percentile_90, strict=True
                )
            ),
        ),
    )


def _acceleration_findings(acceleration: AccelerationEvidence, evidence: Evidence) -> tuple[Finding, ...]:
    maps = [evidence.maps.named(name) for name in (acceleration.inverse_g_map, acceleration.snr_map)]
    found = tuple(finding for scalar in maps for finding in _map_findings(scalar, evidence))
    if acceleration.ultimate_fraction_largest is None:
        return found
    return (
        *found,
        Finding(
            key=f"ultimate.{acceleration.snr_map}.fraction_largest",
            label=f"{acceleration.name}: largest fraction of the ultimate accelerated SNR",
            value=acceleration.ultimate_fraction_largest,
            unit="1",
            no_uncertainty_because="the basis of the limit is finite; its convergence is tested, not estimated",
            how="accelerated SNR over that of a complete basis of current patterns",
            source="[wiesinger2004]",
        ),
    )


def _acceleration_table(evidence: Evidence) -> Table:
    rows = []
    for a in evidence.accelerations:
        inverse_g = region_statistics(evidence.maps.named(a.inverse_g_map), evidence.maps)
        snr = region_statistics(evidence.maps.named(a.snr_map), evidence.maps)
        rows.append(
            (
                a.name,
                " × ".join(f"{factor:g}" for factor in a.factors),
                " ".join(a.directions),
                " × ".join(printed(length, "m") for length in a.field_of_view_m),
                inverse_g.least,
                inverse_g.percentile_5,
                inverse_g.median,
                1 / inverse_g.median,
                snr.median,
            )
        )
    return Table(
        name="acceleration",
        caption="Accelerations of the brief, over the voxels of the region.",
        columns=(
            Column(title="acceleration"),
            Column(title="factors"),
            Column(title="directions"),
            Column(title="field of view"),
            Column(title="1/g least", digits=2),
            Column(title="1/g 5th percentile", digits=2),
            Column(title="1/g median", digits=2),
            Column(title="g of that median", digits=3),
            Column(title="SNR median"),
        ),
        rows=tuple(rows),
    )
