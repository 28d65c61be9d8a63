"""Region: the part of the body in which SNR and g are judged."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import did_you_mean
from loopwright.brief.lists import QuantityList, WordOrWords
from loopwright.brief.quantities import Depth, Quantity
from loopwright.brief.records import BoxRegion, SphereRegion, TissueRegion, WholeBodyRegion
from loopwright.brief.topics.facts import AXES, Box, Facts
from loopwright.brief.topics.field_of_view import reach_told
from loopwright.ground.units import engineering_text

__all__ = ["region_form"]

_UNKNOWN_VOXEL_M = 5e-3  # stands in where the body's voxel could not be read and the brief is refused anyway


def _point(name: str, sample: str, meaning: str) -> QuantityList:
    return QuantityList(
        name=name, field=f"{name}_m", unit="m", low="-2 m", high="2 m", lengths=(3,), sample=sample, meaning=meaning
    )


def _less_than_the_body(facts: Facts) -> Rule:
    """Refuse a depth at which no body is left."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        depth_m, half = draft.get("least_depth"), facts.half_extents_m
        if depth_m is not None and half is not None and depth_m >= min(half):
            yield Trouble(
                key="least_depth",
                found=engineering_text(depth_m, "m"),
                allowed=f"less than {engineering_text(min(half), 'm')}, the smallest half-axis of the body",
                remedy="write a smaller depth",
            )

    return rule


def _ball_meets_the_body(facts: Facts) -> Rule:
    def rule(draft: Draft) -> Iterator[Trouble]:
        centre, radius_m, box = draft.get("centre"), draft.get("radius"), facts.box_m
        if centre is None or radius_m is None or box is None:
            return
        if any(c - radius_m >= b or c + radius_m <= a for c, a, b in zip(centre, *box, strict=True)):
            yield _beside("centre", box)

    return rule


def _corners_in_order(draft: Draft) -> Iterator[Trouble]:
    low, high = draft.get("min"), draft.get("max")
    if low is not None and high is not None and any(a >= b for a, b in zip(low, high, strict=True)):
        yield Trouble(
            key="max",
            found="a corner that does not lie above `min` along every axis",
            allowed="larger than `min` along x, y and z",
            remedy="exchange the coordinates that are the wrong way round",
        )


def _box_meets_the_body(facts: Facts) -> Rule:
    def rule(draft: Draft) -> Iterator[Trouble]:
        low, high, box = draft.get("min"), draft.get("max"), facts.box_m
        if low is None or high is None or box is None:
            return
        if any(a >= end or b <= start for a, b, start, end in zip(low, high, *box, strict=True)):
            yield _beside("min", box)

    return rule


def _tissues_of_the_body(facts: Facts) -> Rule:
    """Refuse a tissue that the body does not hold."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        names, known = draft.get("tissue"), facts.tissue_names
        if names is None or known is None:
            return
        strangers = [name for name in names if name.casefold() not in {own.casefold() for own in known}]
        if strangers:
            yield Trouble(
                key="tissue",
                found=f"{', '.join(strangers)[:80]}, which the body does not hold",
                allowed=f"a tissue of the body: {', '.join(known)}",
                remedy=did_you_mean(strangers[0], known, otherwise="write one of those above"),
            )

    return rule


def _beside(key: str, box: Box) -> Trouble:
    reach = ", ".join(f"{axis} {reach_told(ends)}" for axis, ends in zip(AXES, zip(*box, strict=True), strict=True))
    return Trouble(
        key=key,
        found="a region beside the body",
        allowed=f"a region that meets the body ({reach})",
        remedy="move the region to where the body lies in its frame",
    )


def region_form(facts: Facts) -> Variants:
    """Form of the region in this body.

    Parameters
    ----------
    facts
        What is known of the body.

    Returns
    -------
    Variants
        Keys and rules of ``imaging.region``, by its kind.
    """
    depth = Depth(
        name="least_depth",
        field="least_depth_m",
        voxel_m=facts.voxel_m or _UNKNOWN_VOXEL_M,
        default=defaults.LEAST_DEPTH,
        meaning="Only what lies deeper below the skin counts; in mm, or in voxels of the computing grid.",
    )
    deep = _less_than_the_body(facts)
    radius = Quantity(
        name="radius",
        field="radius_m",
        unit="m",
        low="1 mm",
        high="1 m",
        sample="30 mm",
        meaning="Radius of the region.",
    )
    return Variants(
        title="region",
        by="kind",
        meaning="Where SNR and g, or changes of B1+, are judged.",
        forms={
            "whole body": Form(title="whole body", keys=(depth,), rules=(deep,), build=WholeBodyRegion),
            "sphere": Form(
                title="sphere",
                keys=(_point("centre", "[0 mm, 0 mm, 40 mm]", "Centre in the body frame."), radius, depth),
                rules=(deep, _ball_meets_the_body(facts)),
                build=SphereRegion,
            ),
            "box": Form(
                title="box",
                keys=(
                    _point("min", "[-40 mm, -30 mm, -50 mm]", "Corner with the least x, y and z."),
                    _point("max", "[40 mm, 30 mm, 50 mm]", "Corner with the greatest x, y and z."),
                    depth,
                ),
                rules=(deep, _corners_in_order, _box_meets_the_body(facts)),
                build=BoxRegion,
            ),
            "tissue": Form(
                title="tissue",
                notes="Every voxel of which this tissue fills the largest part.",
                keys=(
                    WordOrWords(
                        name="tissue",
                        field="tissues",
                        most=8,
                        sample="Muscle",
                        meaning="Tissue of the body, or several; names as in the dossier's table of tissues.",
                    ),
                    depth,
                ),
                rules=(deep, _tissues_of_the_body(facts)),
                build=TissueRegion,
                strangers={"tissues": "write `tissue`", "material": "write `tissue`"},
            ),
        },
    )
