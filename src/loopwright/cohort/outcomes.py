"""All cases of a study together: who fits into what, what is lost, and which sizes are needed."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief import CohortPatient, CohortRequest
from loopwright.cohort.cases import Asked, CaseFigures, CaseResult
from loopwright.cohort.sizes import SizeSet, smallest_set

__all__ = ["Cohort", "cohort_of"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cohort:
    """What a study leaves. Matrices have the axes (arrays, patients), NaN where a case was refused or failed.

    Attributes
    ----------
    title : str
    request : CohortRequest
    asked : Asked
    results : tuple of CaseResult
        Patient by patient, array by array.
    patients : tuple of CohortPatient
    arrays : tuple of str
        Names, each with its stand-off where the study varies it.
    circumference_m : ndarray, shape (patients,)
        [m]
    quantity, unit : str
        ``SNR`` and ``1``, or ``sensitivity`` and its unit where SNR is not known.
    accelerations : tuple of str
        Their names.
    gap_percentile_95_m : ndarray
        [m]
    spanned_share : ndarray
        Part of the tape round the patient that the array spans.
    snr_ratio : ndarray
        Outer SNR over that of the best array on the same patient; NaN without images.
    by_gap, by_snr : SizeSet or None
        Smallest sets for the limits of the study, by gap of stiff arrays and films only; None where it sets none.
    voxels_m : tuple of float
        Voxel of every patient. [m]
    """

    title: str
    request: CohortRequest
    asked: Asked
    results: tuple[CaseResult, ...]
    patients: tuple[CohortPatient, ...]
    arrays: tuple[str, ...]
    circumference_m: Real
    quantity: str
    unit: str
    accelerations: tuple[str, ...]
    gap_percentile_95_m: Real
    spanned_share: Real
    snr_ratio: Real
    by_gap: SizeSet | None
    by_snr: SizeSet | None
    voxels_m: tuple[float, ...]

    @property
    def images_known(self) -> bool:
        """Whether any case has images."""
        return any(one.figures is not None and one.figures.images is not None for one in self.results)

    def figures(self, array: int, patient: int) -> CaseFigures | None:
        """Figures of an array on a patient, both by index."""
        return self.results[patient * len(self.arrays) + array].figures

    def matrix(self, value: Callable[[CaseFigures], float]) -> Real:
        """One figure of all cases, shape (arrays, patients); NaN where there is none."""
        return _matrix(self.results, len(self.arrays), value)

    @property
    def ages_years(self) -> Real | None:
        """Ages of all patients since birth, shape (patients,); None where one is not known. [a]"""
        ages = [patient.age_years for patient in self.patients]
        return None if None in ages else np.array(ages, dtype=np.float64)


def cohort_of(
    request: CohortRequest,
    results: tuple[CaseResult, ...],
    *,
    title: str,
    asked: Asked,
    arrays: tuple[str, ...],
    circumference_m: Real,
    quantity: str,
    unit: str,
    accelerations: tuple[str, ...],
) -> Cohort:
    """Put the cases of a study together.

    Parameters
    ----------
    request : CohortRequest
        The study.
    results : tuple of CaseResult
        Every case: patient by patient, in the order of ``arrays``.
    title : str
        That of the brief.
    asked : Asked
        What was asked for.
    arrays : tuple of str
        Names, each with its stand-off where the study varies it.
    circumference_m : ndarray, shape (patients,)
        Circumferences. [m]
    quantity, unit : str
        What SNR figures are.
    accelerations : tuple of str
        Names of the accelerations.
    """
    gap_m = _matrix(results, len(arrays), lambda found: found.fit.gap_percentile_95_m)
    spanned = _matrix(results, len(arrays), lambda found: found.spanned_share)
    ratio = _ratio(_matrix(results, len(arrays), _outer_snr))
    limits = request.limits
    by_snr = None
    if limits.snr_loss is not None and np.isfinite(ratio).any():
        by_snr = smallest_set(1 - ratio, limit=limits.snr_loss, circumference_m=circumference_m)
    return Cohort(
        title=title,
        request=request,
        asked=asked,
        results=results,
        patients=request.patients,
        arrays=arrays,
        circumference_m=circumference_m,
        quantity=quantity,
        unit=unit,
        accelerations=accelerations,
        gap_percentile_95_m=gap_m,
        spanned_share=spanned,
        snr_ratio=ratio,
        by_gap=_set_of_gapped(request, gap_m, spanned, arrays, circumference_m),
        by_snr=by_snr,
        voxels_m=tuple(patient.body.voxel_m for patient in request.patients),
    )


def _set_of_gapped(
    request: CohortRequest, gap_m: Real, spanned: Real, arrays: tuple[str, ...], circumference_m: Real
) -> SizeSet | None:
    """Smallest set of stiff arrays and films: one that follows every skin has no gap by definition, and always does.

    One that spans too little of a patient does not serve that patient.
    """
    per_array = len(arrays) // len(request.arrays)
    gapped = [one.former is not None or one.array.film is not None for one in request.arrays]
    if request.limits.gap_m is None or not any(gapped):
        return None
    misfit = np.where(np.repeat(gapped, per_array)[:, None], gap_m, np.nan)
    misfit = np.where(spanned >= (request.limits.spanned_share or 0.0), misfit, np.nan)
    return smallest_set(misfit, limit=request.limits.gap_m, circumference_m=circumference_m)


def _outer_snr(found: CaseFigures) -> float:
    return float("nan") if found.images is None else found.images.outer_snr_median


def _matrix(results: tuple[CaseResult, ...], arrays: int, value: Callable[[CaseFigures], float]) -> Real:
    values = [float("nan") if one.figures is None else value(one.figures) for one in results]
    return np.array(values, dtype=np.float64).reshape(-1, arrays).T


def _ratio(snr: Real) -> Real:
    """Each over the best of its column."""
    best = np.where(np.isfinite(snr), snr, -np.inf).max(axis=0)
    return snr / np.where(np.isfinite(best), best, np.nan)
