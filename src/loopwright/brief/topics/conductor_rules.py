"""What has to hold between the keys of a conductor, and between it and its array."""

from collections.abc import Callable, Iterator
from itertools import pairwise

from loopwright.brief.defaults import crossing_separation
from loopwright.brief.forms import NOTHING, Draft, Rule, Trouble
from loopwright.brief.metals import METALS
from loopwright.brief.topics.facts import Facts
from loopwright.ground.units import engineering_text

__all__ = [
    "Extent",
    "beside_the_seam",
    "conductors_pass",
    "ink_conducts",
    "of_key",
    "one_metal",
    "round_rules",
    "rubber_conducts",
    "slender",
    "stretch_is_tabled",
    "strip_rules",
    "thinner_than_wide",
    "tube_diameter_m",
    "turns_clear",
]

_THINNEST_ELEMENT = 4  # a conductor wider than a quarter of its element is no wire to the model

Extent = Callable[[Draft], float | None]
"""Width or height that a conductor takes, as far as it could be read. [m]"""


def of_key(key: str) -> Extent:
    """Extent that stands behind one key."""

    def extent(draft: Draft) -> float | None:
        value = draft.get(key)
        return None if value is None else float(value)

    return extent


def tube_diameter_m(draft: Draft) -> float | None:
    """Diameter of a tube over its wall. [m]"""
    bore_m, wall = draft.get("bore"), draft.get("wall")
    return None if bore_m is None or wall is None else float(bore_m + 2 * wall.thickness_m)


def one_metal(draft: Draft) -> Iterator[Trouble]:
    """Refuse a material beside a conductivity."""
    if {"material", "conductivity"} <= draft.written:
        yield Trouble(
            key="conductivity",
            found="both `material` and `conductivity`",
            allowed="one of the two",
            remedy="take out `material` where you know the conductivity",
        )


def ink_conducts(draft: Draft) -> Iterator[Trouble]:
    """Ask for one way to know what a print conducts."""
    if not {"ink", "conductivity", "sheet_resistance"} & draft.written:
        yield Trouble(
            key="conductivity",
            found=NOTHING,
            allowed="`ink`, `conductivity` or `sheet_resistance`",
            remedy="add `conductivity: 8.3 MS/m` or `sheet_resistance: 6 mohm` of the finished print, or an `ink`",
        )
    if {"conductivity", "sheet_resistance"} <= draft.written:
        yield Trouble(
            key="sheet_resistance",
            found="both `conductivity` and `sheet_resistance`",
            allowed="one of the two",
            remedy="keep the one that was measured",
        )
    sheet_ohm, thickness_m = draft.get("sheet_resistance"), draft.get("thickness")
    if sheet_ohm is not None and thickness_m is not None:
        yield from _no_better_than_silver(sheet_ohm, thickness_m)


def _no_better_than_silver(sheet_ohm: float, thickness_m: float) -> Iterator[Trouble]:
    least_ohm = 1 / (METALS["silver"].value * thickness_m)
    if sheet_ohm < least_ohm:
        yield Trouble(
            key="sheet_resistance",
            found=f"{1e3 * sheet_ohm:.3g} mohm for a print of {engineering_text(thickness_m, 'm')}",
            allowed=f"{1e3 * least_ohm:.3g} mohm or more: so much has solid silver of that thickness",
            remedy="look at the unit and at the thickness",
        )


def rubber_conducts(draft: Draft) -> Iterator[Trouble]:
    """Ask for one way to know what an elastomer conducts: recipes differ too much for a default."""
    if not {"material", "conductivity"} & draft.written:
        yield Trouble(
            key="conductivity",
            found=NOTHING,
            allowed="`conductivity` or `material`",
            remedy="add `conductivity: 0.1 MS/m` at rest, measured, or name the `material`",
        )


def stretch_is_tabled(draft: Draft) -> Iterator[Trouble]:
    """Refuse a table that falls back or ends before the stretch that is worn."""
    table, stretch = draft.get("resistance_against_stretch"), draft.get("stretch")
    if not table:
        return
    key, stretches = "resistance_against_stretch", [point.stretch for point in table]
    if any(after <= before for before, after in pairwise(stretches)):
        yield Trouble(
            key=key,
            found=", ".join(f"{one:g}" for one in stretches),
            allowed="stretches that rise from item to item",
            remedy="sort the items, each stretch once",
        )
    elif stretch is not None and stretch > stretches[-1]:
        yield Trouble(
            key=key,
            found=f"a table up to {stretches[-1]:g} for a stretch of {stretch:g}",
            allowed=f"a table that reaches {stretch:g}",
            remedy="measure on, or take the table out for the law of constant volume",
        )


def turns_clear(draft: Draft) -> Iterator[Trouble]:
    """Refuse half a helix, one with a lay of its own, and turns that run into each other."""
    both = {"coil_pitch", "thread_diameter"}
    if len(both & draft.written) == 1:
        missing = (both - draft.written).pop()
        yield Trouble(
            key=missing,
            found=NOTHING,
            allowed="`coil_pitch` and `thread_diameter` together, or neither",
            remedy=f"add `{missing}`: both make the helix",
        )
    if {"coil_pitch", "length_ratio"} <= draft.written:
        yield Trouble(
            key="length_ratio",
            found="both `coil_pitch` and `length_ratio`",
            allowed="one of the two: the turns tell how much thread there is",
            remedy="take out `length_ratio`",
        )
    pitch_m, thread_m, outer_m = (draft.get(key) for key in ("coil_pitch", "thread_diameter", "outer_diameter"))
    if thread_m is not None and outer_m is not None and 2 * thread_m > outer_m:
        yield Trouble(
            key="thread_diameter",
            found=f"{engineering_text(thread_m, 'm')} in a helix of {engineering_text(outer_m, 'm')} over all",
            allowed="at most half of `outer_diameter`",
            remedy="choose a thinner thread, or a wider helix",
        )
    elif pitch_m is not None and thread_m is not None and pitch_m < 1.2 * thread_m:
        yield Trouble(
            key="coil_pitch",
            found=f"{engineering_text(pitch_m, 'm')} for a thread of {engineering_text(thread_m, 'm')}",
            allowed="1.2 times `thread_diameter` or more: turns that touch short each other",
            remedy="choose a longer pitch",
        )


def thinner_than_wide(draft: Draft) -> Iterator[Trouble]:
    """Refuse a strip that stands on edge."""
    width_m, thickness_m = draft.get("width"), draft.get("thickness")
    if width_m is not None and thickness_m is not None and thickness_m >= width_m:
        yield Trouble(
            key="thickness",
            found=f"{engineering_text(thickness_m, 'm')} for a width of {engineering_text(width_m, 'm')}",
            allowed="less than the width",
            remedy="exchange the two, or choose `kind: round wire`",
        )


def slender(facts: Facts, key: str, extent: Extent) -> Rule:
    """Refuse a conductor too wide for its element."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        width_m, size_m = extent(draft), facts.smallest_size_m
        if width_m is not None and size_m is not None and width_m > size_m / _THINNEST_ELEMENT:
            yield Trouble(
                key=key,
                found=f"{engineering_text(width_m, 'm')} in an element of {engineering_text(size_m, 'm', digits=3)}",
                allowed=f"at most a quarter of it, {engineering_text(size_m / _THINNEST_ELEMENT, 'm', digits=3)}",
                remedy="choose a narrower conductor, or larger elements",
            )

    return rule


def conductors_pass(facts: Facts, key: str, extent: Extent) -> Rule:
    """Refuse conductors that would run through each other where they cross."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        height_m, apart_m = extent(draft), facts.crossing_separation_m
        if height_m is not None and apart_m is not None and height_m >= apart_m:
            enough = crossing_separation(height_m).value
            yield Trouble(
                key=key,
                found=f"{engineering_text(height_m, 'm')} with crossings {engineering_text(apart_m, 'm')} apart",
                allowed=f"less than `{facts.crossing_separation_key}`, which is between centre-lines",
                remedy=f"write `crossing_separation: {enough}` there, or leave it out, or choose a thinner conductor",
            )

    return rule


def beside_the_seam(facts: Facts, key: str, extent: Extent) -> Rule:
    """Refuse a conductor that would bridge the seam: the gap is between centre-lines."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        width_m, gap_m = extent(draft), facts.seam_gap_m
        if width_m is not None and gap_m is not None and width_m >= gap_m:
            yield Trouble(
                key=key,
                found=f"{engineering_text(width_m, 'm')} beside a seam of {engineering_text(gap_m, 'm')}",
                allowed="less than `array.tiling.seam.gap`, which is between centre-lines: the edges would overlap",
                remedy=f"write `gap: {engineering_text(2 * width_m, 'm')}` there, or choose a narrower conductor",
            )

    return rule


def round_rules(facts: Facts, key: str, extent: Extent) -> tuple[Rule, ...]:
    """Rules for a round conductor, as wide as it is high, at the key that tells its size."""
    return (
        slender(facts, key, extent),
        beside_the_seam(facts, key, extent),
        conductors_pass(facts, key, extent),
    )


def strip_rules(facts: Facts) -> tuple[Rule, ...]:
    """Rules for a strip that lies flat."""
    width, thickness = of_key("width"), of_key("thickness")
    return (
        thinner_than_wide,
        slender(facts, "width", width),
        beside_the_seam(facts, "width", width),
        conductors_pass(facts, "thickness", thickness),
    )
