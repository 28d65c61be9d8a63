"""Simultaneous slices: how many, how far apart, how they are shifted in their plane."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Choice, Count, Number, Words
from loopwright.brief.quantities import Quantity, Ratio
from loopwright.brief.records import SimultaneousSlices
from loopwright.brief.topics.facts import AXES, Facts
from loopwright.brief.topics.field_of_view import ends_m, fold_over, reach_told
from loopwright.ground.units import engineering_text

__all__ = ["simultaneous_form"]


def _two_directions(draft: Draft) -> Iterator[Trouble]:
    if draft.get("normal") is not None and draft.get("normal") == draft.get("direction"):
        yield Trouble(
            key="direction",
            found=f"{draft.get('direction')}, which is also the normal",
            allowed="an axis in the plane of the slices",
            remedy="write one of the other two axes",
        )


def _not_too_many_slices(facts: Facts) -> Rule:
    def rule(draft: Draft) -> Iterator[Trouble]:
        slices, factor, count = draft.get("slices"), draft.get("factor"), facts.element_count
        if slices is not None and factor is not None and count is not None and slices * factor > count:
            yield Trouble(
                key="slices",
                found=f"{slices} slices times a factor of {factor:g} with {count} elements",
                allowed="a product of at most the number of elements",
                remedy="take fewer slices, a smaller factor, or more elements",
            )

    return rule


def _slices_in_the_body(facts: Facts) -> Rule:
    """Refuse a slab beside the body, and slices so far apart that one alone meets the body."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        slices, normal, distance_m = draft.get("slices"), draft.get("normal"), draft.get("slice_distance")
        if slices is None or normal is None or distance_m is None:
            return
        ends, centre_m = ends_m(facts, normal), draft.get("slab_centre")
        if ends is None:
            return
        body_m, half_m = ends[1] - ends[0], slices * distance_m / 2
        if distance_m >= body_m:
            yield Trouble(
                key="slice_distance",
                found=f"{engineering_text(distance_m, 'm')} along {normal}",
                allowed=f"less than the body, {engineering_text(body_m, 'm')} along {normal}",
                remedy="write the distance between slices that are excited together; these never meet the body at once",
            )
        elif centre_m is not None and (centre_m - half_m >= ends[1] or centre_m + half_m <= ends[0]):
            yield Trouble(
                key="slab_centre",
                found=f"{engineering_text(centre_m, 'm')}, a slab beside the body",
                allowed=f"a slab that meets the body ({normal} {reach_told(ends)})",
                remedy="move the slab to where the body lies in its frame",
            )

    return rule


def _view_holds_the_body(facts: Facts) -> Rule:
    def rule(draft: Draft) -> Iterator[Trouble]:
        direction, view_m = draft.get("direction"), draft.get("field_of_view")
        if direction is not None and view_m is not None:
            yield from fold_over(facts, direction, view_m)

    return rule


def _shift_moves_something(draft: Draft) -> Iterator[Trouble]:
    shift, factor = draft.get("shift"), draft.get("factor")
    if not shift or factor is None:
        return
    replicas = shift * factor
    if abs(replicas - round(replicas)) < 1e-9:
        yield Trouble(
            key="shift",
            found=f"a shift by {replicas:.0f} times the distance between replicas (field of view over factor)",
            allowed="no whole multiple of it: that moves a slice onto its own replica, and changes nothing",
            remedy=f"write for example `shift: 1/{2 * factor:.0f}`, or 0",
        )


def _distance(name: str, *, low: str, sample: str, meaning: str, default: defaults.Default | None = None) -> Quantity:
    high = "2 m" if name == "field_of_view" else "1 m"
    return Quantity(
        name=name, field=f"{name}_m", unit="m", low=low, high=high, sample=sample, meaning=meaning, default=default
    )


def simultaneous_form(facts: Facts) -> Form:
    """Form of simultaneous slices with this body and array.

    Parameters
    ----------
    facts
        What is known of body and array.

    Returns
    -------
    Form
        Keys and rules of an item of ``imaging.accelerations`` of this kind.
    """
    return Form(
        title="simultaneous slices",
        notes="Several slices excited at once, which pass through a slab together; the rest is not excited.",
        keys=(
            Words(name="name", longest=40, sample="3 slices", meaning="Name in maps and tables."),
            Count(
                name="slices",
                low=2,
                high=16,
                sample="2",
                meaning="How many slices are excited at once.",
            ),
            Choice(name="normal", options=AXES[::-1], meaning="Axis of the body frame that stands on the slices."),
            _distance(
                "slice_distance",
                low="1 mm",
                sample="60 mm",
                meaning="From one slice to the next that is excited with it; the slab is as thick as all of them.",
            ),
            _distance(
                "slab_centre",
                low="-1 m",
                sample="0 mm",
                default=defaults.SLAB_CENTRE,
                meaning="Middle of the slab along the normal.",
            ),
            Choice(name="direction", options=AXES, meaning="Direction in the plane that is phase encoded."),
            _distance(
                "field_of_view",
                low="20 mm",
                sample="230 mm",
                meaning="Full field of view along that direction, before reduction; it holds the body.",
            ),
            Number(
                name="factor",
                low=1,
                high=16,
                sample="1",
                default=defaults.IN_PLANE_FACTOR,
                meaning="Reduction along that direction.",
            ),
            Ratio(
                name="shift",
                field="shift_fraction",
                default=defaults.IN_PLANE_SHIFT,
                meaning="Displacement of each slice along that direction against the one before, in fields of view.",
            ),
        ),
        rules=(
            _two_directions,
            _not_too_many_slices(facts),
            _slices_in_the_body(facts),
            _view_holds_the_body(facts),
            _shift_moves_something,
        ),
        build=SimultaneousSlices,
        strangers={
            "factors": "write `factor: 2`, one number",
            "directions": "write `direction: y`, one axis",
            "distance": "write `slice_distance`",
        },
    )
