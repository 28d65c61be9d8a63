"""How the array lies on the body that wears it."""

from collections.abc import Iterator

import numpy as np

from loopwright.designs import Cuts, DrapedArray, DrapedFilm
from loopwright.dossier.draping_tables import draping_tables
from loopwright.dossier.findings import Answer, Finding, Section, asked_for, computed
from loopwright.dossier.numbers import printed, printed_as_given
from loopwright.layouts import SlitPlan

__all__ = ["draping_section"]

_ALONE = (
    "The shift of each resonance is that of the element alone, with the capacitors with which it was tuned flat, from "
    "a uniform current; what the body, the neighbours, and bent conductors and capacitors add is not in it. Coupling "
    "of neighbours here is without the body, both flat and as laid."
)
_WRINKLES = (
    "Slits and gores are counted for a film that is laid along shortest lines of the skin from its middle, which few "
    "wide petals are not: their figures are upper bounds. The array of this run is computed on the taut film, without "
    "slits."
)
_CAUTION = (
    "Gaps and strains are those of shapes: foam that is pressed, straps, folds and a patient who moves are left out. "
    "Try the array on a cast, and on people, before it is worn for a scan."
)
_HOW = "geometry of the film on the body"
_NO_ERROR = "as exact as the surface of the body"


def draping_section(draped: DrapedArray, names: tuple[str, ...]) -> Section:
    """Tell how the array lies.

    Parameters
    ----------
    draped : DrapedArray
        What was found.
    names : tuple of str
        Of the elements.
    """
    film = draped.film
    told = () if film is None else (*film.notes, *_film_prose(draped, film), _WRINKLES)
    return Section(
        anchor="draping",
        title="How the array lies",
        prose=(*told, *_following(draped), _ALONE),
        cautions=(_CAUTION,),
        answers=_answers(draped, names),
        findings=tuple(_findings(draped)),
        tables=draping_tables(draped, names),
        pictures=_pictures(draped),
    )


def _pictures(draped: DrapedArray) -> tuple[str, ...]:
    if draped.pattern is None:
        return ()
    strain = () if draped.follow is None else ("film_strain",)
    return strain if draped.film is None else ("film_gap", *strain, "film_pattern")


def _film_prose(draped: DrapedArray, film: DrapedFilm) -> Iterator[str]:
    gaps, limit_m = film.gaps, film.request.gap_limit_m
    yield (
        f"The gap is from the underside of the layers to the skin. Over the film's area its median is "
        f"{printed(gaps.median_m, 'm', digits=2)}, 95 % of the area are below {printed(gaps.p95_m, 'm', digits=2)}, "
        f"{100 * gaps.share_above(limit_m):.0f} % are above {printed_as_given(limit_m, 'm')}; the widest is "
        f"{printed(float(gaps.gap_m.max()), 'm', digits=2)}, {_where(draped, film)}."
    )
    yield f"Its own strain is {100 * film.strain.largest:.3f} % at most: it bends and does not stretch."
    yield from _cuts("Radial slits", film.slits)
    yield from _cuts("Parallel gores", film.gores)


def _where(draped: DrapedArray, film: DrapedFilm) -> str:
    """Where on the film the gap is widest: by the element there, and by its place on the drawing."""
    place = film.gaps.grid.nodes_m[film.gaps.worst_node]
    elements = () if draped.pattern is None else draped.pattern.elements
    nearest = min(elements, key=lambda one: float(np.linalg.norm(np.subtract(one.centre_m, place))))
    x, y = (f"{1e3 * way:.0f} mm" for way in place)
    return f"at x = {x}, y = {y} of the flat drawing, nearest to {nearest.name}"


def _cuts(what: str, cuts: Cuts) -> Iterator[str]:
    plan = cuts.plan
    if plan is None:
        yield f"{what} were not found: {cuts.refused}"
    elif isinstance(plan, SlitPlan) and not plan.number:
        yield f"{what}: none are needed; even whole, the film would be shortened by less than its limit."
    elif isinstance(plan, SlitPlan):
        met = f"they meet the conductors of {', '.join(cuts.conductors)}" if cuts.conductors else "no conductor is met"
        yield (
            f"{what}: {plan.number}, from {1e3 * plan.begin_m:.0f} mm off the middle outwards, up to "
            f"{1e3 * plan.widths_m.max():.1f} mm wide, would let the film follow the skin; {met}. The disc of the "
            f"conductors loses {1e4 * plan.removed_area_m2:.1f} cm² by them; on the film they end at its edge."
        )
    else:
        yield (
            f"{what}: {plan.number} would do the same and remove {1e4 * plan.removed_area_m2:.1f} cm²."
            if plan.number > 1
            else f"{what}: none are needed."
        )


def _following(draped: DrapedArray) -> Iterator[str]:
    strain, limit = draped.follow, draped.stretch_limit
    if draped.pattern is not None and strain is None:
        yield "How far a sheet would be strained that follows the skin is not told: the skin ends before the sheet."
    if strain is None:
        return
    size = np.abs(strain.principal).max(axis=1)
    share = float(np.average(size > limit, weights=strain.grid.areas_m2))
    sheet = "The carrier" if draped.film is None else "A sheet that followed the skin"
    yield (
        f"{sheet} would be stretched by up to {100 * max(float(strain.principal.max()), 0.0):.1f} % and shortened by "
        f"up to {100 * float(strain.compression.max()):.1f} %; {100 * share:.0f} % of its area by more than "
        f"{100 * limit:g} %, either way."
    )


def _answers(draped: DrapedArray, names: tuple[str, ...]) -> tuple[Answer, ...]:
    shift = draped.shift.relative
    worst = int(np.argmax(np.abs(shift)))
    bent = Answer(
        question="What does bending do to the elements?",
        answer=f"It moves their resonances by {100 * shift.min():+.2f} % to {100 * shift.max():+.2f} %, most that of "
        f"{names[worst]}{_coupled(draped, names)}.",
        section="draping",
    )
    if draped.film is None:
        return (bent,)
    gaps, limit_m = draped.film.gaps, draped.film.request.gap_limit_m
    lies = Answer(
        question="Does the film lie on the skin?",
        answer=f"Its gap is {printed(gaps.median_m, 'm', digits=2)} in the median and below "
        f"{printed(gaps.p95_m, 'm', digits=2)} on 95 % of its area; {100 * gaps.share_above(limit_m):.0f} % of it is "
        f"more than {printed_as_given(limit_m, 'm')} off.",
        section="draping",
    )
    return lies, bent


def _coupled(draped: DrapedArray, names: tuple[str, ...]) -> str:
    if not draped.bends:
        return ""
    most = max(draped.bends, key=lambda one: abs(one.coefficient - one.flat_coefficient))
    i, j = most.pair
    return (
        f"; the coupling of neighbours changes most between {names[i]} and {names[j]}, from "
        f"{most.flat_coefficient:+.3f} to {most.coefficient:+.3f}"
    )


def _told(key: str, label: str, value: float | tuple[float, ...], unit: str) -> Finding:
    return computed(f"draping.{key}", label, value, unit, how=_HOW, because=_NO_ERROR)


def _findings(draped: DrapedArray) -> Iterator[Finding]:
    yield asked_for("draping.carrier", "what carries the elements", draped.carrier.kind, "", how="as asked")
    yield _told("least_surface_m", "least distance of a conductor's surface from the skin", draped.least_surface_m, "m")
    yield _told(
        "skin_distance_m",
        "median distance of each conductor's line from the skin",
        tuple(draped.skin_distance_m[:, 1].tolist()),
        "m",
    )
    yield _told(
        "conductor_strain",
        "mean strain along each conductor as laid",
        tuple(draped.conductor_strain[:, 1].tolist()),
        "1",
    )
    if draped.follow is not None:
        yield _told("follow_stretch", "largest stretch of a sheet that follows the skin",
                    max(float(draped.follow.principal.max()), 0.0), "1")  # fmt: skip
        yield _told("follow_compression", "largest shortening of a sheet that follows the skin",
                    float(draped.follow.compression.max()), "1")  # fmt: skip
    if draped.film is not None:
        yield from _film_findings(draped.film)
    yield from _bending_findings(draped)


def _bending_findings(draped: DrapedArray) -> Iterator[Finding]:
    def bent(key: str, label: str, value: float | tuple[float, ...], unit: str) -> Finding:
        how = "uniform currents in thin wires, flat and as laid"
        return computed(
            f"draping.{key}", label, value, unit, how=how, because="a thin-wire model, without body and neighbours"
        )

    shift = draped.shift
    yield bent("laid_inductance_h", "inductance of each element as laid", tuple(shift.laid_h.tolist()), "H")
    label = "change of each element's resonance by bending"
    yield bent("frequency_shift_relative", label, tuple(shift.relative.tolist()), "1")
    if draped.bends:
        largest = max(abs(one.coefficient - one.flat_coefficient) for one in draped.bends)
        yield bent("coupling_change_largest", "largest change of a coupling of neighbours by bending", largest, "1")


def _film_findings(film: DrapedFilm) -> Iterator[Finding]:
    gaps = film.gaps
    yield _told("stand_off_m", "from the underside of the layers to the conductor's centre-line",
                film.stack.stand_off_m, "m")  # fmt: skip
    yield _told("gap_median_m", "gap under the film, median by area", gaps.median_m, "m")
    yield _told("gap_percentile_95_m", "gap that 95 % of the film's area stays below", gaps.p95_m, "m")
    yield _told("gap_largest_m", "widest gap", float(gaps.gap_m.max()), "m")
    yield _told("gap_share_above_limit", "share of the film's area above the limit of the gap",
                gaps.share_above(film.request.gap_limit_m), "1")  # fmt: skip
    yield _told("gap_of_elements_m", "median gap under each conductor", tuple(gaps.of_elements_m.values()), "m")
    yield _told("film_strain_largest", "largest strain of the film itself", film.strain.largest, "1")
    for name, cuts in (("slits", film.slits), ("gores", film.gores)):
        number = "none found" if cuts.plan is None else str(cuts.plan.number)
        yield computed(f"draping.{name}", f"{name} that would let the film follow the skin", number, "",
                       how="the least number that keeps shortening under its limit", because="a count")  # fmt: skip
