"""The page of a study over patients: which sizes, whom they fit, what misfit costs, what patients bear."""

import numpy as np

from loopwright.brief.records import Brief
from loopwright.cohort import Asked, Cohort, Outcome, SizeSet, held_against
from loopwright.dossier.citations import methods_of
from loopwright.dossier.cohort_findings import array_findings, size_findings
from loopwright.dossier.cohort_tables import (
    accelerated_cases_table,
    bearing_table,
    fit_table,
    patients_table,
    refused_table,
    results_table,
)
from loopwright.dossier.findings import Answer, Dossier, Section
from loopwright.dossier.numbers import printed, printed_as_given
from loopwright.dossier.trust import limits_section
from loopwright.fields import Excitation

__all__ = ["compile_cohort"]

#: Methods of a run that a study does not come to.
_NOT_HERE = {"ultimate SNR", "ultimate SNR from a source shell"}


def compile_cohort(brief: Brief, cohort: Cohort, tool_version: str) -> Dossier:
    """Write the page of a study, apart from its references, which the writer of the page looks up.

    Parameters
    ----------
    brief : Brief
        That of the first case, for what all have in common.
    cohort : Cohort
        All cases and what they say together.
    tool_version : str
        Version of loopwright.
    """
    imaged = cohort.images_known
    return Dossier(
        title=cohort.title,
        tool_version=tool_version,
        element_names=(),
        subject=f"Study of {len(cohort.arrays)} arrays over {len(cohort.patients)} patients.",
        sections=(
            _answers(cohort),
            _fit(cohort),
            *((_images(cohort),) if imaged else ()),
            *((_acceleration(cohort),) if imaged and cohort.accelerations else ()),
            _bearing(cohort),
            *_refused(cohort),
            _trust(cohort, brief),
            *((limits_section(_excitation(cohort)),) if imaged else ()),
        ),
        methods=tuple(name for name in methods_of(brief) if name not in _NOT_HERE) if imaged else (),
    )


def _answers(cohort: Cohort) -> Section:
    answers = [*_size_answers(cohort), *_cost_answers(cohort)]
    pictures = ["gap_matrix", *(("sizes",) if cohort.by_gap or cohort.by_snr else ())]
    return Section(
        anchor="answers",
        title="Which sizes, and whom they fit",
        answers=tuple(answers),
        findings=size_findings(cohort),
        pictures=tuple(pictures),
    )


def _size_answers(cohort: Cohort) -> list[Answer]:
    answers = []
    if cohort.by_gap is not None:
        limit = printed_as_given(cohort.by_gap.limit, "m")
        answers.append(
            Answer(
                question=f"Which sizes keep the gap at or below {limit} along 95 % of the "
                f"conductors{_spanning(cohort)}?",
                answer=_set_told(cohort.by_gap, cohort),
                section="fit",
            )
        )
    if cohort.by_snr is not None:
        answers.append(
            Answer(
                question=f"Which sizes lose at most {100 * cohort.by_snr.limit:g} % of the outer {cohort.quantity}?",
                answer=_set_told(cohort.by_snr, cohort),
                section="images",
            )
        )
    if not answers:
        answers.append(
            Answer(
                question="Which sizes are needed?",
                answer="The study sets no limit: write `gap` or `snr_loss` below `cohort.limits`.",
                section="fit",
            )
        )
    return answers


def _spanning(cohort: Cohort) -> str:
    least = cohort.request.limits.spanned_share
    return "" if least is None else f" and span {100 * least:g} % of the circumference or more"


def _set_told(found: SizeSet, cohort: Cohort) -> str:
    names = [patient.name for patient in cohort.patients]
    sentences = []
    if found.arrays:
        number = len(found.arrays)
        sentences.append(f"{_COUNTS.get(number, number)} of {len(cohort.arrays)} arrays: {_bands_told(found, cohort)}.")
    if found.equals:
        sentences.append(f"{found.equals} other set{'s' if found.equals > 1 else ''} of as few would do as well.")
    if found.arrays and found.bands is None:
        sentences.append("No set of so few divides the patients into ranges of circumference.")
    if found.unserved:
        sentences.append(f"No array keeps it on {', '.join(names[index] for index in found.unserved)}.")
    sentences.append("That holds for these patients; between two of them nobody has looked.")
    return " ".join(sentences)


_COUNTS = {1: "One", 2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}


def _bands_told(found: SizeSet, cohort: Cohort) -> str:
    if found.bands is None:
        return ", ".join(cohort.arrays[index] for index in found.arrays)
    told = []
    for band in found.bands:
        first, last = (float(cohort.circumference_m[band.patients[end]]) for end in (0, -1))
        span = f"a circumference of {printed(first, 'm')}"
        if first != last:
            span = f"circumferences of {printed(first, 'm')} to {printed(last, 'm')}"
        told.append(f"{cohort.arrays[band.array]} for {span}")
    return "; ".join(told)


def _cost_answers(cohort: Cohort) -> list[Answer]:
    if not cohort.images_known:
        return []
    sentences = []
    for number, name in enumerate(cohort.arrays):
        ratios = cohort.snr_ratio[number]
        if np.isfinite(ratios).any():
            worst = int(np.nanargmin(ratios))
            none = ", ".join(cohort.patients[number].name for number in np.flatnonzero(~np.isfinite(ratios)))
            sentences.append(
                f"{name}: down to {100 * ratios[worst]:.0f} % of the best array, on {cohort.patients[worst].name}"
                f"{f'; no figure on {none}' if none else ''}."
            )
    question = f"What does misfit cost in {cohort.quantity} of the outer layer?"
    return [Answer(question=question, answer=" ".join(sentences), section="images")]


def _fit(cohort: Cohort) -> Section:
    rest = {
        "back": "moved from origin on origin to the back (+y), until padding stops it anywhere",
        "centre": "with its origin on that of the array's former",
        "front": "brought to the front (-y) from behind it, until padding stops it anywhere",
    }[cohort.request.rest]
    stiff = (
        "Gap: distance of a conductor's line from the patient's skin, less its distance from the skin of the former on "
        "which the array was laid; percentiles are along all conductors. It is what comes on top of the stand-off. A "
        f"patient lies in a stiff array {rest}; nothing turns. A film without a former has the gap by "
        "which it stands off beyond its layers. Any other array without a former follows the skin and has no gap by "
        "definition: hollows that its carrier bridges are not part of this study. Spanned: the part of a tape round "
        "the patient at z = 0, seen along z, that lies from one end of the array to the other."
    )
    return Section(
        anchor="fit",
        title="How the arrays fit",
        prose=(stiff,),
        findings=array_findings(cohort),
        tables=(fit_table(cohort), patients_table(cohort), results_table(cohort)),
        pictures=("gap_histograms",),
    )


def _images(cohort: Cohort) -> Section:
    request = cohort.request
    layer, radius = printed_as_given(request.outer_layer_m, "m"), printed_as_given(request.centre_radius_m, "m")
    definitions = (
        f"{cohort.quantity} of the optimum combination. Outer: voxels of the imaging region within {layer} of its own "
        f"edge, the median. Centre: voxels within {radius} of the region's centroid, the mean. “Over the best” "
        "compares the outer medians of the arrays on one patient, on one grid. Every array is tuned and matched anew "
        "on every patient."
    )
    return Section(
        anchor="images",
        title="What misfit costs",
        prose=(definitions, *_mixed(cohort)),
        pictures=("snr_matrix", "snr_over_patients"),
    )


def _mixed(cohort: Cohort) -> tuple[str, ...]:
    found = {result.figures.excitation for result in cohort.results if result.figures is not None}
    if len(found) < 2:
        return ()
    sentence = (
        f"Cases were solved with different excitations ({', '.join(sorted(found))}), which may differ by 1 % in the "
        "body's resistance; `computation.excitation` asks for one."
    )
    return (sentence,)


def _excitation(cohort: Cohort) -> Excitation:
    found = [result.figures.excitation for result in cohort.results if result.figures is not None]
    return Excitation(found[0])


def _acceleration(cohort: Cohort) -> Section:
    prose = (
        "Over the voxels of the region that are imaged. The median and mean of accelerated images are over the same "
        "outer layer and centre as without."
    )
    return Section(
        anchor="acceleration",
        title="Accelerated imaging",
        prose=(prose,),
        tables=(accelerated_cases_table(cohort),),
        pictures=("g_over_patients",),
    )


def _bearing(cohort: Cohort) -> Section:
    prose = (
        "Mass: as weighed where the study says so, else that of conductor and films, the least that the array weighs: "
        "capacitors, boards, cables and covers come on top. Area: what the elements cover, overlaps once. Pressure of "
        "weight: all of it on the part of that area that lies within 1 mm of its stand-off, for arrays that follow the "
        "skin; hollows that their carrier bridges count as touched, so theirs is the least that it can be. A stiff "
        "array stands by itself. Pressure of a strap: its pull over its width and the least radius of the "
        "ellipse as wide and deep as the body at z = 0, without friction. None of this says what a patient may bear: "
        "whoever cares for the patient decides."
    )
    return Section(
        anchor="bearing",
        title="What patients and arrays bear",
        prose=(prose, *_held(cohort)),
        tables=(bearing_table(cohort),),
    )


def _held(cohort: Cohort) -> tuple[str, ...]:
    """Every array where it weighs most, and most over its area, against the limits."""
    told = []
    for number, name in enumerate(cohort.arrays):
        found = [one for one in (cohort.figures(number, k) for k in range(len(cohort.patients))) if one is not None]
        if found:
            told.append(f"{name}: {'; '.join(held_against([one.bearing for one in found], cohort.request.limits))}.")
    return tuple(told)


def _refused(cohort: Cohort) -> tuple[Section, ...]:
    if all(result.outcome is Outcome.FOUND for result in cohort.results):
        return ()
    prose = "Refused: no such array can be, or a model cannot tell. Failed: the work itself broke. The others went on."
    return (Section(anchor="refused", title="Cases without figures", prose=(prose,), tables=(refused_table(cohort),)),)


def _trust(cohort: Cohort, brief: Brief) -> Section:
    shapes = (
        "Gaps follow from the shapes of bodies and formers. A real patient differs from the body of that age by more "
        "than most gaps here, so the sizes should be tried on people."
    )
    grids = (
        "Every case was solved on one grid, that of its patient. Arrays on one patient share most of its error, so "
        "their ratios are known better than their values. Patients on different grids do not. Carry the cases that "
        "matter out with `loopwright run`, which solves on two grids and prints the change."
    )
    beside = "The study lies beside this page as brief.yaml; every case is in tables/cases.csv and in cohort.sqlite."
    imaged = cohort.asked is Asked.IMAGES
    return Section(
        anchor="error",
        title="How good the numbers are",
        prose=(shapes, *((grids, brief.scanner.frequency_convention) if imaged else ()), beside),
    )
