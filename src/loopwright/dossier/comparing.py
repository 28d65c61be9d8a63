"""The page of a comparison: which design for which depth, all their figures, and how far they can be trusted."""

from loopwright.brief.records import Brief, NoUltimate
from loopwright.designs import CLOSE, LEVEL, SPREAD, CommonExcitation, Comparison, DepthVerdict
from loopwright.dossier.asked import asked_tables
from loopwright.dossier.citations import methods_of
from loopwright.dossier.comparing_tables import (
    accelerated_table,
    depths_table,
    designs_table,
    label_of,
    refused_table,
)
from loopwright.dossier.design_findings import design_findings
from loopwright.dossier.echo import asked_lines, default_lines
from loopwright.dossier.findings import Answer, Dossier, Section
from loopwright.dossier.numbers import printed, printed_as_given, printed_with_uncertainty
from loopwright.dossier.trust import limits_section
from loopwright.fields import Excitation

__all__ = ["compile_comparison"]

#: Methods of a run that a comparison does not come to.
_NOT_HERE = {"ultimate SNR", "ultimate SNR from a source shell"}


def compile_comparison(brief: Brief, comparison: Comparison, *, tool_version: str) -> Dossier:
    """Write the page of a comparison, apart from its references, which the writer of the page looks up.

    Parameters
    ----------
    brief : Brief
        The brief as written.
    comparison : Comparison
        All designs and what they say together.
    tool_version : str
        Version of loopwright.
    """
    return Dossier(
        title=brief.title,
        tool_version=tool_version,
        element_names=(),
        subject=f"Comparison of {len(comparison.results)} designs of a receive array.",
        sections=(
            _answers(comparison),
            _depths(comparison),
            _designs(comparison),
            *_acceleration(comparison),
            *_refused(comparison),
            _trust(comparison),
            _asked(brief),
            limits_section(comparison.excitation.excitation),
        ),
        methods=tuple(name for name in methods_of(brief) if name not in _NOT_HERE),
    )


def _answers(comparison: Comparison) -> Section:
    return Section(
        anchor="answers",
        title="Which design for which depth",
        answers=tuple(_at_depth(verdict, comparison) for verdict in comparison.depths),
        pictures=("size_for_depth", "designs_over_depth"),
    )


def _at_depth(verdict: DepthVerdict, comparison: Comparison) -> Answer:
    depth = printed_as_given(verdict.depth_m, "m")
    number = comparison.depths.index(verdict)
    best = comparison.results[verdict.best].figures.depths[number]
    sentences = [
        (
            f"{label_of(verdict.best, comparison)} gives the highest {comparison.quantity} in the median of the "
            f"region, {printed(best.median, comparison.unit)}."
        ),
        *_level_sentences(verdict, comparison),
        _close_sentence(verdict, comparison),
        *_optimum_sentences(verdict, comparison, number),
        *_edge_sentence(verdict),
    ]
    return Answer(question=f"At {depth} below the skin?", answer=" ".join(sentences), section="depths")


def _level_sentences(verdict: DepthVerdict, comparison: Comparison) -> tuple[str, ...]:
    """Name the designs that are as good, and the one of them with the least conductor."""
    if not verdict.level:
        return ()
    level = f"Level with it, within {100 * LEVEL:.0f} %: {_told(verdict.level, verdict, comparison)}."
    return level, *_lightest_sentence(verdict, comparison)


def _lightest_sentence(verdict: DepthVerdict, comparison: Comparison) -> tuple[str, ...]:
    if verdict.lightest is None:
        return ()
    lightest, best = comparison.results[verdict.lightest], comparison.results[verdict.best]
    least, most = lightest.figures.conductor_mass_kg, best.figures.conductor_mass_kg
    assert least is not None and most is not None  # noqa: S101, PT018 - or there is no lightest
    if verdict.lightest == verdict.best:
        return (f"Of these level designs {best.name} itself has the least conductor, {printed(least, 'kg')}.",)
    if most <= least * (1 + SPREAD):
        return (f"None of these level designs has clearly less conductor than {best.name}.",)
    less = f"{printed(least, 'kg')} against {printed(most, 'kg')}"
    return (f"Of these level designs {lightest.name} has the least conductor, {less}.",)


def _close_sentence(verdict: DepthVerdict, comparison: Comparison) -> str:
    within = f"within {100 * CLOSE:.0f} % of the best, the change between the two grids counted in"
    close = tuple(index for index in verdict.close if index not in verdict.level)
    if not close:
        return f"No {'further' if verdict.level else 'other'} design comes {within}."
    return f"{within.capitalize()}: {_told(close, verdict, comparison)}.{_ties(close, verdict, comparison)}"


def _told(designs: tuple[int, ...], verdict: DepthVerdict, comparison: Comparison) -> str:
    percent, change = 100 * verdict.ratio, 100 * verdict.ratio_change
    told = [f"{label_of(n, comparison)} with {percent[n]:.1f} ± {change[n]:.1f} %" for n in designs]
    more = f", and {len(told) - 6} more" if len(told) > 6 else ""
    return f"{'; '.join(told[:6])}{more}"


def _ties(close: tuple[int, ...], verdict: DepthVerdict, comparison: Comparison) -> str:
    undecided = [index for index in close if verdict.ratio[index] + verdict.ratio_change[index] >= 1]
    names = ", ".join(comparison.results[index].name for index in undecided)
    return f" These grids do not tell {names} apart from the best." if undecided else ""


def _optimum_sentences(verdict: DepthVerdict, comparison: Comparison, number: int) -> tuple[str, ...]:
    row = next(row for row in comparison.rows if verdict.best in row.designs)
    optimum = row.optima[number]
    if optimum is None:
        return ()
    peak = printed_with_uncertainty(optimum.size_m, optimum.change_m, "m")
    return (f"Between the sizes tried, the curve of this kind of design peaks near {peak}.",)


def _edge_sentence(verdict: DepthVerdict) -> tuple[str, ...]:
    if verdict.edge is None:
        return ()
    which = verdict.edge.which
    further = "smaller" if which == "smallest" else "larger"
    if verdict.edge.refused:
        names = ", ".join(verdict.edge.refused)
        return (f"Mind: of its kind it has the {which} elements that could be; {further} ones were refused ({names}).",)
    return (f"Mind: of its kind it has the {which} elements that were tried; {further} ones may do better.",)


def _depths(comparison: Comparison) -> Section:
    counts = ", ".join(
        f"{points} at {printed_as_given(verdict.depth_m, 'm')}"
        for points, verdict in zip(comparison.judged, comparison.depths, strict=True)
    )
    points = (
        "Every design is judged at the same points of the imaging region, voxel centres moved to the depth named; "
        f"those that do not come within a tenth of a voxel of it are left out ({counts} are judged). Percentiles are "
        "over these points; “under the elements” is the mean over the elements of the value on each one's own axis, "
        "wherever that lies. Combined at the optimum."
    )
    prose = (points, *_imaged_sentences(comparison))
    return Section(anchor="depths", title="The designs at each depth", prose=prose, tables=(depths_table(comparison),))


def _imaged_sentences(comparison: Comparison) -> tuple[str, ...]:
    """Where an acceleration images a part of the points only, its medians do not stand beside those of all points."""
    figures = comparison.results[0].figures
    sentences = []
    for which, accelerated in enumerate(figures.accelerations):
        imaged = [at.accelerated_points[which] for at in figures.depths]
        if imaged != list(comparison.judged):
            told = ", ".join(
                f"{points} of {of} at {printed_as_given(at.depth_m, 'm')}"
                for points, of, at in zip(imaged, comparison.judged, figures.depths, strict=True)
            )
            sentences.append(
                f"{accelerated.name}: its medians are over the points in its slab only ({told}). They compare designs, "
                "but not with the medians without acceleration, which are over all points."
            )
    return tuple(sentences)


def _designs(comparison: Comparison) -> Section:
    beaten = sum(index is not None for index in comparison.beating.by)
    columns = (
        "Coil noise share: the part of an element's noise power that is not the body's, mean and largest over the "
        "elements. Mass: bare conductor, no capacitors, solder, insulation or cable. Q: medians over the elements, "
        "radiation left out."
    )
    beating = (
        "“Beaten by” names a design whose medians are nowhere lower, with and without acceleration, with no more "
        "elements and no more conductor. At least one of them is clearly better: a median by more than the ratio of "
        "the two designs changes between the grids, a median under acceleration by "
        f"{100 * SPREAD:.0f} %, fewer elements, or less conductor; masses within {100 * SPREAD:.0f} % count as equal. "
        f"{beaten} of {len(comparison.results)} are beaten."
        f"{_left_out(comparison)}"
    )
    return Section(
        anchor="designs",
        title="The designs",
        prose=(columns, beating),
        findings=design_findings(comparison),
        tables=(designs_table(comparison),),
    )


def _left_out(comparison: Comparison) -> str:
    if not comparison.beating.left_out:
        return ""
    return f" Not known for every design and therefore not counted: {'; '.join(comparison.beating.left_out)}."


def _acceleration(comparison: Comparison) -> tuple[Section, ...]:
    if not comparison.results[0].figures.accelerations:
        return ()
    prose = (
        "Over the voxels of the region on the finer grid that are imaged; “judged” is their share of the region, less "
        "than 1 where the slab of simultaneous slices leaves some out. SNR of the optimum combination over g times the "
        "root of the reduction. The medians at each depth stand in the table of depths."
    )
    table = accelerated_table(comparison)
    return (Section(anchor="acceleration", title="Accelerated imaging", prose=(prose,), tables=(table,)),)


def _refused(comparison: Comparison) -> tuple[Section, ...]:
    if not comparison.refused:
        return ()
    return (
        Section(
            anchor="refused",
            title="Combinations that were refused",
            prose=("They were left out; the others were carried out.",),
            tables=(refused_table(comparison),),
        ),
    )


def _trust(comparison: Comparison) -> Section:
    worst = max(float(verdict.ratio_change.max()) for verdict in comparison.depths)
    fine, coarse = (printed_as_given(edge, "m") for edge in (comparison.voxel_m, comparison.coarse_voxel_m))
    grids = (
        f"Every design was solved with voxels of {fine} and of {coarse}. The whole change of a figure between the two "
        "is printed as its uncertainty. Designs share most of it, so their ratios are known better than their values: "
        f"the ratio to the best moves by at most {100 * worst:.1f} % of the best in this comparison. What both grids "
        "share stays unseen. The ± of the size at which a curve peaks is its change between the grids, and at least 2 "
        "%, by which a parabola through three sizes may miss."
    )
    advice = (
        "Coarse voxels serve to rank designs. Carry the chosen one out with `loopwright run` on a fine grid before its "
        "numbers are used."
    )
    prose = (grids, _excitation_sentence(comparison.excitation), advice)
    return Section(anchor="error", title="How good the numbers are", prose=prose)


def _excitation_sentence(chosen: CommonExcitation) -> str:
    current = {
        Excitation.LOOP_MODE: "one uniform current for each element (loop mode)",
        Excitation.FULL_CURRENT: "the currents and charges of all wires (full current)",
    }
    opening = f"Excitation of the body, the same for every design: {current[chosen.excitation]}"
    if chosen.asked != "automatic":
        return f"{opening}, as asked."
    if chosen.needed_by:
        return (
            f"{opening}. The loop mode is not known to be good enough for {', '.join(chosen.needed_by)}, and designs "
            "are not ranked under different models. A run of one of the others by itself takes the loop mode, which "
            "may change the body's resistance by 1 %."
        )
    return f"{opening}. It was measured to be good to 1 % in the body's resistance for such elements."


def _asked(brief: Brief) -> Section:
    beside = (
        "The brief lies beside this page as brief.yaml. Every design is this array with one entry of each list under "
        "`designs` in its place."
    )
    aside = (
        ()
        if isinstance(brief.imaging.ultimate, NoUltimate)
        else ("`imaging.ultimate` is left aside: a comparison holds designs against each other, not the ultimate.",)
    )
    return Section(
        anchor="asked",
        title="What was asked",
        prose=(beside, *aside, brief.scanner.frequency_convention),
        tables=asked_tables(asked_lines(brief), default_lines(brief)),
    )
