"""Array: explicit elements, or a tiling of the body's surface."""

from collections.abc import Iterator
from dataclasses import replace

from loopwright.brief.forms import NOTHING, Draft, Form, Trouble
from loopwright.brief.keys import Absent
from loopwright.brief.parts import Part, Parts
from loopwright.brief.records import ArrayRequest
from loopwright.brief.topics.elements import ELEMENT, MOST_ELEMENTS
from loopwright.brief.topics.facts import Facts
from loopwright.brief.topics.tiling import tiling_form
from loopwright.brief.topics.tiling_rules import element_size_m

__all__ = ["array_facts", "array_form"]


def _one_of_the_two(draft: Draft) -> Iterator[Trouble]:
    ways = draft.written & {"elements", "tiling"}
    if len(ways) != 1:
        yield Trouble(
            key="tiling",
            found="both `elements` and `tiling`" if ways else NOTHING,
            allowed="`elements` or `tiling`, one of the two",
            remedy="take one of them out" if ways else "add `tiling:` or `elements:` with its keys below",
        )
    if draft.get("elements") == ():
        yield Trouble(key="elements", found="a list of 0", allowed="one element or more", remedy="add an element")


def array_form(facts: Facts) -> Form:
    """Form of the array on this body.

    Parameters
    ----------
    facts
        What is known of the body.

    Returns
    -------
    Form
        Keys and rules of ``array``.
    """
    return Form(
        title="array",
        keys=(
            Part(
                name="tiling",
                of=tiling_form(facts),
                absent=Absent.ALLOWED,
                meaning="Equal elements laid over the surface of the body.",
            ),
            Parts(
                name="elements",
                of=ELEMENT,
                most=MOST_ELEMENTS,
                unique="name",
                absent=Absent.ALLOWED,
                meaning="Elements one by one, flat and where they are put.",
            ),
        ),
        rules=(_one_of_the_two,),
        build=ArrayRequest,
        notes="Exactly one of `tiling` and `elements` is written.",
    )


def array_facts(facts: Facts, array: ArrayRequest | None) -> Facts:
    """Add what the later topics need to know of the array; nothing where it could not be read."""
    if array is None:
        return facts
    if array.tiling is None:
        return replace(
            facts,
            element_count=array.count,
            most_gaps=max(element.gaps for element in array.elements),
            smallest_size_m=min(element.size_m for element in array.elements),
        )
    tiling = array.tiling
    told = {"span": tiling.span, "count": tiling.count, "rows": tiling.rows, "size": tiling.size_m}
    told |= {"overlap": tiling.overlap, "stand_off": tiling.stand_off_m}
    return replace(
        facts,
        span=tiling.span,
        element_count=tiling.count,
        most_gaps=tiling.gaps,
        smallest_size_m=element_size_m(facts, Draft(values=told)),
        crossing_separation_m=tiling.crossing_separation_m,
    )
