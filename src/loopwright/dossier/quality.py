"""Sections 8 and 9: the maps of signal-to-noise ratio, and what acceleration costs."""

from collections.abc import Iterable, Iterator
from math import isfinite

from loopwright.dossier.acceleration_tables import acceleration_table, weakest_table
from loopwright.dossier.evidence import AccelerationEvidence, Evidence, MapKind, ScalarMap
from loopwright.dossier.findings import CHOSEN, Column, Finding, FindingValue, Section, Table
from loopwright.dossier.numbers import printed_position
from loopwright.dossier.statistics import (
    WeakestVoxel,
    at_centre,
    depth_profile,
    reciprocal,
    region_statistics,
    weakest_voxel,
)
from loopwright.dossier.ultimate import ultimate_findings, ultimate_pictures, ultimate_prose, ultimate_tables
from loopwright.imaging.definitions import INVERSE_G

__all__ = ["acceleration_section", "snr_section"]

_NO_SECOND_GRID = "no second grid was solved in this run"
_TOLD_ELSEWHERE = (MapKind.KEPT, MapKind.TRANSMIT, MapKind.LOCAL_SAR)
_GRID = "uncertainty: the change from the coarser grid"
_PERCENTILES = (("percentile_5", "5th percentile"), ("median", "median"), ("percentile_95", "95th percentile"))


def snr_section(evidence: Evidence) -> Section:
    """Tell the SNR in the region and against depth, each map with its definition."""
    maps = _unaccelerated(evidence)
    return Section(
        anchor="snr",
        title="Signal-to-noise ratio",
        prose=(
            *evidence.maps.remarks,
            *(f"{scalar.title}: {scalar.definition}" for scalar in maps),
            *ultimate_prose(evidence),
        ),
        findings=(
            *_constants(evidence),
            *(finding for scalar in maps for finding in _map_findings(scalar, evidence)),
            *_weakest(maps[0], evidence),
            *ultimate_findings(evidence),
        ),
        tables=(*(table for scalar in maps for table in _depth_table(scalar, evidence)), *ultimate_tables(evidence)),
        pictures=(*(scalar.name for scalar in maps), "snr_depth", *ultimate_pictures(evidence)),
    )


def acceleration_section(evidence: Evidence) -> Section:
    """Tell 1/g and the SNR that is left, for every acceleration of the brief."""
    maps = [evidence.maps.named(name) for a in evidence.accelerations for name in (a.inverse_g_map, a.snr_map)]
    definitions = dict.fromkeys(scalar.definition for scalar in sorted(maps, key=lambda one: one.kind.value))
    remarks = [f"{a.name}: {remark}" for a in evidence.accelerations for remark in a.remarks]
    return Section(
        anchor="acceleration",
        title="Acceleration",
        prose=(*_told_once(definitions), *remarks) or ("The brief asks for no acceleration.",),
        findings=tuple(f for a in evidence.accelerations for f in _acceleration_findings(a, evidence)),
        tables=(acceleration_table(evidence), weakest_table(evidence)) if evidence.accelerations else (),
        pictures=tuple(name for a in evidence.accelerations for name in (a.inverse_g_map, a.snr_map)),
    )


def _told_once(definitions: Iterable[str]) -> Iterator[str]:
    """Leave out the definition of 1/g where it opens a second pattern's aliases."""
    told = False
    for definition in definitions:
        yield definition.removeprefix(INVERSE_G).strip() if told else definition
        told = told or definition.startswith(INVERSE_G)


def _unaccelerated(evidence: Evidence) -> tuple[ScalarMap, ...]:
    elsewhere = {name for a in evidence.accelerations for name in (a.inverse_g_map, a.snr_map)}
    elsewhere |= {scalar.name for scalar in evidence.maps.scalars if scalar.kind in _TOLD_ELSEWHERE}
    return tuple(scalar for scalar in evidence.maps.scalars if scalar.name not in elsewhere)


def _constants(evidence: Evidence) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            key="constant." + "_".join(line.name.lower().split()),
            label=line.name,
            value=line.value,
            unit=line.unit,
            no_uncertainty_because=CHOSEN,
            how="enters the printed SNR or sensitivity",
            source=line.source,
        )
        for line in evidence.constants
    )


def _map_findings(scalar: ScalarMap, evidence: Evidence) -> tuple[Finding, ...]:
    statistics = region_statistics(scalar, evidence.maps)
    how = f"{statistics.voxels} voxels"
    findings = [
        _map_finding(scalar, name, f"{label} in the region", float(getattr(statistics, name)), how, evidence)
        for name, label in _PERCENTILES
    ]
    centre = at_centre(scalar, evidence.maps)
    if scalar.kind is MapKind.SNR and centre is not None:
        how = f"voxel nearest the centre of the region, at {printed_position(centre.at_m)}"
        findings.append(_map_finding(scalar, "centre", "at the centre of the region", centre.value, how, evidence))
    weakest = weakest_voxel(scalar, evidence.maps)
    if scalar.kind is MapKind.SNR and weakest is not None:
        how = f"worst voxel of the region, at {weakest.place}"
        findings.append(_map_finding(scalar, "least", "least in the region", weakest.value, how, evidence))
    return tuple(findings)


def _weakest(scalar: ScalarMap, evidence: Evidence) -> tuple[Finding, ...]:
    weakest = weakest_voxel(scalar, evidence.maps)
    return () if weakest is None else _place_findings(f"map.{scalar.name}.least", f"{scalar.title}, least", weakest)


def _place_findings(key: str, label: str, voxel: WeakestVoxel) -> tuple[Finding, ...]:
    """Where the worst voxel lies, for programs: its centre, its depth, its tissue."""
    figures: tuple[tuple[str, str, FindingValue, str], ...] = (
        ("at_m", "where", voxel.at_m, "m"),
        ("depth_m", "how deep", voxel.depth_m, "m"),
        ("tissue", "in which tissue", voxel.tissue, ""),
    )
    return tuple(
        Finding(
            key=f"{key}_{name}",
            label=f"{label}: {what}",
            value=value,
            unit=unit,
            no_uncertainty_because="the centre of a voxel; the finer grid's edge is its resolution",
            how=f"worst voxel of the region, at {voxel.place}",
            source="computed here",
        )
        for name, what, value, unit in figures
    )


def _map_finding(scalar: ScalarMap, name: str, label: str, value: float, how: str, evidence: Evidence) -> Finding:
    uncertainty = _map_uncertainty(scalar, value, evidence)
    return Finding(
        key=f"map.{scalar.name}.{name}",
        label=f"{scalar.title}, {label}",
        value=value,
        unit=scalar.unit,
        uncertainty=uncertainty,
        no_uncertainty_because=_NO_SECOND_GRID if uncertainty is None else None,
        how=f"{how}; {_GRID if uncertainty is not None else 'one grid'}",
        source="computed here",
    )


def _map_uncertainty(scalar: ScalarMap, value: float, evidence: Evidence) -> float | None:
    if evidence.grids is None:
        return None
    if scalar.kind is MapKind.INVERSE_G:
        by_map = {a.inverse_g_map: a.name for a in evidence.accelerations}
        return evidence.grids.inverse_g_absolute.get(by_map.get(scalar.name, ""))
    return abs(value) * evidence.grids.snr_relative


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
    return (
        *(finding for scalar in maps for finding in _map_findings(scalar, evidence)),
        *_g_findings(acceleration, evidence),
    )


def _g_findings(acceleration: AccelerationEvidence, evidence: Evidence) -> tuple[Finding, ...]:
    inverse_g = region_statistics(evidence.maps.named(acceleration.inverse_g_map), evidence.maps)
    change = None if evidence.grids is None else evidence.grids.inverse_g_absolute.get(acceleration.name)
    weakest = weakest_voxel(evidence.maps.named(acceleration.inverse_g_map), evidence.maps)
    figures = (
        ("mean", "mean g in the region", acceleration.g_mean, ""),
        ("percentile_95", "g, 95th percentile in the region", reciprocal(inverse_g.percentile_5), ""),
        ("largest", "largest g in the region", reciprocal(inverse_g.least), f"at {weakest.place}" if weakest else ""),
    )
    key, label = f"g.{acceleration.name}.largest", f"{acceleration.name}, largest g"
    places = _place_findings(key, label, weakest) if weakest else ()
    return (*(_g_finding(acceleration, *figure, change) for figure in figures), *places)


def _g_finding(
    acceleration: AccelerationEvidence, name: str, label: str, g: float, place: str, change: float | None
) -> Finding:
    known = change is not None and isfinite(g)
    definition = "; ".join(part for part in (place, "[pruessmann1999]") if part)
    return Finding(
        key=f"g.{acceleration.name}.{name}",
        label=f"{acceleration.name}: {label}",
        value=g,
        unit="1",
        uncertainty=g * g * change if known and change is not None else None,
        no_uncertainty_because=None if known else _NO_SECOND_GRID if change is None else "some voxels do not unfold",
        how=f"{definition}; {_GRID} of 1/g, times g squared" if known else definition,
        source="computed here",
    )
