"""The circuit of every element: a ready wiring by name of what it does, or one of one's own."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = [
    "FREE",
    "CapacitorPart",
    "CircuitRequest",
    "CrossedDiodesPart",
    "FusePart",
    "HighInputRequest",
    "InductorPart",
    "LineEndRequest",
    "LinePart",
    "LowInputRequest",
    "MatchRequest",
    "MatchWithTrapsRequest",
    "OwnWiringRequest",
    "PartRequest",
    "PinDiodePart",
    "PreamplifierRequest",
    "Protection",
    "ReadyWiringRequest",
    "ResistorPart",
    "TrapAcrossMatchRequest",
    "ValueSeries",
]

#: What stands in place of a value that is to be found.
FREE: Literal["free"] = "free"

Protection = Literal["PIN trap", "crossed-diode trap", "fuse"]
ValueSeries = Literal["E12", "E24", "E48", "E96"]
Pair = tuple[str, str]
NotNegative = Annotated[float, Field(ge=0)]
Value = Positive | Literal["free"]


class PreamplifierRequest(Record):
    """The amplifier behind every element: what it puts across it, and its noise. [ohm], [dB]"""

    input_resistance_ohm: Positive
    input_reactance_ohm: float
    least_noise_figure_db: NotNegative
    noise_resistance_ohm: NotNegative
    best_source_resistance_ohm: Positive
    best_source_reactance_ohm: float


class PinDiodePart(Record):
    """PIN diode with and without its bias. [ohm], [F], [A]"""

    forward_resistance_ohm: Positive
    reverse_resistance_ohm: Positive
    reverse_capacitance_f: Positive
    bias_current_a: Positive
    rated_current_a: Positive


class CrossedDiodesPart(Record):
    """Two diodes back to back, conducting and not. [ohm], [F]"""

    conducting_resistance_ohm: Positive
    blocking_resistance_ohm: Positive
    blocking_capacitance_f: Positive


class FusePart(Record):
    """Fuse, whole and open. [ohm], [F], [A] rms."""

    resistance_ohm: Positive
    open_capacitance_f: Positive
    rated_current_rms_a: Positive


class CapacitorPart(Record):
    """Capacitor of a wiring of one's own; ``start_f`` is where the search for a free value begins. [F], [ohm], [V]"""

    value_f: Value
    start_f: Positive | None = None
    quality: Positive
    esr_ohm: NotNegative
    rating_v: Positive | None = None
    tolerance: Positive


class InductorPart(Record):
    """Inductor or choke of a wiring of one's own. [H], [Hz], [A]"""

    value_h: Value
    start_h: Positive | None = None
    quality: Positive
    self_resonance_hz: Positive | None = None
    rating_a: Positive | None = None
    tolerance: Positive


class ResistorPart(Record):
    """Resistor of a wiring of one's own. [ohm]"""

    value_ohm: Positive
    tolerance: Positive


class LinePart(Record):
    """Piece of line. [m], [ohm], [dB/m] at 100 MHz."""

    length_m: Positive
    characteristic_ohm: Positive
    velocity_factor: Positive
    loss_db_per_m: NotNegative


class PartRequest(Record):
    """A part of a wiring of one's own, by name; ``far`` is the other end of a line."""

    name: str
    part: str
    between: Pair
    far: Pair | None = None
    what: CapacitorPart | InductorPart | ResistorPart | PinDiodePart | CrossedDiodesPart | FusePart | LinePart

    @property
    def is_free(self) -> bool:
        """Whether its value is to be found."""
        match self.what:
            case CapacitorPart(value_f=value) | InductorPart(value_h=value):
                return value == FREE
            case _:
                return False


class _Common(Record):
    """What every wiring needs.

    Attributes
    ----------
    preamplifier
        What stands behind the element.
    seen_resistance_ohm, seen_reactance_ohm
        What the receiver shall see; None takes the best source of the preamplifier. [ohm]
    transmit_field_t
        Peak B1+ in which states and faults are told. [T]
    values
        Series that fixed capacitors are taken from.
    trimmed
        Names of the capacitors that stay adjustable; None leaves it to the wiring.
    """

    preamplifier: PreamplifierRequest
    seen_resistance_ohm: Positive | None = None
    seen_reactance_ohm: float = 0.0
    transmit_field_t: Positive
    values: ValueSeries
    trimmed: tuple[str, ...] | None = None


class ReadyWiringRequest(_Common):
    """What every ready wiring is built of."""

    capacitor_quality: Positive
    inductor_quality: Positive
    tolerance: Positive
    capacitor_rating_v: Positive | None = None


class MatchRequest(ReadyWiringRequest):
    """Capacitor across gap 1 and an inductor from there to the receiver."""

    wiring: Literal["capacitive match"] = "capacitive match"


class MatchWithTrapsRequest(ReadyWiringRequest):
    """The same with traps, and a fuse, in the gaps 2, 3, ... in the order of ``protection``."""

    wiring: Literal["capacitive match with traps"] = "capacitive match with traps"
    protection: tuple[Protection, ...]
    pin_diode: PinDiodePart
    crossed_diodes: CrossedDiodesPart
    fuse: FusePart


class TrapAcrossMatchRequest(ReadyWiringRequest):
    """Capacitive match whose inductor, closed by a PIN diode, is the trap with the match capacitor."""

    wiring: Literal["match with PIN trap across it"] = "match with PIN trap across it"
    pin_diode: PinDiodePart


class LowInputRequest(ReadyWiringRequest):
    """Amplifier of low input impedance on the loop, behind its inductor."""

    wiring: Literal["amplifier on the loop with low input impedance"] = "amplifier on the loop with low input impedance"


class HighInputRequest(ReadyWiringRequest):
    """Amplifier of high input impedance straight across the capacitor of gap 1."""

    wiring: Literal["amplifier on the loop with high input impedance"] = (
        "amplifier on the loop with high input impedance"
    )


class LineEndRequest(ReadyWiringRequest):
    """Match at the end of a line that is part of the coil."""

    wiring: Literal["match at the end of a line"] = "match at the end of a line"
    line: LinePart


class OwnWiringRequest(_Common):
    """Parts between named nodes; ``returns`` are nodes against which groups without a gap are counted."""

    wiring: Literal["own"] = "own"
    parts: tuple[PartRequest, ...]
    receiver: Pair
    returns: tuple[str, ...] = ()


CircuitRequest = (
    MatchRequest
    | MatchWithTrapsRequest
    | TrapAcrossMatchRequest
    | LowInputRequest
    | HighInputRequest
    | LineEndRequest
    | OwnWiringRequest
)
