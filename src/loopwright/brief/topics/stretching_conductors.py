"""The kinds of conductor that stretch: strips of elastomer and threads, one form each."""

from functools import partial

from loopwright.brief import defaults
from loopwright.brief.forms import Form
from loopwright.brief.keys import Absent, Choice, Number
from loopwright.brief.metals import ELASTOMERS
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import ElastomerStripRequest, StretchPoint, ThreadRequest
from loopwright.brief.topics import conductor_rules as rules
from loopwright.brief.topics.conductor_keys import COMMON, DENSITY, NO_WIRE, built, conductivity, length, named
from loopwright.brief.topics.facts import Facts

__all__ = ["elastomer_strip", "thread"]


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
        rules=(rules.one_metal, rules.rubber_conducts, rules.stretch_is_tabled, *rules.strip_rules(facts)),
        build=partial(built, ElastomerStripRequest, ELASTOMERS),
        strangers=NO_WIRE,
    )


_ELASTIC = (
    Choice(
        name="material",
        options=tuple(ELASTOMERS),
        absent=Absent.ALLOWED,
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
        rules=(rules.turns_clear, *rules.round_rules(facts, "outer_diameter", rules.of_key("outer_diameter"))),
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
