"""From the parts of the brief to those of circuits."""

from math import inf
from typing import assert_never

from loopwright.brief.records import (
    CapacitorPart,
    CircuitRequest,
    CrossedDiodesPart,
    FusePart,
    InductorPart,
    LinePart,
    OwnWiringRequest,
    PartRequest,
    PinDiodePart,
    PreamplifierRequest,
    ResistorPart,
)
from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Inductor,
    Line,
    NoiseParameters,
    Part,
    PinDiode,
    Preamplifier,
    Resistor,
)
from loopwright.circuits.wiring import Branch, Span

__all__ = [
    "part_tolerance",
    "requested_branch",
    "requested_crossed_diodes",
    "requested_fuse",
    "requested_line",
    "requested_pin_diode",
    "requested_preamplifier",
]


def requested_branch(part: PartRequest, *, start_f: float, start_h: float) -> Branch | Span:
    """Part of a wiring of one's own; a free value begins at its own start, else at these. [F], [H]"""
    if isinstance(part.what, LinePart):
        assert part.far is not None  # noqa: S101 - the form of a line requires it
        return Span(name=part.name, line=requested_line(part.what), near=part.between, far=part.far)
    return Branch(name=part.name, part=_part(part.what, start_f, start_h), between=part.between)


def _part(
    what: CapacitorPart | InductorPart | ResistorPart | PinDiodePart | CrossedDiodesPart | FusePart,
    start_f: float,
    start_h: float,
) -> Part:
    match what:
        case CapacitorPart(value_f=value_f):
            begin_f = start_f if what.start_f is None else what.start_f
            return Capacitor(
                capacitance_f=begin_f if value_f == "free" else value_f,
                quality_factor=what.quality,
                series_resistance_ohm=what.esr_ohm,
                rated_voltage_v=what.rating_v or inf,
            )
        case InductorPart(value_h=value_h):
            begin_h = start_h if what.start_h is None else what.start_h
            return Inductor(
                inductance_h=begin_h if value_h == "free" else value_h,
                quality_factor=what.quality,
                self_resonance_hz=what.self_resonance_hz or inf,
                rated_current_a=what.rating_a or inf,
            )
        case ResistorPart():
            return Resistor(resistance_ohm=what.value_ohm)
        case PinDiodePart():
            return requested_pin_diode(what)
        case CrossedDiodesPart():
            return requested_crossed_diodes(what)
        case FusePart():
            return requested_fuse(what)
    assert_never(what)


def part_tolerance(request: CircuitRequest, branch: Branch | Span) -> float | None:
    """How far a part may be off its value, as a part of one; None where nobody said."""
    if isinstance(branch, Span):
        return None
    if not isinstance(request, OwnWiringRequest):
        return request.tolerance if isinstance(branch.part, Capacitor | Inductor) else None
    what = next((part.what for part in request.parts if part.name == branch.name), None)
    return what.tolerance if isinstance(what, CapacitorPart | InductorPart | ResistorPart) else None


def requested_preamplifier(told: PreamplifierRequest) -> Preamplifier:
    """Amplifier with its noise."""
    return Preamplifier(
        input_ohm=complex(told.input_resistance_ohm, told.input_reactance_ohm),
        noise=NoiseParameters(
            least_noise_figure_db=told.least_noise_figure_db,
            noise_resistance_ohm=told.noise_resistance_ohm,
            best_source_ohm=complex(told.best_source_resistance_ohm, told.best_source_reactance_ohm),
        ),
    )


def requested_pin_diode(told: PinDiodePart) -> PinDiode:
    """PIN diode."""
    return PinDiode(
        forward_resistance_ohm=told.forward_resistance_ohm,
        reverse_resistance_ohm=told.reverse_resistance_ohm,
        reverse_capacitance_f=told.reverse_capacitance_f,
    )


def requested_crossed_diodes(told: CrossedDiodesPart) -> CrossedDiodes:
    """Crossed diodes."""
    return CrossedDiodes(
        conducting_resistance_ohm=told.conducting_resistance_ohm,
        blocking_resistance_ohm=told.blocking_resistance_ohm,
        blocking_capacitance_f=told.blocking_capacitance_f,
    )


def requested_fuse(told: FusePart) -> Fuse:
    """Fuse."""
    return Fuse(
        resistance_ohm=told.resistance_ohm,
        open_capacitance_f=told.open_capacitance_f,
        rated_current_rms_a=told.rated_current_rms_a,
    )


def requested_line(told: LinePart) -> Line:
    """Piece of line."""
    return Line(
        length_m=told.length_m,
        characteristic_ohm=told.characteristic_ohm,
        velocity_factor=told.velocity_factor,
        loss_db_per_m=told.loss_db_per_m,
    )
