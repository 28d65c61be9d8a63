"""The figures of a study over patients, for programs."""

from collections.abc import Callable, Iterator

from loopwright.cohort import CaseFigures, Cohort, SizeSet
from loopwright.dossier.findings import CHOSEN, Finding, FindingValue

__all__ = ["array_findings", "size_findings"]

_ONE_GRID = "every case was solved on one grid; what a finer one changes is not known"
_SHAPES = "it follows from shapes alone"
_COUNTED = "it is counted"


def size_findings(cohort: Cohort) -> tuple[Finding, ...]:
    """Patients, arrays and the smallest sets of sizes."""
    return (
        _finding("cohort.patients", "patients", tuple(one.name for one in cohort.patients), "", CHOSEN),
        _finding("cohort.circumference_m", "their circumferences", _row(cohort.circumference_m), "m", _SHAPES),
        _finding("cohort.arrays", "arrays", cohort.arrays, "", CHOSEN),
        _finding("cohort.asked", "what was asked for", cohort.asked.value, "", CHOSEN),
        *(() if cohort.by_gap is None else _set("gap", "m", cohort.by_gap, cohort)),
        *(() if cohort.by_snr is None else _set("snr_loss", "1", cohort.by_snr, cohort)),
    )


def _set(which: str, unit: str, found: SizeSet, cohort: Cohort) -> tuple[Finding, ...]:
    key = f"cohort.sizes_by_{which}"
    told = "gap" if which == "gap" else "loss of SNR"
    names = tuple(cohort.arrays[index] for index in found.arrays)
    unserved = tuple(cohort.patients[index].name for index in found.unserved)
    return (
        _finding(f"{key}.limit", f"limit of the {told}", found.limit, unit, CHOSEN),
        _finding(f"{key}.arrays", f"smallest set that keeps the {told}", names, "", _COUNTED),
        _finding(f"{key}.unserved", f"patients on whom no array keeps the {told}", unserved, "", _COUNTED),
        _finding(f"{key}.equals", f"other sets of as few arrays that keep the {told}", found.equals, "1", _COUNTED),
    )


def array_findings(cohort: Cohort) -> tuple[Finding, ...]:
    """Figures of every array, one entry for each patient."""
    return tuple(finding for number in range(len(cohort.arrays)) for finding in _of_array(number, cohort))


def _of_array(number: int, cohort: Cohort) -> Iterator[Finding]:
    name = cohort.arrays[number]

    def told(key: str, label: str, unit: str, why: str, value: Callable[[CaseFigures], float]) -> Finding:
        return _finding(f"cohort.{name}.{key}", f"{name}: {label}", _row(cohort.matrix(value)[number]), unit, why)

    yield told("gap_percentile_95_m", "95th percentile of the gap", "m", _SHAPES, lambda f: f.fit.gap_percentile_95_m)
    yield told("skin_distance_median_m", "median distance of conductors from the skin", "m", _SHAPES,
               lambda f: f.fit.skin_distance_median_m)  # fmt: skip
    yield told("spanned_share", "part of the tape round the patient that it spans", "1", _SHAPES,
               lambda f: f.spanned_share)  # fmt: skip
    yield told("mass_per_area_kg_per_m2", "mass over covered area", "kg/m^2", _SHAPES,
               lambda f: f.bearing.mass_per_area_kg_per_m2)  # fmt: skip
    if not cohort.images_known:
        return
    for key, label, unit in (
        ("outer_snr_median", f"{cohort.quantity}, median of the outer layer", cohort.unit),
        ("centre_snr", f"{cohort.quantity} at the centre", cohort.unit),
        ("body_resistance_ohm", "body resistance, median of the elements", "ohm"),
    ):
        yield told(key, label, unit, _ONE_GRID, _of_images(key))
    ratio = _row(cohort.snr_ratio[number])
    yield _finding(f"cohort.{name}.snr_ratio", f"{name}: outer {cohort.quantity} over the best array's", ratio, "1",
                   _ONE_GRID)  # fmt: skip
    for which, acceleration in enumerate(cohort.accelerations):
        for key, label in (
            ("g_mean", "mean g"),
            ("g_percentile_95", "95th percentile of g"),
            ("g_largest", "largest g"),
        ):
            yield told(
                f"{acceleration}.{key}", f"{label}, {acceleration}", "1", _ONE_GRID, _of_acceleration(which, key)
            )


def _of_images(field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images, field)


def _of_acceleration(number: int, field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images.accelerations[number], field)


def _row(values: object) -> tuple[float, ...]:
    return tuple(float(value) for value in values)  # type: ignore[attr-defined]


def _finding(key: str, label: str, value: FindingValue, unit: str, why: str) -> Finding:
    return Finding(
        key=key,
        label=label,
        value=value,
        unit=unit,
        no_uncertainty_because=why,
        how="as asked" if why == CHOSEN else "found from the cases",
        source="the brief" if why == CHOSEN else "computed here",
    )
