"""Arrays carried out over patients: the job of job.py once for each case, as far as the study asks."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from loopwright import __version__, bodies, cohort, conductors, dossier, fields, imaging, layouts
from loopwright.brief import ArrayRequest, Brief, CohortSet, PlannedCase, RefusedCase
from loopwright.cohort import Asked, Case, CaseFigures, CaseResult, Outcome
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from loopwright.ground.executing import Done, Executor
from loopwright.ground.means import Means
from loopwright.ground.progress import PieceStore, Progress
from loopwright.job import answers_on, coarse_voxel_m, dressed_array, driven_array
from loopwright.questions import loop_coupling

__all__ = ["ImagedCase", "StudyOutcome", "carry_out_case", "carry_out_study", "imaged_case", "worn_array"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyOutcome:
    """What a study leaves: all cases and what they say together, and the page that is written from them."""

    cohort: cohort.Cohort
    dossier: dossier.Dossier


@dataclass(frozen=True, slots=True, kw_only=True)
class ImagedCase:
    """One array on one patient with its maps."""

    worn: cohort.Worn
    excitation: fields.Excitation
    found: dossier.OnGrid


def carry_out_study(
    wanted: CohortSet,
    asked: Asked,
    *,
    executor: Executor,
    work: Callable[[Case], CaseResult],
    store: PieceStore,
    progress: Progress,
) -> StudyOutcome:
    """Carry out every case of a study that the store does not hold, and put all of them together.

    Parameters
    ----------
    wanted : CohortSet
        The study, as read from the brief.
    asked : Asked
        Whether images are wanted, or only how arrays fit.
    executor : Executor
        Who carries the cases out.
    work : callable
        Carries out one case wherever the executor sends it; :func:`carry_out_case` with means of its own.
    store : PieceStore
        Where finished cases are kept, so that a study that was stopped goes on from there.
    progress : Progress
        Told of every case.

    Raises
    ------
    OutsideModelError
        If no case has figures.
    """
    cases = cohort.cases_of(wanted.request, wanted.planned, asked)
    results = _refused_at_reading(wanted)
    results |= _kept(cases, store)
    left = [case for case in cases if _place(case) not in results]
    progress.note(f"{len(cases)} cases, {len(cases) - len(left)} of them kept from before")
    progress.begin("cases", len(left))
    for finished in executor.carry_out(work, left):
        case = left[finished.index]
        result = finished.answer if isinstance(finished, Done) else _without(case, Outcome.FAILED, finished.reason)
        if result.figures is not None:
            store.save(case.key, cohort.to_arrays(result.figures))
        else:
            progress.note(f"{case.name}: {result.outcome.value}, {result.reason}")
        results[_place(case)] = result
        progress.advance()
    found = _together(wanted, asked, results)
    return StudyOutcome(cohort=found, dossier=dossier.compile_cohort(wanted.planned[0].brief, found, __version__))


def carry_out_case(case: Case, means: Means) -> CaseResult:
    """Carry out one case; what a model cannot tell is a refusal with its reason, not an error.

    Parameters
    ----------
    case : Case
        Who wears what.
    means : Means
        What it is carried out with.
    """
    try:
        figures = _fitted(case) if case.asked is Asked.FIT else _imaged(case, means)
    except (OutsideModelError, NotConvergedError) as error:
        return _without(case, Outcome.REFUSED, str(error))
    return CaseResult(patient=case.planned.patient.name, array=case.array_name, outcome=Outcome.FOUND, figures=figures)


def _without(case: Case, outcome: Outcome, reason: str) -> CaseResult:
    return CaseResult(patient=case.planned.patient.name, array=case.array_name, outcome=outcome, reason=reason)


def _fitted(case: Case) -> CaseFigures:
    """How the array fits: shapes only, no grid and no field."""
    brief = case.planned.brief
    patient = bodies.solid_of(brief.body)
    ground = patient if case.planned.array.former is None else bodies.solid_of(case.planned.array.former)
    coupling = loop_coupling(brief) if brief.array.asks_for_zero_coupling else None
    layout = _laid_out(brief.array, ground, brief.computation.segments_per_element, coupling)
    return _figures(case, worn_array(case, layout, ground, patient), patient)


@lru_cache(maxsize=16)
def _laid_out(
    array: ArrayRequest, ground: bodies.Solid, segments: int, coupling: fields.LoopCoupling | None
) -> layouts.Layout:
    """The array on what it is laid on: a stiff one is laid once, and goes on many patients."""
    return layouts.arrange_on(array, ground, segments_per_element=segments, coupling=coupling)


def imaged_case(case: Case, means: Means) -> ImagedCase:
    """One case with its maps: the array put on the patient, and all that depends on the grid.

    Parameters
    ----------
    case : Case
        Who wears what.
    means : Means
        What it is carried out with.

    Raises
    ------
    OutsideModelError, NotConvergedError
        When a model is asked for something that it cannot tell.
    """
    brief, former = case.planned.brief, case.planned.array.former
    body = _placed(brief)
    imaging.check_region(brief.imaging, body)
    ground = body.solid if former is None else bodies.solid_of(former)
    dressed = _dressed(brief if former is None else brief.model_copy(update={"body": former}), ground, means)
    worn = worn_array(case, dressed.layout, ground, body.solid)
    dressed = replace(dressed, layout=worn.layout)
    excitation = fields.chosen_excitation(brief.computation.excitation, dressed, body)
    found = answers_on(brief, body, driven_array(brief, dressed, excitation), means)
    return ImagedCase(worn=worn, excitation=excitation, found=found)


def _dressed(formed: Brief, ground: bodies.Solid, means: Means) -> conductors.DressedLayout:
    """The array on the body that it was formed on, or lies on; only a search for zero coupling needs its grids."""
    if formed.array.asks_for_zero_coupling:
        return dressed_array(formed, _placed(formed), _placed(formed, coarse_voxel_m(formed)), means)
    layout = _laid_out(formed.array, ground, formed.computation.segments_per_element, None)
    return conductors.dress(formed.conductor, layout)


def _imaged(case: Case, means: Means) -> CaseFigures:
    """How it fits, and its images."""
    one = imaged_case(case, means)
    images = cohort.images_of(
        one.found.quality,
        one.found.array,
        grid=one.found.body.grid,
        outer_layer_m=case.request.outer_layer_m,
        centre_radius_m=case.request.centre_radius_m,
    )
    figures = _figures(case, one.worn, one.found.body.solid)
    return replace(figures, images=images, excitation=one.excitation.value)


def _placed(brief: Brief, voxel_m: float | None = None) -> bodies.Body:
    return bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz, voxel_m=voxel_m)


def worn_array(case: Case, layout: layouts.Layout, ground: bodies.Solid, patient: bodies.Solid) -> cohort.Worn:
    """An array that was laid out on the ground of its case, put on the patient."""
    array = case.planned.array
    rest = None if array.former is None else case.request.rest
    stand_offs = [tiling.stand_off_m for tiling in case.planned.brief.array.tilings]
    return cohort.put_on(
        layout,
        laid_on=ground,
        patient=patient,
        rest=rest,
        give_m=array.give_m,
        padding_m=max(stand_offs, default=np.inf),
    )


def _figures(case: Case, worn: cohort.Worn, patient: bodies.Solid) -> CaseFigures:
    fit = cohort.fit_of(worn)
    planned = case.planned
    bearing = cohort.bearing_of(
        worn.layout, fit, array=planned.array, conductor=planned.brief.conductor, patient=patient
    )
    return CaseFigures(
        elements=len(worn.layout.elements),
        shift_m=0.0 - worn.shift_m[1],  # no negative zero
        spanned_share=cohort.spanned_share(worn.layout, patient),
        fit=fit,
        bearing=bearing,
    )


Place = tuple[str, str]


def _place(case: Case) -> Place:
    return case.planned.patient.name, case.array_name


def _refused_at_reading(wanted: CohortSet) -> dict[Place, CaseResult]:
    found = {}
    for one in wanted.refused:
        array = f"{one.array.name}, {one.stand_off}" if one.stand_off else one.array.name
        found[one.patient.name, array] = CaseResult(
            patient=one.patient.name, array=array, outcome=Outcome.REFUSED, reason=one.reason
        )
    return found


def _kept(cases: tuple[Case, ...], store: PieceStore) -> dict[Place, CaseResult]:
    """Cases of an earlier run that are still in the store."""
    found = {}
    for case in cases:
        arrays = store.load(case.key)
        figures = None if arrays is None else cohort.from_arrays(arrays)
        if figures is not None:
            patient, array = _place(case)
            found[patient, array] = CaseResult(patient=patient, array=array, outcome=Outcome.FOUND, figures=figures)
    return found


def _together(wanted: CohortSet, asked: Asked, results: dict[Place, CaseResult]) -> cohort.Cohort:
    arrays = tuple(dict.fromkeys(array for _, array in _places(wanted)))
    ordered = tuple(results[patient.name, array] for patient in wanted.request.patients for array in arrays)
    if all(result.figures is None for result in ordered):
        raise OutsideModelError(f"no case could be carried out; the last one: {ordered[-1].reason}")
    brief = wanted.planned[0].brief
    absolute = brief.scanner.nucleus == "1H" or brief.scanner.magnetisation_a_per_m is not None
    circumference_m = [
        patient.circumference_m or cohort.circumference_m(bodies.solid_of(patient.body))
        for patient in wanted.request.patients
    ]
    return cohort.cohort_of(
        wanted.request,
        ordered,
        title=wanted.title,
        asked=asked,
        arrays=arrays,
        circumference_m=np.array(circumference_m),
        quantity="SNR" if absolute else "sensitivity",
        unit="1" if absolute else "T A^-1 ohm^-1/2",
        accelerations=tuple(one.name for one in brief.imaging.accelerations),
    )


def _places(wanted: CohortSet) -> list[Place]:
    """Patient and array of every case, planned or refused, array by array in the order of the study."""
    order = {array.name: number for number, array in enumerate(wanted.request.arrays)}
    every: list[PlannedCase | RefusedCase] = [*wanted.planned, *wanted.refused]
    stand_offs = tuple(dict.fromkeys(one.stand_off for one in every))
    every.sort(key=lambda one: (order[one.array.name], stand_offs.index(one.stand_off)))
    return [
        (one.patient.name, f"{one.array.name}, {one.stand_off}" if one.stand_off else one.array.name) for one in every
    ]
