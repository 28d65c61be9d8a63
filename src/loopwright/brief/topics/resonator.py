"""The scanner's transmit resonator: an idealised one, or a birdcage in its shield."""

from collections.abc import Iterator
from dataclasses import replace
from math import pi

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Choice, Count
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import BirdcageRequest, IdealisedResonatorRequest
from loopwright.ground.units import engineering_text

__all__ = ["RESONATOR"]


def _shield_outside(draft: Draft) -> Iterator[Trouble]:
    shield_m, inner_m = draft.get("shield_length"), draft.get("length")
    if shield_m is not None and inner_m is not None and shield_m <= inner_m:
        told = engineering_text(inner_m, "m")
        yield Trouble(
            key="shield_length",
            found=f"{engineering_text(shield_m, 'm')} round a resonator whose `length` is {told}",
            allowed=f"more than {told}",
            remedy="write a larger `shield_length`",
        )


def _shield_off_the_strips(draft: Draft) -> Iterator[Trouble]:
    """Strips are wires in the model, which show nothing of what lies within their width."""
    shield_m, inner_m, width_m = (draft.get(key) for key in ("shield_radius", "radius", "conductor_width"))
    if shield_m is None or inner_m is None or width_m is None:
        return
    least_m = inner_m + width_m
    if shield_m < least_m - 1e-9:  # sums of decimal fractions are rounded
        yield Trouble(
            key="shield_radius",
            found=f"{engineering_text(shield_m, 'm')} round a resonator whose `radius` is "
            f"{engineering_text(inner_m, 'm')}",
            allowed=f"{engineering_text(least_m, 'm')} or more: off the strips by their `conductor_width`",
            remedy="write a larger `shield_radius`, or narrower strips",
        )


def _strips_along_it(draft: Draft) -> Iterator[Trouble]:
    """Half a rung, from its capacitor to the ring, is a piece of wire no shorter than the strip is wide."""
    length_m, width_m = draft.get("length"), draft.get("conductor_width")
    if length_m is not None and width_m is not None and width_m > length_m / 2:
        yield Trouble(
            key="conductor_width",
            found=f"{engineering_text(width_m, 'm')} for rungs {engineering_text(length_m, 'm')} long",
            allowed="half of their length or less",
            remedy="write narrower strips, or a longer resonator",
        )


def _strips_side_by_side(draft: Draft) -> Iterator[Trouble]:
    rungs, width_m, radius_m = draft.get("rungs"), draft.get("conductor_width"), draft.get("radius")
    if rungs is None or width_m is None or radius_m is None:
        return
    room_m = 2 * pi * radius_m / rungs
    if width_m >= room_m / 2:
        yield Trouble(
            key="conductor_width",
            found=f"{engineering_text(width_m, 'm')} for {rungs} rungs {engineering_text(room_m, 'm', digits=3)} apart",
            allowed="less than half of their distance",
            remedy="write narrower strips, or fewer rungs",
        )


_RADIUS = Quantity(
    name="radius",
    field="radius_m",
    unit="m",
    low="50 mm",
    high="500 mm",
    default=defaults.RESONATOR_RADIUS,
    meaning="Radius of the cylinder on which its conductors lie.",
)
_LENGTH = Quantity(
    name="length",
    field="length_m",
    unit="m",
    low="50 mm",
    high="2 m",
    default=defaults.RESONATOR_LENGTH,
    meaning="Length along the bore.",
)

_CAGE_LENGTH = replace(_LENGTH, default=defaults.CAGE_LENGTH)

RESONATOR = Variants(
    title="resonator",
    by="kind",
    meaning="How the transmit field is made.",
    forms={
        "idealised resonator": Form(
            title="idealised resonator",
            keys=(_RADIUS, _LENGTH),
            build=IdealisedResonatorRequest,
            strangers={"rungs": "of `kind: birdcage` only", "shield_radius": "of `kind: birdcage` only"},
            notes="A field that rotates everywhere alike across the bore and falls off towards the ends, with the "
            "electric field along the bore that belongs to it. It has no conductors, so nothing detunes it.",
        ),
        "birdcage": Form(
            title="birdcage",
            keys=(
                _RADIUS,
                _CAGE_LENGTH,
                Count(name="rungs", low=8, high=64, step=4, why_step="a multiple of 4: it is driven in quadrature",
                      default=defaults.CAGE_RUNGS, meaning="Number of rungs."),
                Quantity(name="conductor_width", field="conductor_width_m", unit="m", low="1 mm", high="200 mm",
                         default=defaults.CAGE_CONDUCTOR, meaning="Width of the strips of rungs and end rings."),
                Quantity(name="shield_radius", field="shield_radius_m", unit="m", low="60 mm", high="600 mm",
                         default=defaults.CAGE_SHIELD_RADIUS, meaning="Radius of the shield round it."),
                Quantity(name="shield_length", field="shield_length_m", unit="m", low="100 mm", high="4 m",
                         default=defaults.CAGE_SHIELD_LENGTH, meaning="Length of the shield, about the same middle."),
                Choice(name="capacitors_in", options=("end rings", "rungs"), default=defaults.CAGE_CAPACITORS,
                       meaning="Conductors in which its capacitors sit."),
            ),
            rules=(_shield_outside, _shield_off_the_strips, _strips_along_it, _strips_side_by_side),
            build=BirdcageRequest,
            strangers={"legs": "write `rungs`", "shield": "write `shield_radius` and `shield_length`"},
            notes="Tuned without body and array, driven in quadrature, and its currents then held.",
        ),
    },
)  # fmt: skip
