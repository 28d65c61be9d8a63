"""Designs: what is varied about the array, and the depths at which the designs are compared."""

from collections.abc import Iterator
from math import prod

from loopwright.brief.forms import NOTHING, Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Absent
from loopwright.brief.lists import CountList, NumberList, QuantityList
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import DesignsRequest
from loopwright.brief.topics.elements import MOST_ELEMENTS
from loopwright.brief.topics.facts import Facts
from loopwright.brief.topics.tiling_rules import LEAST_OVERLAP, MOST_OVERLAP
from loopwright.ground.units import engineering_text

__all__ = ["LISTS", "depths_inside", "designs_form"]

#: Keys that hold a list of what is tried, in the order in which designs are counted: the last one changes fastest.
LISTS = ("conductor", "stand_off", "count", "rows", "overlap", "size")
_OF_TILINGS = LISTS[1:]
_LONGEST = tuple(range(1, 13))
_MOST_DESIGNS = 100
_LEAST_DEPTH_VOXELS = 2


def _something_varies(draft: Draft) -> Iterator[Trouble]:
    lists = [key for key in LISTS if key in draft.written]
    if not lists:
        yield Trouble(
            key="size",
            found=NOTHING,
            allowed=f"one or more of {', '.join(reversed(LISTS))}, each with a list of what is tried",
            remedy="add for example `size: [40 mm, 60 mm, 80 mm]`",
        )
    number = prod(len(draft.get(key) or "1") for key in lists)
    if number > _MOST_DESIGNS:
        yield Trouble(
            key=max(lists, key=lambda key: len(draft.get(key) or ())),
            found=f"{number} combinations",
            allowed=f"at most {_MOST_DESIGNS}",
            remedy="shorten the lists, or write two briefs",
        )


def _nothing_twice(draft: Draft) -> Iterator[Trouble]:
    for key in ("depths", *LISTS):
        values = draft.get(key) or ()
        if any(value in values[:at] for at, value in enumerate(values)):
            yield Trouble(
                key=key, found="the same entry twice", allowed="every entry once: results go by it", remedy="keep one"
            )


def _array_can_vary(facts: Facts) -> Rule:
    """Refuse lists that belong to tilings where the array is none, and both lists where one follows from the other."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        for key in _OF_TILINGS if facts.element_count is not None and facts.span is None else ():
            if key in draft.written:
                yield Trouble(
                    key=key,
                    found="a list for an array of single `elements`",
                    allowed="`conductor` only, unless the array is a `tiling`",
                    remedy="describe the array by `array.tiling`, or take the list out",
                )
        if facts.span == "whole" and {"size", "overlap"} <= draft.written:
            yield Trouble(
                key="overlap",
                found="both `size` and `overlap`",
                allowed="one of the two when the span is whole: the other follows from the surface and the count",
                remedy="take one of the lists out",
            )

    return rule


def depths_inside(facts: Facts) -> Rule:
    """Refuse depths that the body does not have, or at which the grid's own steps show."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        depths, half = draft.get("depths"), facts.half_extents_m
        voxel_m = draft.get("voxel") or facts.voxel_m
        if depths is None:
            return
        if half is not None and max(depths) >= min(half):
            yield Trouble(
                key="depths",
                found=engineering_text(max(depths), "m"),
                allowed=f"less than {engineering_text(min(half), 'm')}, the smallest half-axis of the body",
                remedy="take the deepest ones out",
            )
        if voxel_m is not None and min(depths) < _LEAST_DEPTH_VOXELS * voxel_m * (1 - 1e-9):
            yield Trouble(
                key="depths",
                found=f"{engineering_text(min(depths), 'm')} with voxels of {engineering_text(voxel_m, 'm')}",
                allowed=f"{engineering_text(_LEAST_DEPTH_VOXELS * voxel_m, 'm')} or more, two voxels: closer to the "
                "skin the grid's own steps show in the field",
                remedy="write a greater depth, or a smaller `voxel`",
            )

    return rule


def _lengths(name: str, low: str, high: str, sample: str, meaning: str, absent: Absent) -> QuantityList:
    return QuantityList(
        name=name,
        field=f"{name}_m",
        unit="m",
        low=low,
        high=high,
        lengths=_LONGEST,
        sample=sample,
        absent=absent,
        meaning=meaning,
    )


def _counts(name: str, high: int, sample: str, meaning: str) -> CountList:
    return CountList(
        name=name, low=1, high=high, lengths=_LONGEST, sample=sample, absent=Absent.ALLOWED, meaning=meaning
    )


def designs_form(facts: Facts, *, conductor: Variants) -> Form:
    """Form of the designs to compare.

    Parameters
    ----------
    facts
        What is known of body and array.
    conductor
        Form of one conductor.

    Returns
    -------
    Form
        Keys and rules of ``designs``.
    """
    left_out = Absent.ALLOWED
    return Form(
        title="designs",
        keys=(
            _lengths("depths", "1 mm", "1 m", "[20 mm, 40 mm, 60 mm]", _DEPTHS, Absent.REFUSED),
            Quantity(name="voxel", field="voxel_m", unit="m", low="1 mm", high="40 mm", absent=left_out, sample="8 mm",
                     meaning=_VOXEL),
            _lengths("size", "10 mm", "400 mm", "[40 mm, 60 mm, 80 mm]", "Diameters or sides to try.", left_out),
            NumberList(name="overlap", low=LEAST_OVERLAP, high=MOST_OVERLAP, lengths=_LONGEST, sample="[0.76, 0.9]",
                       absent=left_out, meaning="Distances between the centres of neighbours over the size to try."),
            _counts("rows", 32, "[1, 2, 4]", "Numbers of rows to try."),
            _counts("count", MOST_ELEMENTS, "[8, 16]", "Numbers of elements to try."),
            _lengths("stand_off", "0.5 mm", "100 mm", "[5 mm, 10 mm]", "Stand-offs to try.", left_out),
            Parts(name="conductor", of=conductor, most=12, absent=left_out,
                  meaning="Conductors to try, each with the keys of `conductor`."),
        ),
        rules=(_something_varies, _nothing_twice, _array_can_vary(facts), depths_inside(facts)),
        build=DesignsRequest,
        strangers={
            "vary": "write the lists directly below `designs`",
            "depth": "write `depths: [40 mm]`, a list",
            "sizes": "write `size`, with a list behind it",
            "diameter": "write `size`, for circles and squares alike",
            "accelerations": "write them below `imaging`: they hold for every design",
            "region": "write it below `imaging`: it holds for every design",
        },
        notes=_NOTES,
    )  # fmt: skip


_DEPTHS = "Depths below the skin at which the designs are compared, two voxels or more."
_VOXEL = "Voxel of the body for the comparison, instead of `body.voxel`: a coarser one is quicker."
_NOTES = (
    "Every combination of the entries of the lists is a design. It is read as if its entries stood in `array.tiling` "
    "and `conductor`, so the same rules hold; a combination that breaks one is refused with the reason, the others are "
    "carried out. In a whole span a list of sizes stands in for an `overlap` of the array, and the other way round. "
    "All designs are judged at the same points: those of `imaging.region` at each depth."
)
