"""The kinds of conductor that hold their shape, and liquid metal in its tube: one form each."""

from functools import partial
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.forms import Form
from loopwright.brief.gauges import WireDiameter
from loopwright.brief.keys import Absent, Choice
from loopwright.brief.metals import INKS, LIQUID_METALS, METALS
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import (
    FlatStripRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
)
from loopwright.brief.topics import conductor_rules as rules
from loopwright.brief.topics.conductor_keys import (
    COMMON,
    DENSITY,
    NO_WIRE,
    built,
    conductivity,
    length,
    material_keys,
    named,
)
from loopwright.brief.topics.facts import Facts
from loopwright.brief.topics.films import WALL

__all__ = ["flat_strip", "liquid_metal_tube", "printed_strip", "round_wire"]

_WIDTH = length("width", "0.2 mm", "30 mm", "5 mm", "Width, in the surface of the array.")


def round_wire(facts: Facts) -> Form:
    """Form of a round wire."""
    return Form(
        title="round wire",
        keys=(
            WireDiameter(
                name="wire_diameter",
                field="wire_diameter_m",
                low="0.1 mm",
                high="10 mm",
                sample="1.5 mm",
                meaning="Diameter of the bare wire.",
            ),
            *material_keys(METALS, defaults.MATERIAL),
            DENSITY,
            *COMMON,
        ),
        rules=(rules.one_metal, *rules.round_rules(facts, "wire_diameter", rules.of_key("wire_diameter"))),
        build=partial(built, RoundWireRequest, METALS),
        strangers={"diameter": "write `wire_diameter`", "width": "a wire has a `wire_diameter`"},
    )


def flat_strip(facts: Facts) -> Form:
    """Form of a strip of solid metal."""
    return Form(
        title="flat strip",
        keys=(
            _WIDTH,
            length("thickness", "5 um", "2 mm", "35 um", "Thickness of the metal."),
            *material_keys(METALS, defaults.MATERIAL),
            DENSITY,
            *COMMON,
        ),
        rules=(rules.one_metal, *rules.strip_rules(facts)),
        build=partial(built, FlatStripRequest, METALS),
        strangers=NO_WIRE,
    )


def printed_strip(facts: Facts) -> Form:
    """Form of a printed strip."""
    return Form(
        title="printed strip",
        keys=(
            _WIDTH,
            length("thickness", "1 um", "200 um", "20 um", "Thickness of the finished print."),
            Choice(
                name="ink",
                options=tuple(INKS),
                absent=Absent.ALLOWED,
                meaning=f"Ink, for the conductivity of its finished print: {named(INKS.items())}. What you measured, "
                "in any of the next keys, wins over it.",
            ),
            conductivity(
                low="0.01 MS/m",
                sample="8.3 MS/m",
                meaning="Conductivity of the finished print, not of the bulk metal.",
            ),
            Quantity(
                name="sheet_resistance",
                field="sheet_resistance_ohm",
                unit="ohm",
                low="0.0001 ohm",
                high="10 ohm",
                sample="0.006 ohm",
                absent=Absent.ALLOWED,
                meaning="Resistance of a square of the finished print for direct current, instead of `conductivity`.",
            ),
            DENSITY,
            *COMMON,
        ),
        rules=(rules.ink_conducts, *rules.strip_rules(facts)),
        build=_printed,
        strangers={**NO_WIRE, "material": "a print differs from its bulk metal: write its `conductivity` or `ink`"},
    )


def _printed(
    *,
    thickness_m: float,
    ink: str = "given",
    conductivity_s_per_m: float | None = None,
    sheet_resistance_ohm: float | None = None,
    **others: Any,
) -> PrintedStripRequest:
    """Build the record; what was measured wins over the table of inks."""
    if sheet_resistance_ohm is not None:
        conductivity_s_per_m = 1 / (sheet_resistance_ohm * thickness_m)
    return PrintedStripRequest(
        material=ink,
        thickness_m=thickness_m,
        conductivity_s_per_m=INKS[ink].value if conductivity_s_per_m is None else conductivity_s_per_m,
        sheet_resistance_ohm=sheet_resistance_ohm,
        **others,
    )


def liquid_metal_tube(facts: Facts) -> Form:
    """Form of a tube filled with liquid metal."""
    return Form(
        title="liquid metal tube",
        keys=(
            length("bore", "0.1 mm", "5 mm", "1 mm", "Diameter of the bore, which the metal fills."),
            WALL,
            *material_keys(LIQUID_METALS, defaults.LIQUID_METAL),
            DENSITY,
            *COMMON,
        ),
        rules=(rules.one_metal, *rules.round_rules(facts, "bore", rules.tube_diameter_m)),
        build=partial(built, LiquidMetalTubeRequest, LIQUID_METALS),
        strangers={"wire_diameter": "write the `bore`", "wall_thickness": "write `thickness` below `wall`"},
    )
