"""Whom do the arrays fit, what does misfit cost, and how many sizes are needed?

From one array on one patient (a :class:`Case`) to its figures, and from all of them to the smallest set of sizes. Cases
are carried out by ``study.py``.
"""

from loopwright.cohort.bearing import NOT_ASSESSED, Bearing, bearing_of, held_against
from loopwright.cohort.cases import (
    Asked,
    Case,
    CaseFigures,
    CaseResult,
    Outcome,
    cases_of,
    from_arrays,
    to_arrays,
)
from loopwright.cohort.girths import circumference_m, spanned_share
from loopwright.cohort.images import AcceleratedImages, Images, images_of
from loopwright.cohort.outcomes import Cohort, cohort_of
from loopwright.cohort.sizes import Band, SizeSet, smallest_set
from loopwright.cohort.wearing import GAP_EDGES_M, Fit, Worn, fit_of, put_on

__all__ = [
    "GAP_EDGES_M",
    "NOT_ASSESSED",
    "AcceleratedImages",
    "Asked",
    "Band",
    "Bearing",
    "Case",
    "CaseFigures",
    "CaseResult",
    "Cohort",
    "Fit",
    "Images",
    "Outcome",
    "SizeSet",
    "Worn",
    "bearing_of",
    "cases_of",
    "circumference_m",
    "cohort_of",
    "fit_of",
    "from_arrays",
    "held_against",
    "images_of",
    "put_on",
    "smallest_set",
    "spanned_share",
    "to_arrays",
]
