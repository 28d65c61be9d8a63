"""Several designs of one array carried out: the job of job.py once for each, judged at the same points."""

from dataclasses import dataclass

import numpy as np

from loopwright import __version__, bodies, conductors, designs, dossier, fields, imaging
from loopwright.brief import Brief, DesignSet, DesignsRequest, PlannedDesign, RefusedDesign
from loopwright.ground.errors import LoopwrightError, NotConvergedError, OutsideModelError
from loopwright.ground.means import Means
from loopwright.job import answers_on, coarse_voxel_m, dressed_array, driven_array, judged_everywhere

__all__ = ["ComparisonOutcome", "compare_designs"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonOutcome:
    """What a comparison leaves: the designs with their figures, and the page that is written from them."""

    comparison: designs.Comparison
    dossier: dossier.Dossier


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stage:
    """The body on both grids, and the points at which every design is judged."""

    fine: bodies.Body
    coarse: bodies.Body
    judged: tuple[designs.JudgedPoints, ...]
    profile: tuple[designs.JudgedPoints, ...]


def compare_designs(wanted: DesignSet, means: Means) -> ComparisonOutcome:
    """Carry out every design of a brief and compare them.

    All are laid out first, for one excitation has to serve them all. A design that cannot be laid out or solved is
    recorded with the reason, and the others go on.

    Parameters
    ----------
    wanted : DesignSet
        The designs, as read from the brief.
    means : Means
        What it is carried out with; its store lets a comparison that was stopped go on from there.

    Raises
    ------
    OutsideModelError
        If the region has no points at a depth or none in the slab of an acceleration, or none of the designs can be.
    """
    stage = _set_up(wanted)
    refused = list(wanted.refused)
    dressed = _dressed(wanted, stage, means, refused)
    excitation = designs.common_excitation(wanted.base.computation.excitation, dressed, stage.fine)
    laid_out = [planned for planned in wanted.planned if planned.name in dressed]
    results: list[designs.DesignResult] = []
    for number, planned in enumerate(laid_out, start=1):
        told = ", ".join(f"{key} {value}" for key, value in planned.choices)
        means.progress.note(f"design {number} of {len(laid_out)}: {planned.name}, {told}")
        try:
            results.append(_result(planned, dressed[planned.name], excitation.excitation, stage, means))
        except (OutsideModelError, NotConvergedError) as error:
            refused.append(_refusal(planned, error, means))
    if not results:
        raise OutsideModelError(f"none of the designs can be; the last one: {refused[-1].reason}")
    absolute = wanted.base.scanner.nucleus == "1H" or wanted.base.scanner.magnetisation_a_per_m is not None
    comparison = designs.compare(
        tuple(results),
        tuple(refused),
        excitation=excitation,
        quantity="SNR" if absolute else "sensitivity",
        unit="1" if absolute else "T A^-1 ohm^-1/2",
        profile_depth_m=np.array([at.depth_m for at in stage.profile]),
        voxel_m=stage.fine.grid.spacing_m,
        coarse_voxel_m=stage.coarse.grid.spacing_m,
        judged=tuple(len(at.points_m) for at in stage.judged),
    )
    page = dossier.compile_comparison(wanted.base, comparison, tool_version=__version__)
    return ComparisonOutcome(comparison=comparison, dossier=page)


def _set_up(wanted: DesignSet) -> _Stage:
    """Place the body once: no design changes it."""
    brief = wanted.planned[0].brief
    asked = _asked(wanted)
    frequency_hz = brief.scanner.frequency_hz
    fine = bodies.place(brief.body, frequency_hz=frequency_hz)
    coarse = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=coarse_voxel_m(brief))
    imaging.check_region(brief.imaging, fine)
    imaging.check_region(_on_coarse(brief).imaging, coarse)
    region = brief.imaging.region
    return _Stage(
        fine=fine,
        coarse=coarse,
        judged=tuple(designs.judged_points(fine, region, depth_m) for depth_m in asked.depths_m),
        profile=designs.profile_points(fine, region),
    )


def _asked(wanted: DesignSet) -> DesignsRequest:
    assert wanted.base.designs is not None  # noqa: S101 - the reader refuses a set of designs without
    return wanted.base.designs


def _dressed(
    wanted: DesignSet, stage: _Stage, means: Means, refused: list[RefusedDesign]
) -> dict[str, conductors.DressedLayout]:
    """Lay out every design that can be; the others go to the refused."""
    found = {}
    for planned in wanted.planned:
        try:
            found[planned.name] = dressed_array(planned.brief, stage.fine, stage.coarse, means)
        except (OutsideModelError, NotConvergedError) as error:
            refused.append(_refusal(planned, error, means))
    return found


def _refusal(planned: PlannedDesign, error: LoopwrightError, means: Means) -> RefusedDesign:
    means.progress.note(f"design {planned.name} is refused: {error}")
    return RefusedDesign(name=planned.name, choices=planned.choices, reason=str(error))


def _on_coarse(brief: Brief) -> Brief:
    """What is asked of the coarser grid: medians without acceleration, at points of the finer grid's region."""
    unaccelerated = brief.imaging.model_copy(update={"accelerations": ()})
    return judged_everywhere(brief.model_copy(update={"imaging": unaccelerated}))


def _result(
    planned: PlannedDesign,
    dressed: conductors.DressedLayout,
    excitation: fields.Excitation,
    stage: _Stage,
    means: Means,
) -> designs.DesignResult:
    brief = planned.brief
    driven = driven_array(brief, dressed, excitation)

    def figures(found: dossier.OnGrid, profile: tuple[designs.JudgedPoints, ...]) -> designs.DesignFigures:
        return designs.figures_of(
            found.quality,
            found.array,
            body=found.body,
            dressed=dressed,
            conductor=brief.conductor,
            judged=stage.judged,
            profile=profile,
        )

    fine = figures(answers_on(brief, stage.fine, driven, means), stage.profile)
    coarse = figures(answers_on(_on_coarse(brief), stage.coarse, driven, means), ())
    return designs.DesignResult(planned=planned, figures=fine, coarse_median=tuple(at.median for at in coarse.depths))
