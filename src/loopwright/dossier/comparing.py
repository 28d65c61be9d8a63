"""The page of a comparison: which design for which depth, all their figures, and how far they can be trusted."""

from loopwright.brief.records import Brief
from loopwright.designs import CLOSE, Comparison, DepthVerdict
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
from loopwright.dossier.numbers import printed, printed_as_given
from loopwright.dossier.trust import limits_section

__all__ = ["compile_comparison"]


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
            limits_section(),
        ),
        methods=methods_of(brief),
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
        _close_sentence(verdict, comparison),
        *_optimum_sentences(verdict, comparison, number),
        *_edge_sentence(verdict),
    ]
    return Answer(question=f"At {depth} below the skin?", answer=" ".join(sentences), section="depths")


def _close_sentence(verdict: DepthVerdict, comparison: Comparison) -> str:
    within = f"within {100 * CLOSE:.0f} % of it, the change between the two grids counted in"
    if not verdict.close:
        return f"No other design comes {within}."
    percent, change = 100 * verdict.ratio, 100 * verdict.ratio_change
    told = [f"{label_of(n, comparison)} with {percent[n]:.0f} ± {change[n]:.1f} %" for n in verdict.close]
    more = f", and {len(told) - 6} more" if len(told) > 6 else ""
    return f"{within.capitalize()}: {'; '.join(told[:6])}{more}.{_ties(verdict, comparison)}"


def _ties(verdict: DepthVerdict, comparison: Comparison) -> str:
    level = [index for index in verdict.close if verdict.ratio[index] + verdict.ratio_change[index] >= 1]
    names = ", ".join(comparison.results[index].name for index in level)
    return f" These grids do not tell {names} apart from the best." if level else ""


def _optimum_sentences(verdict: DepthVerdict, comparison: Comparison, number: int) -> tuple[str, ...]:
    row = next(row for row in comparison.rows if verdict.best in row.designs)
    optimum = row.optimum_m[number]
    if optimum is None:
        return ()
    return (f"Between the sizes tried, the curve of this kind of design peaks near {printed(optimum, 'm', digits=2)}.",)


def _edge_sentence(verdict: DepthVerdict) -> tuple[str, ...]:
    if not verdict.size_at_edge:
        return ()
    further = "smaller" if verdict.size_at_edge == "smallest" else "larger"
    return (f"Mind: it has the {verdict.size_at_edge} elements that were tried; {further} ones may do better.",)


def _depths(comparison: Comparison) -> Section:
    counts = ", ".join(
        f"{points} at {printed_as_given(verdict.depth_m, 'm')}"
        for points, verdict in zip(comparison.judged, comparison.depths, strict=True)
    )
    prose = (
        "Every design is judged at the same points of the imaging region, moved to exactly the depth named "
        f"({counts}). Percentiles are over these points; “under the elements” is the mean over the elements of the "
        "value on each one's own axis, wherever that lies. Combined at the optimum."
    )
    return Section(
        anchor="depths", title="The designs at each depth", prose=(prose,), tables=(depths_table(comparison),)
    )


def _designs(comparison: Comparison) -> Section:
    beaten = sum(index is not None for index in comparison.beaten_by)
    columns = (
        "Coil noise share: the part of an element's noise power that is not the body's, mean and largest over the "
        "elements. Mass: bare conductor, no capacitors, solder, insulation or cable. Q: medians over the elements, "
        "radiation left out."
    )
    beating = (
        "“Beaten by” names a design that is at least as good at every depth, with and without acceleration, with no "
        f"more elements and no more conductor; {beaten} of {len(comparison.results)} are beaten."
    )
    return Section(
        anchor="designs",
        title="The designs",
        prose=(columns, beating),
        findings=design_findings(comparison),
        tables=(designs_table(comparison),),
    )


def _acceleration(comparison: Comparison) -> tuple[Section, ...]:
    if not comparison.results[0].figures.accelerations:
        return ()
    prose = (
        "Over all voxels of the region on the finer grid; SNR of the optimum combination over g times the root of the "
        "reduction. The medians at each depth stand in the table of depths."
    )
    table = accelerated_table(comparison)
    return (Section(anchor="acceleration", title="Accelerated imaging", prose=(prose,), tables=(table,)),)


def _refused(comparison: Comparison) -> tuple[Section, ...]:
    if not comparison.refused:
        return ()
    return (
        Section(
            anchor="refused",
            title="Combinations that cannot be",
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
        "share stays unseen."
    )
    advice = (
        "Coarse voxels serve to rank designs. Carry the chosen one out with `loopwright run` on a fine grid before its "
        "numbers are used."
    )
    return Section(anchor="error", title="How good the numbers are", prose=(grids, advice))


def _asked(brief: Brief) -> Section:
    beside = (
        "The brief lies beside this page as brief.yaml. Every design is this array with one entry of each list under "
        "`designs` in its place."
    )
    return Section(
        anchor="asked",
        title="What was asked",
        prose=(beside, brief.scanner.frequency_convention),
        tables=asked_tables(asked_lines(brief), default_lines(brief)),
    )
