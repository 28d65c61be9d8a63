"""Circuit: a ready wiring by name of what it does, or a wiring of one's own."""

from typing import Any, get_args

from loopwright.brief import defaults
from loopwright.brief.circuit_keys import NodePair
from loopwright.brief.forms import Form, Piece, Variants
from loopwright.brief.keys import Absent, Choice, Key, Number
from loopwright.brief.lists import WordOrWords, WordsList
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity, Tolerance
from loopwright.brief.records.circuit import (
    HighInputRequest,
    LineEndRequest,
    LowInputRequest,
    MatchRequest,
    MatchWithTrapsRequest,
    OwnWiringRequest,
    Protection,
    TrapAcrossMatchRequest,
    ValueSeries,
)
from loopwright.brief.topics.circuit_parts import CROSSED_DIODES, FUSE, LINE, PART, PIN_DIODE, preamplifier_form
from loopwright.brief.topics.circuit_rules import (
    enough_gaps,
    gaps_agree,
    net_is_whole,
    own_is_trimmed,
    something_is_free,
    trimmed_is_ready,
)
from loopwright.brief.topics.facts import Facts

__all__ = ["circuit_form"]

_MOST_PARTS = 60

_QUALITIES: tuple[Key, ...] = (
    Number(name="capacitor_quality", low=1, high=1e5, sample="1500", default=defaults.CAPACITOR_Q,
           meaning="Quality factor of its capacitors, in place of `conductor.capacitor_q`; where `capacitors` is "
           "written, of those only that do not bridge a gap."),
    Number(name="inductor_quality", low=1, high=1e4, sample="150", default=defaults.INDUCTOR_Q,
           meaning="Quality factor of its inductors."),
    Tolerance(name="tolerance", default=defaults.PART_TOLERANCE,
              meaning="How far capacitors and inductors may be off."),
    Quantity(name="capacitor_rating", field="capacitor_rating_v", unit="V", low="1 V", high="100 kV", sample="500 V",
             absent=Absent.ALLOWED, meaning="Peak voltage that its capacitors may see, for the parts list."),
)  # fmt: skip


#: One form each, so that the reference page tells it once.
_LOW_INPUT = preamplifier_form(defaults.INPUT_RESISTANCE)
_HIGH_INPUT = preamplifier_form(defaults.HIGH_INPUT_RESISTANCE)


def _common(preamplifier: Form = _LOW_INPUT) -> tuple[Key | Piece, ...]:
    return (
        Part(name="preamplifier", of=preamplifier, default=defaults.PREAMPLIFIER,
             meaning="What stands behind every element."),
        Quantity(name="seen_resistance", field="seen_resistance_ohm", unit="ohm", low="0.1 ohm", high="100 kohm",
                 sample="50 ohm", absent=Absent.ALLOWED,
                 meaning="Resistance that the receiver shall see. Left out: the preamplifier's best source."),
        Quantity(name="seen_reactance", field="seen_reactance_ohm", unit="ohm", low="-10 kohm", high="10 kohm",
                 default=defaults.SEEN_REACTANCE,
                 meaning="Reactance with it; counts where `seen_resistance` is written."),
        Quantity(name="transmit_field", field="transmit_field_t", unit="T", low="0.01 uT", high="1 mT",
                 default=defaults.TRANSMIT_FIELD,
                 meaning="Peak B1+ of the rotating transmit field in which the circuits' own states and faults are "
                 "told. `transmit.level` tells that of the sequence."),
        Choice(name="values", options=get_args(ValueSeries), default=defaults.VALUE_SERIES,
               meaning="Series of IEC 60063 from which fixed capacitors are taken in place of the values found."),
        WordOrWords(name="trimmed", most=8, sample="C tune 4", absent=Absent.ALLOWED,
                    meaning="Capacitors that stay adjustable, by name. Left out: the tuning capacitor that is "
                    "found, or the last free one of a wiring of one's own; none where `capacitors` are printed, for "
                    "their tabs trim."),
    )  # fmt: skip


def _ready(
    title: str,
    build: Any,
    facts: Facts,
    *further: Key | Piece,
    notes: str,
    preamplifier: Form = _LOW_INPUT,
    gaps: str = "one for the match, one that tunes",
) -> Form:
    return Form(
        title=title,
        keys=(*further, *_QUALITIES, *_common(preamplifier)),
        rules=(enough_gaps(facts, 2, gaps), trimmed_is_ready(facts)),
        build=build,
        notes=notes,
        strangers={
            "parts": "with `wiring: own` only",
            "receiver": "with `wiring: own` only",
            "protection": "with `wiring: capacitive match with traps` only",
            "line": "with `wiring: match at the end of a line` only",
        },
    )


_PIN = Part(name="pin_diode", of=PIN_DIODE, default=defaults.PIN_DIODE, meaning="The PIN diode of the active trap.")
_CROSSED = Part(name="crossed_diodes", of=CROSSED_DIODES, default=defaults.CROSSED_DIODES,
                meaning="The diodes of the passive trap.")  # fmt: skip
_FUSE = Part(name="fuse", of=FUSE, default=defaults.FUSE, meaning="The fuse.")
_PROTECTION = WordsList(
    name="protection",
    lengths=(1, 2, 3),
    options=get_args(Protection),
    sample="[PIN trap, crossed-diode trap, fuse]",
    default=defaults.PROTECTION,
    meaning="What takes the gaps 2, 3, ... in turn: a trap across its capacitor, a fuse in series with its.",
)


def _own(facts: Facts) -> Form:
    return Form(
        title="own",
        notes="Parts between nodes. The two sides of gap k of the conductor are `gap k` and `return k`; every other "
        "name is a node of your own. All elements get the same wiring.",
        keys=(
            Parts(name="parts", of=PART, most=_MOST_PARTS, unique="name", meaning="The parts, each with its name."),
            NodePair(name="receiver", sample="[feed, return 1]",
                     meaning="Node and return between which the preamplifier stands."),
            WordOrWords(name="returns", most=8, sample="sheath", absent=Absent.ALLOWED,
                        meaning="Returns of groups of nodes that hold no gap, such as the far end of a line."),
            *_common(),
        ),
        rules=(gaps_agree(facts), net_is_whole, something_is_free, own_is_trimmed),
        build=OwnWiringRequest,
        strangers={"channel": "write `receiver`", "netlist": "write `parts`, a list", "free": "write `value: free`"},
    )  # fmt: skip


def circuit_form(facts: Facts) -> Variants:
    """Form of the circuit for this array.

    Parameters
    ----------
    facts
        What is known of the array.

    Returns
    -------
    Variants
        Keys and rules of ``circuit``, by its wiring.
    """
    return Variants(
        title="circuit",
        by="wiring",
        meaning="A ready wiring by name of what it does, or `own`. Parts that match and tune are found for every "
        "element in the array.",
        forms={
            "capacitive match": _ready("capacitive match", MatchRequest, facts, notes=_MATCH),
            "capacitive match with traps": _ready(
                "capacitive match with traps", MatchWithTrapsRequest, facts, _PROTECTION, _PIN, _CROSSED, _FUSE,
                notes=_TRAPS, gaps="one for the match, one for each protection, one that tunes",
            ),
            "match with PIN trap across it": _ready(
                "match with PIN trap across it", TrapAcrossMatchRequest, facts, _PIN, notes=_ACROSS
            ),
            "amplifier on the loop with low input impedance": _ready(
                "amplifier on the loop with low input impedance", LowInputRequest, facts, notes=_LOW
            ),
            "amplifier on the loop with high input impedance": _ready(
                "amplifier on the loop with high input impedance", HighInputRequest, facts, notes=_HIGH,
                preamplifier=_HIGH_INPUT,
            ),
            "match at the end of a line": _ready(
                "match at the end of a line", LineEndRequest, facts, _LINE, notes=_END
            ),
            "own": _own(facts),
        },
    )  # fmt: skip


_LINE = Part(name="line", of=LINE, meaning="The line from gap 1 to the match.")
_MATCH = (
    "`C match` across gap 1, `L series` from there to the receiver, `C tune k` in the other gaps. Found for every "
    "element: these two and the first `C tune`; the other capacitors are values of the series. The inductor is "
    "resonant with the match capacitor, so a low input impedance blocks the current of the loop."
)
_TRAPS = (
    "The same, and in the gaps 2, 3, ... what `protection` names: `C trap k` with `L trap k` and the diode `D trap k` "
    "across it, or `Fuse k` in series with `C fuse k`. One gap or more is left for `C tune k`."
)
_ACROSS = (
    "As `capacitive match`, and the PIN diode `D match` from the receiver's node to the return: conducting, it closes "
    "`L series` over `C match`, with which it is resonant."
)
_LOW = (
    "As `capacitive match`, the amplifier on the loop with no cable between: what it sees is its own best source, and "
    "the inductor may be part of its input."
)
_HIGH = (
    "The amplifier straight across `C match` in gap 1, no inductor; `C tune k` in the other gaps. Found for every "
    "element: `C match` and the first `C tune`."
)
_END = (
    "The line `line` from gap 1 to the nodes `line end` and `line end return`; there `C match` across it and `L "
    "series` to the receiver. `C tune k` in the other gaps. Currents on the outside of the line are not part of the "
    "model."
)
