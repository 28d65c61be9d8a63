"""The tables of a study over patients: one row for each case, what patients bear, accelerations, what was refused."""

from collections.abc import Callable
from math import isfinite

from loopwright.cohort import CaseFigures, CaseResult, Cohort, Outcome
from loopwright.dossier.findings import Cell, Column, Table

__all__ = [
    "accelerated_cases_table",
    "bearing_table",
    "cases_table",
    "fit_table",
    "patients_table",
    "refused_table",
    "results_table",
]

#: Nothing stands where a figure is not known; an SQLite file has null there.
_NOTHING = ""


def cases_table(cohort: Cohort) -> Table:
    """One row for each case with all of its figures, those without as well: the table for other programs."""
    columns = (*_OF_FIT, *(_columns_of_images(cohort) if cohort.images_known else ()))
    rows = [
        (*_who(cohort, result), *(_NOTHING if result.figures is None else _known(value(result.figures))
                                  for _, value in columns), result.reason)
        for result in cohort.results
    ]  # fmt: skip
    return Table(
        name="cases",
        caption="Every case with all of its figures.",
        columns=(*_WHO, *(column for column, _ in columns), Column(title="reason")),
        rows=tuple(rows),
    )


def results_table(cohort: Cohort) -> Table:
    """What the page prints of every case that has figures; all of them are in the table of cases."""
    names = ("gap, 95 %", "skin distance, median", "touching", "spanned")
    columns = [one for one in _OF_FIT if one[0].title in names]
    columns += _columns_of_images(cohort)[: -1 - 7 * len(cohort.accelerations)] if cohort.images_known else ()
    rows = [
        (result.patient, result.array, *(_known(value(result.figures)) for _, value in columns))
        for result in cohort.results if result.figures is not None
    ]  # fmt: skip
    return Table(
        name="results",
        caption="The main figures of every case; all of them are in tables/cases.csv and in cohort.sqlite.",
        columns=(Column(title="patient"), Column(title="array"), *(column for column, _ in columns)),
        rows=tuple(rows),
        rows_on_page=80,
    )


_Told = tuple[Column, Callable[[CaseFigures], float | int | str]]

_OF_FIT: tuple[_Told, ...] = (
    (Column(title="elements"), lambda found: found.elements),
    (Column(title="moved to the front", unit="m"), lambda found: found.shift_m),
    (Column(title="skin distance, median", unit="m"), lambda found: found.fit.skin_distance_median_m),
    (Column(title="skin distance, 95 %", unit="m"), lambda found: found.fit.skin_distance_percentile_95_m),
    (Column(title="skin distance, largest", unit="m"), lambda found: found.fit.skin_distance_largest_m),
    (Column(title="skin distance, least", unit="m"), lambda found: found.fit.skin_distance_least_m),
    (Column(title="gap, median", unit="m", decimals=1), lambda found: found.fit.gap_median_m),
    (Column(title="gap, 95 %", unit="m", decimals=1), lambda found: found.fit.gap_percentile_95_m),
    (Column(title="gap, largest", unit="m", decimals=1), lambda found: found.fit.gap_largest_m),
    (Column(title="gap, least", unit="m", decimals=1), lambda found: found.fit.gap_least_m),
    (Column(title="touching", unit="1", digits=2), lambda found: found.fit.touching_share),
    (Column(title="spanned", unit="1", digits=2), lambda found: found.spanned_share),
    (Column(title="mass", unit="kg"), lambda found: found.bearing.mass_kg),
    (Column(title="covered area", unit="m^2"), lambda found: found.bearing.covered_area_m2),
    (Column(title="mass over area", unit="kg/m^2"), lambda found: found.bearing.mass_per_area_kg_per_m2),
    (Column(title="pressure of weight", unit="Pa"), lambda found: found.bearing.weight_pressure_pa),
    (Column(title="pressure of strap", unit="Pa"), lambda found: found.bearing.strap_pressure_pa),
)


def _columns_of_images(cohort: Cohort) -> tuple[_Told, ...]:
    unit = cohort.unit
    columns: list[_Told] = [
        (Column(title=f"{cohort.quantity} outer, median", unit=unit), _of_images("outer_snr_median")),
        (Column(title=f"{cohort.quantity} centre", unit=unit), _of_images("centre_snr")),
        (Column(title=f"{cohort.quantity} region, median", unit=unit), _of_images("region_snr_median")),
        (Column(title=f"{cohort.quantity} region, 5 %", unit=unit), _of_images("region_snr_percentile_5")),
        (Column(title="body resistance", unit="ohm"), _of_images("body_resistance_ohm")),
        (Column(title="Q unloaded", unit="1"), _of_images("quality_unloaded")),
        (Column(title="Q loaded", unit="1"), _of_images("quality_loaded")),
        (Column(title="SNR retained, least", unit="1"), _of_images("snr_retained")),
        (Column(title="largest coupling", unit="1", digits=2), _of_images("coupling_largest")),
        (Column(title="excitation"), lambda found: found.excitation),
    ]
    for number, name in enumerate(cohort.accelerations):
        columns += [
            (Column(title=f"{name}: {title}", unit=of), _of_acceleration(number, field))
            for title, of, field in _accelerated(cohort)
        ]
    return tuple(columns)


_WHO = (
    Column(title="patient"),
    Column(title="pose"),
    Column(title="loading"),
    Column(title="age", unit="a"),
    Column(title="circumference", unit="m"),
    Column(title="array"),
    Column(title="outcome"),
)


def _who(cohort: Cohort, result: CaseResult) -> tuple[Cell, ...]:
    number = next(n for n, patient in enumerate(cohort.patients) if patient.name == result.patient)
    patient = cohort.patients[number]
    age: Cell = _NOTHING if patient.age_years is None else patient.age_years
    girth_m = float(cohort.circumference_m[number])
    return patient.name, patient.pose, patient.loading, age, girth_m, result.array, result.outcome.value


def _of_images(field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images, field)


def _of_acceleration(number: int, field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images.accelerations[number], field)


def _accelerated(cohort: Cohort) -> tuple[tuple[str, str, str], ...]:
    """Title, unit and field of what is told of an acceleration."""
    return (
        ("g, mean", "1", "g_mean"),
        ("g, 95 %", "1", "g_percentile_95"),
        ("g, largest", "1", "g_largest"),
        ("1/g, mean", "1", "inverse_g_mean"),
        ("1/g, 5 %", "1", "inverse_g_percentile_5"),
        (f"{cohort.quantity} outer, median", cohort.unit, "outer_snr_median"),
        (f"{cohort.quantity} centre", cohort.unit, "centre_snr"),
    )


def _known(value: float | str) -> Cell:
    """A figure; nothing where it is not known. What cannot be unfolded stays infinite."""
    return _NOTHING if isinstance(value, float) and value != value else value  # noqa: PLR0124 - not a number


def patients_table(cohort: Cohort) -> Table:
    """One row for each patient."""
    rows = [
        (patient.name, _NOTHING if patient.age_years is None else patient.age_years, float(girth_m), patient.pose,
         patient.loading, patient.body.kind, voxel_m)
        for patient, girth_m, voxel_m in zip(cohort.patients, cohort.circumference_m, cohort.voxels_m, strict=True)
    ]  # fmt: skip
    return Table(
        name="patients",
        caption="The patients.",
        columns=(
            Column(title="patient"),
            Column(title="age", unit="a"),
            Column(title="circumference", unit="m"),
            Column(title="pose"),
            Column(title="loading"),
            Column(title="body"),
            Column(title="voxel", unit="m"),
        ),
        rows=tuple(rows),
    )


def fit_table(cohort: Cohort) -> Table:
    """Gap and SNR of every array (columns) on every patient (rows): what the matrices draw."""
    rows: list[tuple[Cell, ...]] = []
    for number, patient in enumerate(cohort.patients):
        gaps = [_entry(value) for value in cohort.gap_percentile_95_m[:, number]]
        ratios = [_entry(value) for value in cohort.snr_ratio[:, number]]
        rows.append(
            (patient.name, float(cohort.circumference_m[number]), *gaps, *(ratios if cohort.images_known else ()))
        )
    beside = f", and outer {cohort.quantity} over that of the best array on the same patient"
    beside = beside if cohort.images_known else ""
    gap_columns = [Column(title=f"gap, {name}", unit="m", decimals=1) for name in cohort.arrays]
    ratio_columns = [Column(title=f"over best, {name}", unit="1", decimals=2) for name in cohort.arrays]
    return Table(
        name="fit",
        caption=f"95th percentile of the gap{beside}. Nothing where an array does not go on.",
        columns=(
            Column(title="patient"),
            Column(title="circumference", unit="m"),
            *gap_columns,
            *(ratio_columns if cohort.images_known else ()),
        ),
        rows=tuple(rows),
    )


def _entry(value: float) -> Cell:
    return float(value) if isfinite(value) else _NOTHING


def bearing_table(cohort: Cohort) -> Table:
    """What patients bear, for every case that was found."""
    rows = [
        (result.array, result.patient, *(_known(value) for value in (
            result.figures.bearing.mass_kg,
            result.figures.bearing.covered_area_m2,
            result.figures.bearing.mass_per_area_kg_per_m2,
            result.figures.fit.touching_share,
            result.figures.bearing.weight_pressure_pa,
            result.figures.bearing.strap_pressure_pa,
        )))
        for result in cohort.results if result.figures is not None
    ]  # fmt: skip
    return Table(
        name="bearing",
        caption="What the arrays weigh and press.",
        columns=(
            Column(title="array"),
            Column(title="patient"),
            Column(title="mass", unit="kg"),
            Column(title="covered area", unit="m^2"),
            Column(title="mass over area", unit="kg/m^2"),
            Column(title="touching", unit="1", digits=2),
            Column(title="pressure of weight", unit="Pa"),
            Column(title="pressure of strap", unit="Pa"),
        ),
        rows=tuple(rows),
        rows_on_page=24,
    )


def accelerated_cases_table(cohort: Cohort) -> Table:
    """One row for each acceleration and case."""
    told = _accelerated(cohort)
    rows = [
        (name, result.array, result.patient, *(getattr(found, field) for _, _, field in told))
        for number, name in enumerate(cohort.accelerations)
        for result in cohort.results
        if result.figures is not None and result.figures.images is not None
        for found in (result.figures.images.accelerations[number],)
    ]
    return Table(
        name="accelerations",
        caption=f"g and accelerated {cohort.quantity}.",
        columns=(
            Column(title="acceleration"),
            Column(title="array"),
            Column(title="patient"),
            *(Column(title=title, unit=unit) for title, unit, _ in told),
        ),
        rows=tuple(rows),
        rows_on_page=48,
    )


def refused_table(cohort: Cohort) -> Table:
    """One row for each case without figures."""
    rows = [
        (result.array, result.patient, result.outcome.value, result.reason)
        for result in cohort.results if result.outcome is not Outcome.FOUND
    ]  # fmt: skip
    return Table(
        name="refused",
        caption="Cases without figures.",
        columns=(Column(title="array"), Column(title="patient"), Column(title="outcome"), Column(title="reason")),
        rows=tuple(rows),
    )
