"""What has to hold for the special kinds of tilings: on slabs and heads, of graded sizes, with a seam, searched for."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from loopwright.brief.forms import Draft, Rule, Trouble
from loopwright.brief.topics.facts import Facts
from loopwright.ground.units import engineering_text

__all__ = [
    "DOMED",
    "RINGED",
    "SLAB",
    "ZERO_COUPLING",
    "cover_bounds",
    "cover_suits",
    "head_keeps_its_neck",
    "row_pitch_suits",
    "seam_suits",
    "search_has_pairs",
    "sizes_suit",
    "slab_has_one_face",
    "stand_off_is_of_layers",
]

RINGED, SLAB = ("elliptic cylinder", "trunk", "limb"), "slab"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ends:
    """Words for a body that is a cap on a column: where the column ends, what is there, its front and its top."""

    end: str
    below: str
    front: str
    top: str


_ENDS = {
    "head": _Ends(end="chin", below="neck", front="forehead", top="vertex"),
    "bottle": _Ends(end="bottom", below="bottom", front="edge of the shoulders", top="top"),
}
#: Bodies that are a cap on a column which ends below.
DOMED = tuple(_ENDS)
ZERO_COUPLING = "zero coupling"
#: Layers and a stand-off that differ by less are the same. [m]
_SAME_STAND_OFF_M = 0.05e-3
#: Bodies by formula: all of them are covered whole, or in rows.
_BY_FORMULA = ("sphere", "ellipsoid", *RINGED, SLAB, *DOMED)


def slab_has_one_face(facts: Facts) -> Rule:
    """Refuse on a slab what does not lie on its front face."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if facts.body_kind != SLAB:
            return
        if draft.get("span") == "whole":
            yield Trouble(
                key="span",
                found="whole, on a slab",
                allowed="patch: elements lie on the front face of a slab, at the least y",
                remedy="write `span: patch` with `size` and `overlap`",
            )
        facing = draft.get("facing")
        if facing is not None and facing[1] >= 0:
            yield Trouble(
                key="facing",
                found="a direction away from the front face",
                allowed="a direction towards the front face of the slab, at the least y",
                remedy="leave it out, or write `[0, -1, 0]`",
            )

    return rule


def head_keeps_its_neck(facts: Facts) -> Rule:
    """Refuse on a head or a bottle a span that would close below it, and a patch about a point below its end."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        ends = _ENDS.get(facts.body_kind or "")
        if ends is None:
            return
        if draft.get("span") == "whole":
            yield Trouble(
                key="span",
                found=f"whole, on a {facts.body_kind}",
                allowed=f"patch: the {ends.below} keeps a closed cover away",
                remedy="write `span: patch` with `size` and `overlap`; `facing: [0, 0, 1]` makes it a cap",
            )
        facing, ground = draft.get("facing"), facts.ground_m
        if facing is None or ground is None:
            return
        (_, _, chin_m), (a, b, _) = ground
        if facing[2] < chin_m * math.hypot(facing[0] / a, facing[1] / b):
            yield Trouble(
                key="facing",
                found=f"a direction that leaves the {facts.body_kind} below its {ends.end}",
                allowed=f"a direction that meets the {facts.body_kind} above its {ends.end} at z = "
                f"{engineering_text(chin_m, 'm')}",
                remedy=f"write for example `[0, -1, 0]` for the {ends.front}, or `[0, 0, 1]` for the {ends.top}",
            )

    return rule


def sizes_suit(draft: Draft) -> Iterator[Trouble]:
    """Refuse sizes of rows beside a single size, round the body, or in another number than the rows."""
    sizes, rows = draft.get("sizes"), draft.get("rows")
    if "sizes" not in draft.written:
        return
    if "size" in draft.written:
        yield Trouble(
            key="sizes",
            found="both `size` and `sizes`",
            allowed="one size for all elements, or one for each row",
            remedy="take one of them out",
        )
    if draft.get("span") == "whole":
        yield Trouble(
            key="sizes",
            found="sizes of rows in a whole span",
            allowed="`sizes` in a patch only: round the body every row shares the same circumference",
            remedy="take out `sizes`, or choose `span: patch`",
        )
    if sizes is not None and (rows is not None or "rows" not in draft.written) and rows != len(sizes):
        yield Trouble(
            key="sizes",
            found=f"{len(sizes)} sizes for {rows or 'no'} rows",
            allowed="one size for each row, and `rows` written",
            remedy=f"write `rows: {len(sizes)}`, or as many sizes as rows",
        )


def seam_suits(facts: Facts) -> Rule:
    """Refuse a seam where no ring opens, or one that leaves no room."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if "seam" not in draft.written:
            return
        ringed = facts.body_kind is None or facts.body_kind in RINGED
        if draft.get("span") == "patch" or not ringed:
            yield Trouble(
                key="seam",
                found="a seam in a patch" if draft.get("span") == "patch" else f"a seam on a {facts.body_kind}",
                allowed="a seam in a whole span round an elliptic cylinder or a trunk: there rings close, and can open",
                remedy="take out `seam`",
            )
        if "facing" in draft.written:
            yield Trouble(
                key="facing",
                found="both `facing` and `seam`",
                allowed="one of the two: rings with a seam begin and end at it",
                remedy="take out `facing`",
            )
        seam = draft.get("seam")
        if seam is not None and math.hypot(*seam.towards[:2]) < 1e-6:
            yield Trouble(
                key="seam",
                found="a seam towards z",
                allowed="a direction towards the side of the body: seams run along z",
                remedy="write for example `towards: [0, 1, 0]` for the back",
            )

    return rule


def row_pitch_suits(facts: Facts) -> Rule:
    """Refuse a distance of rows where it follows from something else."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if "row_pitch" not in draft.written:
            return
        ringed = facts.body_kind is None or facts.body_kind in RINGED
        if draft.get("span") == "patch" or not ringed:
            yield Trouble(
                key="row_pitch",
                found="a distance of rows in a patch"
                if draft.get("span") == "patch"
                else f"rows on a {facts.body_kind}",
                allowed="`row_pitch` in a whole span round an elliptic cylinder, a trunk or a limb",
                remedy="take out `row_pitch`: in a patch rows are apart by the overlap",
            )
        elif draft.get("overlap") == ZERO_COUPLING:
            yield Trouble(
                key="row_pitch",
                found="`row_pitch` beside a search for zero coupling",
                allowed="one of the two: the search chooses the distance between rows",
                remedy="take out `row_pitch`, or write a number for `overlap`",
            )

    return rule


def cover_suits(facts: Facts) -> Rule:
    """Refuse a cover where the span or the body leaves none to choose."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if "cover" not in draft.written:
            return
        if draft.get("span") == "patch" or facts.body_kind in _BY_FORMULA:
            yield Trouble(
                key="cover",
                found="a cover of a patch" if draft.get("span") == "patch" else f"a cover of {_a(facts.body_kind)}",
                allowed="`cover` with a whole span on a body of triangles: a patch lies about its `facing`",
                remedy="take out `cover`",
            )

    return rule


def _a(kind: str | None) -> str:
    return f"{'an' if (kind or '')[:1] == 'e' else 'a'} {kind}"


def cover_bounds(draft: Draft) -> Iterator[Trouble]:
    """Refuse a cover that bounds nothing, or whose planes leave no room between them."""
    lowest, highest = draft.get("lowest"), draft.get("highest")
    if not draft.written & {"lowest", "highest", "free"}:
        yield Trouble(
            key="lowest",
            found="a cover without a bound",
            allowed="one or more of `lowest`, `highest` and `free`",
            remedy="add one, or take out `cover` to cover all of the body",
        )
    if (
        lowest is not None
        and highest is not None
        and any(low >= high for low, high in zip(lowest, highest, strict=True))
    ):
        yield Trouble(
            key="highest",
            found="a plane that does not stay above `lowest`",
            allowed="heights above those of `lowest`, at the front and at the back",
            remedy="write greater heights: z runs to the head",
        )


def stand_off_is_of_layers(facts: Facts) -> Rule:
    """Refuse a stand-off that the layers under a film do not make."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        asked_m, layers_m = draft.get("stand_off"), facts.film_stand_off_m
        if "stand_off" not in draft.written or asked_m is None or layers_m is None:
            return
        if abs(asked_m - layers_m) > _SAME_STAND_OFF_M:
            yield Trouble(
                key="stand_off",
                found=engineering_text(asked_m, "m"),
                allowed=f"{engineering_text(layers_m, 'm', digits=4)}, which the layers between skin and conductor "
                "come to: films, padding and half the conductor",
                remedy="leave `stand_off` out, or change `carrier.padding`",
            )

    return rule


def search_has_pairs(draft: Draft) -> Iterator[Trouble]:
    """Refuse a search for zero coupling of one element."""
    if draft.get("overlap") == ZERO_COUPLING and draft.get("count") == 1:
        yield Trouble(
            key="overlap",
            found="zero coupling of a single element",
            allowed="a search for zero coupling between two elements or more",
            remedy="add elements, or write a number",
        )
