"""The kinds of conductor, one form each."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.forms import Form, Rule
from loopwright.brief.gauges import WireDiameter
from loopwright.brief.keys import Absent, Choice, Number
from loopwright.brief.metals import ELASTOMERS, INKS, LIQUID_METALS, METALS
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import (
    ElastomerStripRequest,
    FlatStripRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
    StretchPoint,
    ThreadRequest,
)
from loopwright.brief.topics import conductor_rules as rules
from loopwright.brief.topics.conductor_keys import COMMON, DENSITY, conductivity, length, material_keys, named
from loopwright.brief.topics.facts import Facts
from loopwright.brief.topics.films import WALL
from loopwright.ground.sources import Published

__all__ = ["elastomer_strip", "flat_strip", "liquid_metal_tube", "printed_strip", "round_wire", "thread"]

_NO_WIRE = {"wire_diameter": "a strip has `width` and `thickness`", "diameter": "a strip has `width` and `thickness`"}
_WIDTH = length("width", "0.2 mm", "30 mm", "5 mm", "Width, in the surface of the array.")


def _room(facts: Facts, key: str, extent: rules.Extent) -> tuple[Rule, ...]:
    """Rules for a round conductor, as wide as it is high."""
    return (
        rules.slender(facts, key, extent),
        rules.beside_the_seam(facts, key, extent),
        rules.conductors_pass(facts, key, extent),
    )


def _strip_rules(facts: Facts) -> tuple[Rule, ...]:
    width, thickness = rules.of_key("width"), rules.of_key("thickness")
    return (
        rules.thinner_than_wide,
        rules.slender(facts, "width", width),
        rules.beside_the_seam(facts, "width", width),
        rules.conductors_pass(facts, "thickness", thickness),
    )


def _built(
    record: Any,
    table: Mapping[str, Published],
    *,
    material: str = "given",
    conductivity_s_per_m: float | None = None,
    **others: Any,
) -> Any:
    """Build the record of this kind; a conductivity that was written wins over the default metal."""
    if conductivity_s_per_m is None:
        return record(material=material, conductivity_s_per_m=table[material].value, **others)
    return record(material="given", conductivity_s_per_m=conductivity_s_per_m, **others)


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
        rules=(rules.one_metal, *_room(facts, "wire_diameter", rules.of_key("wire_diameter"))),
        build=partial(_built, RoundWireRequest, METALS),
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
        rules=(rules.one_metal, *_strip_rules(facts)),
        build=partial(_built, FlatStripRequest, METALS),
        strangers=_NO_WIRE,
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
        rules=(rules.ink_conducts, *_strip_rules(facts)),
        build=_printed,
        strangers={**_NO_WIRE, "material": "a print differs from its bulk metal: write its `conductivity` or `ink`"},
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
        rules=(rules.one_metal, *_room(facts, "bore", rules.tube_diameter_m)),
        build=partial(_built, LiquidMetalTubeRequest, LIQUID_METALS),
        strangers={"wire_diameter": "write the `bore`", "wall_thickness": "write `thickness` below `wall`"},
    )


def elastomer_strip(facts: Facts) -> Form:
    """Form of a strip of conductive elastomer."""
    return Form(
        title="elastomer strip",
        keys=(
            length("width", "0.2 mm", "30 mm", "5 mm", "Width at rest, in the surface of the array."),
            length("thickness", "5 um", "5 mm", "100 um", "Thickness at rest."),
            *_ELASTIC,
            DENSITY,
            *COMMON,
        ),
        rules=(rules.one_metal, rules.stretch_is_tabled, *_strip_rules(facts)),
        build=partial(_built, ElastomerStripRequest, ELASTOMERS),
        strangers=_NO_WIRE,
    )


_ELASTIC = (
    Choice(
        name="material",
        options=tuple(ELASTOMERS),
        default=defaults.ELASTOMER,
        unless="conductivity",
        meaning=f"Elastomer, for its conductivity at rest: {named(ELASTOMERS.items())}.",
    ),
    conductivity(low="10 S/m", sample="0.1 MS/m", meaning="Conductivity at rest, instead of `material`."),
    Number(
        name="stretch",
        low=0,
        high=3,
        sample="0.2",
        meaning="Elongation as worn, over the length at rest: 0.2 is a fifth longer. Sizes of the array are as worn.",
    ),
    Parts(
        name="resistance_against_stretch",
        most=40,
        default=defaults.RESISTANCE_AGAINST_STRETCH,
        meaning="Resistance of one piece, stretched over at rest, as measured: rising stretches, straight lines "
        "between.",
        of=Form(
            title="stretch",
            keys=(
                Number(name="stretch", low=0, high=3, sample="0.2", meaning="Elongation over the length at rest."),
                Number(name="ratio", low=0.1, high=1e4, sample="1.6", meaning="Resistance over that at rest."),
            ),
            build=StretchPoint,
        ),
    ),
)


def thread(facts: Facts) -> Form:
    """Form of a conductive thread."""
    return Form(
        title="thread",
        keys=_THREAD + COMMON,
        rules=(rules.turns_clear, *_room(facts, "outer_diameter", rules.of_key("outer_diameter"))),
        build=ThreadRequest,
        strangers={
            "conductivity": "strands do not tell it: write `thread_resistance`, measured",
            "density": "write `linear_density`, the mass of a metre of thread",
            "diameter": "write `outer_diameter`",
        },
    )


_THREAD = (
    length("outer_diameter", "0.05 mm", "10 mm", "1.2 mm", "Diameter over all, turns of a sprung thread included."),
    Quantity(
        name="thread_resistance",
        field="thread_resistance_ohm_per_m",
        unit="ohm/m",
        low="0.001 ohm/m",
        high="10000 ohm/m",
        sample="20 ohm/m",
        meaning="Resistance of a metre of thread, measured at the Larmor frequency.",
    ),
    length(
        "coil_pitch",
        "0.1 mm",
        "50 mm",
        "1.5 mm",
        "Advance of one turn of a thread that is sprung into a helix. Left out: the thread follows the line.",
        Absent.ALLOWED,
    ),
    length(
        "thread_diameter",
        "0.02 mm",
        "5 mm",
        "0.3 mm",
        "Diameter of the thread itself, for a helix.",
        Absent.ALLOWED,
    ),
    Number(
        name="length_ratio",
        low=1,
        high=20,
        sample="1.15",
        default=defaults.LENGTH_RATIO,
        unless="coil_pitch",
        meaning="Metres of thread in a metre of centre-line, of a weave or zigzag.",
    ),
    Quantity(
        name="linear_density",
        field="linear_density_kg_per_m",
        unit="kg/m",
        low="1 mg/m",
        high="100 g/m",
        sample="0.3 g/m",
        absent=Absent.ALLOWED,
        meaning="Mass of a metre of thread. Left out: the mass is not told.",
    ),
)
