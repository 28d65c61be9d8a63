"""Array: explicit elements, a tiling of the body's surface, or pieces with a tiling each."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from loopwright.brief.forms import NOTHING, Draft, Form, Trouble, Variants
from loopwright.brief.keys import Absent, Words
from loopwright.brief.parts import Part, Parts
from loopwright.brief.records import ArrayRequest, PieceRequest, TilingRequest
from loopwright.brief.topics.carrier import carrier_form, carrier_suits
from loopwright.brief.topics.elements import ELEMENT, MOST_ELEMENTS
from loopwright.brief.topics.facts import NO_FACTS, Facts
from loopwright.brief.topics.tiling import piece_form, tiling_form
from loopwright.brief.topics.tiling_rules import element_size_m

__all__ = ["array_facts", "array_form"]

MOST_PIECES = 8


def _one_of_the_three(draft: Draft) -> Iterator[Trouble]:
    ways = [way for way in ("elements", "tiling", "pieces") if way in draft.written]
    if len(ways) != 1:
        yield Trouble(
            key="tiling",
            found=f"both {' and '.join(f'`{way}`' for way in ways)}" if ways else NOTHING,
            allowed="`elements`, `tiling` or `pieces`, one of them",
            remedy="leave one in" if ways else "add `tiling:`, `pieces:` or `elements:` with its keys below",
        )
    if draft.get("pieces") == ():
        yield Trouble(key="pieces", found="a list of 0", allowed="one piece or more", remedy="add a piece")
    if draft.get("elements") == ():
        yield Trouble(key="elements", found="a list of 0", allowed="one element or more", remedy="add an element")


def _piece(facts: Facts, ground: str) -> Form:
    return Form(
        title=ground,
        keys=(
            Words(
                name="name",
                longest=20,
                sample="posterior",
                meaning="Name of the piece; its elements are called by it and a number.",
            ),
            Part(
                name="tiling",
                of=piece_form(facts),
                meaning="Its elements, as in `array.tiling`, with the span `patch`.",
            ),
        ),
        build=partial(PieceRequest, lies_on=ground),
    )


def _piece_forms(facts: Facts) -> Variants:
    return Variants(
        title="piece",
        by="lies_on",
        meaning="Whether the piece follows the skin, or is a flat plate square to its facing direction that "
        "touches the body but for the stand-off.",
        forms={"body": _piece(facts, "body"), "plane": _piece(_beside_the_body(facts), "plane")},
    )


def _beside_the_body(facts: Facts) -> Facts:
    """What holds for a plate: nothing of the body, but of the conductor."""
    return replace(NO_FACTS, conductor_height_m=facts.conductor_height_m)


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
            Parts(
                name="pieces",
                of=_piece_forms(facts),
                most=MOST_PIECES,
                unique="name",
                absent=Absent.ALLOWED,
                meaning="Pieces that lie beside each other, such as a rigid posterior and a flexible anterior one.",
            ),
            Part(
                name="carrier",
                of=carrier_form(facts),
                absent=Absent.ALLOWED,
                meaning="What carries the elements of a tiling. Left out: they follow the skin, and nothing is told of "
                "strain.",
            ),
        ),
        rules=(_one_of_the_three, carrier_suits),
        build=ArrayRequest,
        notes="Exactly one of `tiling`, `elements` and `pieces` is written.",
    )


def array_facts(facts: Facts, array: ArrayRequest | None) -> Facts:
    """Add what the later topics need to know of the array; nothing where it could not be read."""
    if array is None:
        return facts
    if array.elements:
        return replace(
            facts,
            element_count=array.count,
            most_gaps=max(element.gaps for element in array.elements),
            least_gaps=min(element.gaps for element in array.elements),
            smallest_size_m=min(element.size_m for element in array.elements),
        )
    on_body = [piece.lies_on == "body" for piece in array.pieces] or [True]
    sizes = [
        _smallest_size_m(facts if here else NO_FACTS, tiling)
        for here, tiling in zip(on_body, array.tilings, strict=True)
    ]
    separations = [tiling.crossing_separation_m for tiling in array.tilings]
    least = separations.index(min(separations))
    return replace(
        facts,
        span=None if array.tiling is None else array.tiling.span,
        element_count=array.count,
        most_gaps=max(tiling.gaps for tiling in array.tilings),
        least_gaps=min(tiling.gaps for tiling in array.tilings),
        smallest_size_m=min((size for size in sizes if size is not None), default=None),
        crossing_separation_m=separations[least],
        crossing_separation_key=f"array.{f'pieces[{least + 1}].' if array.pieces else ''}tiling.crossing_separation",
        seam_gap_m=None if array.tiling is None or array.tiling.seam is None else array.tiling.seam.gap_m,
    )


def _smallest_size_m(facts: Facts, tiling: TilingRequest) -> float | None:
    told: dict[str, object] = {"span": tiling.span, "count": tiling.count, "rows": tiling.rows, "size": tiling.size_m}
    told |= {"overlap": tiling.overlap, "stand_off": tiling.stand_off_m, "shape": tiling.shape}
    told |= {"sizes": tiling.sizes_m, "seam": tiling.seam, "pattern": tiling.pattern}
    return element_size_m(facts, Draft(values=told))
