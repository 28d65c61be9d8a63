"""What has to hold between the keys of a tiling, and what follows from them."""

import math
from collections.abc import Iterator

from loopwright.brief.forms import NOTHING, Draft, Rule, Trouble
from loopwright.brief.topics.facts import Facts, ring_perimeter_m, spread_distance_m
from loopwright.brief.topics.tiling_kinds import (
    DOMED,
    RINGED,
    SLAB,
    ZERO_COUPLING,
    cover_suits,
    head_keeps_its_neck,
    row_pitch_suits,
    seam_suits,
    search_has_pairs,
    sizes_suit,
    slab_has_one_face,
)
from loopwright.ground.units import engineering_text

__all__ = ["LEAST_OVERLAP", "MOST_OVERLAP", "ZERO_COUPLING", "element_size_m", "piece_rules", "tiling_rules"]

#: Near which overlap the search for zero coupling will end: enough for bounds on sizes.
_NEAR_ZERO_COUPLING = {"circle": 0.76, "square": 0.9}

_LEAST_SIZE_M, _MOST_SIZE_M = 10e-3, 400e-3
LEAST_OVERLAP, MOST_OVERLAP = 0.5, 2.0


def _rows_divide(draft: Draft) -> Iterator[Trouble]:
    count, rows = draft.get("count"), draft.get("rows")
    if count is not None and rows is not None and count % rows:
        yield Trouble(
            key="rows",
            found=f"{rows} rows for {count} elements",
            allowed=f"a number that divides {count}",
            remedy="change `rows` or `count` so that every row has the same number of elements",
        )


def _overlap(draft: Draft) -> float | None:
    """Overlap as far as it is known; near the one that will be found where zero coupling is asked for."""
    overlap = draft.get("overlap")
    return _NEAR_ZERO_COUPLING.get(draft.get("shape"), 0.8) if overlap == ZERO_COUPLING else overlap


def _determined(facts: Facts) -> Rule:
    """Ask for exactly what this span on this body needs."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        span, written = draft.get("span"), draft.written & {"size", "overlap"}
        if span == "patch" and len(written | (draft.written & {"sizes"})) < 2:
            missing = "overlap" if "overlap" not in written else "size"
            yield Trouble(
                key=missing,
                found=NOTHING,
                allowed="both `size` and `overlap` for a patch: the distance of the centres is their product",
                remedy=f"add `{missing}`",
            )
        if span == "whole" and len(written) != 1:
            yield Trouble(
                key="overlap",
                found="both `size` and `overlap`" if written else "neither `size` nor `overlap`",
                allowed="one of the two when the span is whole: the other follows from the surface and the count",
                remedy="take out `overlap`, or `size`" if written else "add `overlap: 0.75`, or `size`",
            )
        if span == "whole" and facts.body_kind not in (*DOMED, SLAB):
            yield from _rows_suit(facts, draft)

    return rule


def _rows_suit(facts: Facts, draft: Draft) -> Iterator[Trouble]:
    if facts.body_kind in RINGED and "rows" not in draft.written:
        yield Trouble(
            key="rows",
            found=NOTHING,
            allowed="`rows` for a whole span round a cylinder or trunk: there are count / rows elements in a ring",
            remedy="add for example `rows: 2`",
        )
    if facts.body_kind is not None and facts.body_kind not in RINGED and "rows" in draft.written:
        yield Trouble(
            key="rows",
            found=f"rows on {'an' if facts.body_kind[0] == 'e' else 'a'} {facts.body_kind}",
            allowed="no `rows` for a whole span on a closed surface: the elements are spread evenly over it",
            remedy="take out `rows`, or choose `span: patch`",
        )
    count, rows = draft.get("count"), draft.get("rows")
    least = 3 * (rows or 1) if facts.body_kind in RINGED else 4
    if facts.body_kind is not None and count is not None and count < least:
        yield Trouble(
            key="count",
            found=str(count),
            allowed=f"{least} or more for a whole span here",
            remedy="add elements, or choose `span: patch`",
        )


def _pitch_m(facts: Facts, draft: Draft) -> float | None:
    """Distance between centres, as far as it is known yet; rough for a whole span on a closed surface. [m]"""
    size_m, overlap = draft.get("size") or max(draft.get("sizes") or (), default=None), _overlap(draft)
    if draft.get("span") == "patch":
        return size_m * overlap if size_m is not None and overlap is not None else None
    half, stand_off_m = facts.half_extents_m, draft.get("stand_off")
    count, rows = draft.get("count"), draft.get("rows")
    if half is None or stand_off_m is None or count is None or draft.get("span") != "whole":
        return None
    x, y, z = (extent + stand_off_m for extent in half)
    if facts.body_kind not in RINGED:
        return spread_distance_m((x, y, z), count)
    if not rows or count % rows or count < 3 * rows:
        return None  # another rule complains
    if draft.get("seam") is None:
        return ring_perimeter_m(x, y) * rows / count
    return _seamed_pitch_m(draft, ring_perimeter_m(x, y) - draft.get("seam").gap_m)


def _seamed_pitch_m(draft: Draft, room_m: float) -> float | None:
    """Distance between centres in a ring that opens, from the length that the seam leaves. [m]"""
    overlap, size_m, rows = _overlap(draft), draft.get("size"), draft.get("rows")
    steps = draft.get("count") / rows - 1 + (0.5 if draft.get("pattern") == "hexagonal" and rows > 1 else 0.0)
    if overlap is not None:
        return float(overlap * room_m / (steps * overlap + 1))
    return float((room_m - size_m) / steps) if size_m is not None else None


def element_size_m(facts: Facts, draft: Draft) -> float | None:
    """Size of the elements of a tiling, written or derived; rough on closed surfaces. [m]

    Parameters
    ----------
    facts
        What is known of the body.
    draft
        What could be read of the tiling.

    Returns
    -------
    float or None
        Diameter or side, or None where it does not follow from what is known. [m]
    """
    size_m, overlap, pitch_m = draft.get("size"), _overlap(draft), _pitch_m(facts, draft)
    if size_m is not None:
        return float(size_m)
    if draft.get("sizes"):
        return float(min(draft.get("sizes")))
    return pitch_m / overlap if pitch_m is not None and overlap is not None else None


def _derived_fits(facts: Facts) -> Rule:
    """Refuse a tiling whose derived size or overlap nobody would build."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        pitch_m, size_m, written = _pitch_m(facts, draft), element_size_m(facts, draft), draft.written
        if pitch_m is None or size_m is None or "sizes" in written or {"size", "overlap"} <= written:
            return
        if "overlap" in written and not _LEAST_SIZE_M <= size_m <= _MOST_SIZE_M:
            yield Trouble(
                key="overlap",
                found=f"{_told(draft.get('overlap'))}, which makes elements of "
                f"{engineering_text(size_m, 'm', digits=2)}",
                allowed="an overlap that makes elements of 10 mm to 400 mm",
                remedy="change `count` or `overlap`",
            )
        overlap = pitch_m / size_m
        if "size" in written and not LEAST_OVERLAP <= overlap <= MOST_OVERLAP:
            yield Trouble(
                key="size",
                found=f"{engineering_text(size_m, 'm')}, which makes an overlap of about {overlap:.2g}",
                allowed=f"a size that makes an overlap from {LEAST_OVERLAP:g} to {MOST_OVERLAP:g}",
                remedy=f"choose a size near {engineering_text(pitch_m / 0.75, 'm', digits=2)}, or another count",
            )

    return rule


def _told(overlap: float | str) -> str:
    return overlap if isinstance(overlap, str) else f"{overlap:g}"


def _smaller_than_body(facts: Facts) -> Rule:
    """Refuse elements that are larger than what they lie on, and rows beyond the ends of the body."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        size_m, stand_off_m, half = element_size_m(facts, draft), draft.get("stand_off"), facts.half_extents_m
        if size_m is None or stand_off_m is None or half is None:
            return
        across_m = 2 * (min(half[0], half[2]) if facts.body_kind == SLAB else min(half) + stand_off_m)
        if size_m >= across_m:
            yield Trouble(
                key="size" if "size" in draft.written else "count",
                found=f"elements of about {engineering_text(size_m, 'm', digits=3)}",
                allowed=f"less than {engineering_text(across_m, 'm', digits=3)}, the least width at this stand-off",
                remedy="choose smaller elements, or more of them",
            )
        yield from _rows_within(facts, draft, size_m)
        yield from _patch_goes_round_once(facts, draft)

    return rule


def _rows_within(facts: Facts, draft: Draft, size_m: float) -> Iterator[Trouble]:
    rows, half, pitch_m = draft.get("rows"), facts.half_extents_m, _pitch_m(facts, draft)
    if rows is None or half is None or pitch_m is None or facts.body_kind not in RINGED:
        return
    between_m = draft.get("row_pitch") or pitch_m * (math.sqrt(3) / 2 if draft.get("pattern") == "hexagonal" else 1.0)
    reach_m = (rows - 1) * between_m
    if reach_m > 2 * half[2]:
        yield Trouble(
            key="rows",
            found=f"{rows} rows of elements of {engineering_text(size_m, 'm', digits=3)}, "
            f"{engineering_text(reach_m, 'm', digits=3)} from first to last centre",
            allowed=f"rows whose centres lie on the body, which is {engineering_text(2 * half[2], 'm')} long",
            remedy="take fewer rows, more elements in a ring, or write a smaller `row_pitch`",
        )


def _faces_the_side(facts: Facts) -> Rule:
    """Refuse a facing along the axis of a body whose ends carry no elements."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        facing = draft.get("facing")
        if facing is None or facts.body_kind not in RINGED:
            return
        if math.hypot(facing[0], facing[1]) < 1e-6 * abs(facing[2]):
            yield Trouble(
                key="facing",
                found="a direction along z",
                allowed=f"a direction towards the side of the {facts.body_kind}: its ends carry no elements",
                remedy="write for example `[0, -1, 0]` for the front",
            )

    return rule


def _patch_goes_round_once(facts: Facts, draft: Draft) -> Iterator[Trouble]:
    """Refuse a patch whose rows would meet behind the body."""
    rows, pitch_m, half = draft.get("rows"), _pitch_m(facts, draft), facts.half_extents_m
    if rows is None or pitch_m is None or half is None or draft.get("span") != "patch":
        return
    columns = (draft.get("count") or 0) / rows
    if facts.body_kind == SLAB:
        yield from _patch_within_face(draft, facts, columns * pitch_m)
        return
    round_m = ring_perimeter_m(half[0] + draft.get("stand_off"), half[1] + draft.get("stand_off"))
    if columns * pitch_m > round_m * (1 + 1e-9):
        yield Trouble(
            key="span",
            found=f"a patch {engineering_text(columns * pitch_m, 'm', digits=3)} long",
            allowed=f"at most once round the body, {engineering_text(round_m, 'm', digits=3)} at this stand-off",
            remedy="choose `span: whole`, or fewer or smaller elements",
        )


def _patch_within_face(draft: Draft, facts: Facts, long_m: float) -> Iterator[Trouble]:
    wide_m = 2 * facts.half_extents_m[0] if facts.half_extents_m is not None else math.inf
    if long_m > wide_m and draft.get("sizes") is None:
        yield Trouble(
            key="rows",
            found=f"a patch {engineering_text(long_m, 'm', digits=3)} long",
            allowed=f"at most the front face of the slab, {engineering_text(wide_m, 'm', digits=3)} wide",
            remedy="take more rows, or fewer or smaller elements",
        )


def tiling_rules(facts: Facts) -> tuple[Rule, ...]:
    """Return what has to hold between the keys of a tiling of this body; as :func:`piece_rules` otherwise."""
    return (*piece_rules(facts), seam_suits(facts), row_pitch_suits(facts), cover_suits(facts))


def piece_rules(facts: Facts) -> tuple[Rule, ...]:
    """Return what has to hold between the keys of a tiling that is a patch of this body.

    Parameters
    ----------
    facts
        What is known of the body.

    Returns
    -------
    tuple of Rule
        One rule for each thing that can be wrong.
    """
    return (
        _rows_divide,
        _determined(facts),
        _derived_fits(facts),
        _smaller_than_body(facts),
        _faces_the_side(facts),
        slab_has_one_face(facts),
        head_keeps_its_neck(facts),
        sizes_suit,
        search_has_pairs,
    )
