"""The part of the SNR section that holds the array against what no array can beat."""

from math import isfinite

from loopwright.dossier.evidence import Evidence, ShellEvidence
from loopwright.dossier.findings import CHOSEN, Column, Finding, Table
from loopwright.dossier.numbers import printed, printed_as_given, printed_position
from loopwright.dossier.statistics import depth_profile, region_statistics
from loopwright.imaging.settling import MOST_CHANGE

__all__ = ["ultimate_findings", "ultimate_pictures", "ultimate_prose", "ultimate_tables"]

_NO_SECOND_GRID = "no second grid was solved in this run"
_NO_VOXEL = "the bound has settled in no voxel: ask for smaller voxels or more modes"
_A_CHECK = "a check on the modes, over all voxels deeper than two voxels"
_EXACT = "counted on the voxels of this run"
_MORE = f"deeper than two voxels of the coarser grid, where more than {100 * MOST_CHANGE:.0f} % were added"
_SOURCES = "[wiesinger2004], [ohliger2003]"


def ultimate_prose(evidence: Evidence) -> tuple[str, ...]:
    """Tell in sentences how every source shell was laid and solved."""
    return tuple(_shell_sentence(shell) for shell in evidence.shells)


def ultimate_findings(evidence: Evidence) -> tuple[Finding, ...]:
    """Fraction of the closed form where there is one, then the figures of every source shell."""
    return (*_closed_form(evidence), *(f for shell in evidence.shells for f in _shell_findings(shell)))


def ultimate_tables(evidence: Evidence) -> tuple[Table, ...]:
    """For every shell the plateau of its bound, and the fraction against depth."""
    return tuple(table for shell in evidence.shells for table in (_plateau(shell), _by_depth(shell)))


def ultimate_pictures(evidence: Evidence) -> tuple[str, ...]:
    """Names of the maps of every shell, and of its plateau."""
    return tuple(
        name
        for shell in evidence.shells
        for name in (*(scalar.name for scalar in shell.maps.scalars), f"shell_{shell.coverage}_plateau")
    )


def _closed_form(evidence: Evidence) -> tuple[Finding, ...]:
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


def _shell_sentence(shell: ShellEvidence) -> str:
    where = (
        "on a complete surface round the body"
        if shell.coverage == "complete"
        else "on the part of that surface that the array covers (nearest to skin within an element's outline, "
        f"projected along the element's normal, or {printed(shell.margin_m, 'm')} round it)"
    )
    left = f" {shell.dropped} combinations below the solver's own error are left out." if shell.dropped else ""
    lie_m, apart_m = printed(shell.stand_off_m, "m"), printed(shell.spacing_m, "m")
    return (
        f"Source shell, {shell.coverage}: {shell.sources} small closed loops {where}, {lie_m} from the skin, about "
        f"{apart_m} apart, in three directions each. The {shell.modes} combinations that reach the body most strongly "
        f"are solved on voxels of {printed_as_given(shell.voxel_m, 'm')}, the coarser grid of this run; array and "
        "bound are compared on that grid, deeper than two of its voxels. Noise is that of the body alone: the array's "
        f"own losses and what the sources radiate are left out of the bound.{left} The array's own "
        f"{shell.array_sources} sources {_what_they_are(shell)}, so that no fraction can exceed 1. "
        f"{_settled_sentence(shell)}"
    )


def _settled_sentence(shell: ShellEvidence) -> str:
    return (
        "More combinations can only raise the bound and lower the fraction, most of all near the skin: fractions are "
        "told where the second half of the combinations and the array's own sources added at most "
        f"{100 * MOST_CHANGE:.0f} %, which leaves out {100 * shell.settling.left_out:.0f} % of the voxels"
        + "".join(f", {100 * a.settling.left_out:.0f} % with {a.name}" for a in shell.accelerated_fractions)
        + "."
    )


def _what_they_are(shell: ShellEvidence) -> str:
    said = "(loop modes, or its gaps where conductors carry currents of their own) are added to the combinations"
    if shell.part_modes:
        said += f", and the {shell.part_modes} combinations of the covered part, which reach nearer to the skin there"
    return said


def _shell_findings(shell: ShellEvidence) -> tuple[Finding, ...]:
    modes = Finding(
        key=f"ultimate.{shell.coverage}.modes",
        label=f"modes of the source shell, {shell.coverage}",
        value=float(shell.modes),
        unit="1",
        no_uncertainty_because=CHOSEN,
        how=f"of {shell.sources} small loops",
        source="the brief",
    )
    return (_deepest(shell), *_over_voxels(shell), *_settling(shell), modes)


def _deepest(shell: ShellEvidence) -> Finding:
    place = shell.plateau[0]
    return _figure(
        shell,
        "fraction_deepest",
        f"SNR as a fraction of the {shell.against} in the deepest voxel",
        shell.fraction_deepest,
        f"at {printed_position(place.at_m)}; uncertainty: what the second half of the combinations added",
        change=shell.change_deepest,
    )


def _over_voxels(shell: ShellEvidence) -> tuple[Finding, ...]:
    statistics = region_statistics(shell.maps.named(shell.fraction_map), shell.maps)
    how = f"{statistics.voxels} voxels of the coarser grid; uncertainty: what the second half of the combinations added"
    median, most = f"{how}, median", f"{how}, at most"
    settling = shell.settling
    without = "above 1 by as much as the modes fail to span the array's fields"
    label = f"SNR as a fraction of the {shell.against}"
    return (
        _figure(shell, "fraction_median", f"{label}, median", statistics.median, median, settling.median),
        _figure(shell, "fraction_largest", f"{label}, largest", statistics.largest, most, settling.largest),
        Finding(
            key=f"ultimate.{shell.coverage}.fraction_without_array",
            label=f"{label}, largest, the array's own sources not added to the modes",
            value=shell.without_array,
            unit="1",
            no_uncertainty_because=_A_CHECK,
            how=without,
            source=_SOURCES,
        ),
        *(
            _figure(
                shell,
                f"{one.name}.fraction_largest",
                f"{one.name}: accelerated {label}, largest",
                one.largest,
                "uncertainty: what the second half of the combinations added, at most",
                one.settling.largest,
            )
            for one in shell.accelerated_fractions
        ),
    )


def _settling(shell: ShellEvidence) -> tuple[Finding, ...]:
    """Tell how much the bound still changed, and how many voxels that left out."""
    added = f"added by the second half of the combinations to the {shell.against}"
    told = (
        ("change_median", f"{added}, median", shell.settling.median, "voxels where fractions are told"),
        ("change_largest", f"{added}, largest", shell.settling.largest, "voxels where fractions are told"),
        ("left_out", f"share of voxels without a fraction of the {shell.against}", shell.settling.left_out, _MORE),
        *(
            (
                f"{one.name}.left_out",
                f"{one.name}: share of voxels without an accelerated fraction of the {shell.against}",
                one.settling.left_out,
                _MORE,
            )
            for one in shell.accelerated_fractions
        ),
    )
    return tuple(
        Finding(
            key=f"ultimate.{shell.coverage}.{key}",
            label=label,
            value=value,
            unit="1",
            no_uncertainty_because=_EXACT,
            how=how,
            source=_SOURCES,
        )
        for key, label, value, how in told
    )


def _figure(shell: ShellEvidence, key: str, label: str, value: float, how: str, change: float) -> Finding:
    """Return a fraction, uncertain by what its bound still changed."""
    known = isfinite(value)
    return Finding(
        key=f"ultimate.{shell.coverage}.{key}",
        label=label,
        value=value,
        unit="1",
        uncertainty=value * change if known else None,
        no_uncertainty_because=None if known else _NO_VOXEL,
        how=how,
        source=_SOURCES,
    )


def _plateau(shell: ShellEvidence) -> Table:
    return Table(
        name=f"ultimate_{shell.coverage}_plateau",
        caption=f"Source shell, {shell.coverage}: the bound in three voxels with fewer modes, as a part of that with "
        f"all {shell.modes}; the array's own sources not added. Where the last steps still differ, it would rise on.",
        columns=(
            Column(title="voxel"),
            Column(title="at"),
            Column(title="depth", unit="m"),
            *(Column(title=f"{count} modes", digits=4) for count in shell.mode_counts),
            Column(title="all", unit="T A^-1 ohm^-1/2", digits=4),
        ),
        rows=tuple(
            (
                line.place,
                printed_position(line.at_m),
                line.depth_m,
                *(value / line.values[-1] for value in line.values),
                line.values[-1],
            )
            for line in shell.plateau
        ),
    )


def _by_depth(shell: ShellEvidence) -> Table:
    scalar = shell.maps.named(shell.fraction_map)
    profile = depth_profile(scalar, shell.maps)
    rows = zip(profile.depth_m, profile.percentile_10, profile.median, profile.percentile_90, strict=True)
    return Table(
        name=f"ultimate_{shell.coverage}_depth",
        caption=f"{scalar.title[0].upper()}{scalar.title[1:]} against depth, coarser grid; only "
        "where the bound has settled.",
        columns=(
            Column(title="depth", unit="m"),
            *(Column(title=title, digits=3) for title in ("10th percentile", "median", "90th percentile")),
        ),
        rows=tuple(tuple(float(value) for value in row) for row in rows),
    )
