"""How strong the transmit field is and why, which way it turns, and which electric field goes with it, in words."""

from typing import assert_never

from loopwright.brief.records.transmit import (
    BirdcageRequest,
    IdealisedResonatorRequest,
    LevelRequest,
    PeakLevel,
    PulsesLevel,
    RmsLevel,
    SarLevel,
)
from loopwright.fields.rotating import Precession

__all__ = ["gauge_words", "level_words", "sense_words"]


def level_words(level: LevelRequest) -> str:
    """By what the brief sets the strength of the field."""
    match level:
        case RmsLevel():
            return "B1+rms and peak B1+ as the brief tells them"
        case PeakLevel():
            return f"peak B1+ as the brief tells it, at a duty of {level.duty:.3g}, which sets B1+rms"
        case SarLevel():
            return (
                f"B1+rms that gives the patient without the array a whole-body SAR of {level.sar_w_per_kg:.3g} W/kg; "
                "peak B1+ as the brief tells it"
            )
        case PulsesLevel():
            played = sum(pulse.count for pulse in level.pulses)
            return (
                f"{played} pulses in every {1e3 * level.repetition_time_s:.4g} ms, the strongest of which sets the peak"
            )
    assert_never(level)


def sense_words(sense: Precession) -> str:
    """Which way the field turns."""
    return f"with the spins, {'clockwise' if sense is Precession.CLOCKWISE else 'counterclockwise'} about +z"


def gauge_words(resonator: IdealisedResonatorRequest | BirdcageRequest) -> str:
    """Which electric field goes with the magnetic one: currents of loops do not ask, those of cables do."""
    match resonator:
        case IdealisedResonatorRequest():
            return "in the E_z form: along z alone, of the size ω B1+ r at a distance r from the axis of the resonator"
        case BirdcageRequest():
            return "that of the charges and currents of the birdcage, as computed, with no gauge left to choose"
    assert_never(resonator)
