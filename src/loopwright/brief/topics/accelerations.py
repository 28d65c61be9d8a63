"""Accelerations: regular and shifted undersampling, and slices that are excited at once."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Count, Words
from loopwright.brief.lists import NumberList, QuantityList, WordsList
from loopwright.brief.records import RegularAcceleration, ShiftedAcceleration
from loopwright.brief.topics.facts import AXES, Facts
from loopwright.brief.topics.field_of_view import fold_over
from loopwright.brief.topics.simultaneous_slices import simultaneous_form

__all__ = ["acceleration_form"]

_NAME = Words(name="name", longest=40, sample="2 x", meaning="Name in maps and tables.")


def _lengths_agree(draft: Draft) -> Iterator[Trouble]:
    lists = {key: draft.get(key) for key in ("factors", "directions", "field_of_view")}
    lengths = {key: len(found) for key, found in lists.items() if found is not None}
    if len(set(lengths.values())) > 1:
        yield Trouble(
            key="factors",
            found=", ".join(f"{length} in {key}" for key, length in lengths.items()),
            allowed="one factor, one direction and one field of view for every accelerated direction",
            remedy="make the three lists equally long",
        )


def _not_too_fast(facts: Facts) -> Rule:
    """Refuse more reduction than there are elements: unfolding would have no solution."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        factors, count = draft.get("factors"), facts.element_count
        if factors is None or count is None:
            return
        product = factors[0] * (factors[1] if len(factors) > 1 else 1.0)
        if product > count:
            yield Trouble(
                key="factors",
                found=f"a reduction of {product:g} with {count} elements",
                allowed="a product of the factors of at most the number of elements",
                remedy="take smaller factors, or more elements",
            )

    return rule


def _holds_the_body(facts: Facts) -> Rule:
    """Refuse a field of view into which the body folds even without acceleration."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        for direction, view_m in zip(draft.get("directions") or (), draft.get("field_of_view") or (), strict=False):
            yield from fold_over(facts, direction, view_m)

    return rule


def _whole_factors(draft: Draft) -> Iterator[Trouble]:
    factors = draft.get("factors")
    if factors is not None and any(factor != round(factor) for factor in factors):
        yield Trouble(
            key="factors",
            found="[" + ", ".join(f"{factor:g}" for factor in factors) + "]",
            allowed="whole numbers: shifted lines lie on lines of the full sampling",
            remedy="round the factors, or take `kind: regular`",
        )


def _shift_within_period(draft: Draft) -> Iterator[Trouble]:
    factors, shift = draft.get("factors"), draft.get("shift")
    if factors is not None and shift is not None and shift >= factors[1]:
        yield Trouble(
            key="shift",
            found=f"a shift of {shift} with a second factor of {factors[1]:g}",
            allowed="less than the second factor, after which the pattern repeats",
            remedy="write a smaller shift, or exchange the two directions",
        )


def _lists(
    lengths: tuple[int, ...], *, factors: str, directions: str, views: str
) -> tuple[NumberList, WordsList, QuantityList]:
    return (
        NumberList(
            name="factors", low=1, high=16, lengths=lengths, sample=factors, meaning="Reduction along each direction."
        ),
        WordsList(
            name="directions",
            options=AXES,
            lengths=lengths,
            sample=directions,
            meaning="Directions of the body frame that are undersampled.",
        ),
        QuantityList(
            name="field_of_view",
            field="field_of_view_m",
            unit="m",
            low="20 mm",
            high="2 m",
            lengths=lengths,
            sample=views,
            meaning="Full field of view along each direction, before reduction; it holds the body.",
        ),
    )


_STRANGERS = {
    "factor": "write `factors: [2]`, a list",
    "direction": "write `directions: [x]`, a list",
    **dict.fromkeys(
        ("slices", "normal", "slice_distance", "slab_centre"), "with `kind: simultaneous slices` only: write its `kind`"
    ),
}


def _regular(facts: Facts) -> Form:
    return Form(
        title="regular",
        notes="Every R-th line along one or two directions.",
        keys=(_NAME, *_lists((1, 2), factors="[2]", directions="[x]", views="[230 mm]")),
        rules=(_lengths_agree, _not_too_fast(facts), _holds_the_body(facts)),
        build=RegularAcceleration,
        strangers={**_STRANGERS, "shift": "with `kind: shifted` or `kind: simultaneous slices` only"},
    )


def _shifted(facts: Facts) -> Form:
    return Form(
        title="shifted",
        notes="Every R-th line along two directions, each line of the first moved along the second past the one before "
        "it: the replicas lie on a sheared lattice.",
        keys=(
            _NAME,
            *_lists((2,), factors="[2, 2]", directions="[x, z]", views="[230 mm, 400 mm]"),
            Count(
                name="shift",
                low=0,
                high=15,
                sample="1",
                meaning="By how many steps of the second direction's full sampling each line is moved past the one "
                "before; less than the second factor.",
            ),
        ),
        rules=(_whole_factors, _not_too_fast(facts), _holds_the_body(facts), _shift_within_period),
        build=ShiftedAcceleration,
        strangers=_STRANGERS,
    )


def acceleration_form(facts: Facts) -> Variants:
    """Form of one acceleration with this body and array.

    Parameters
    ----------
    facts
        What is known of body and array.

    Returns
    -------
    Variants
        Keys and rules of an item of ``imaging.accelerations``, by its kind.
    """
    return Variants(
        title="acceleration",
        by="kind",
        meaning="How the sampling is thinned out.",
        default=defaults.ACCELERATION_KIND,
        forms={
            "regular": _regular(facts),
            "shifted": _shifted(facts),
            "simultaneous slices": simultaneous_form(facts),
        },
    )
