"""From what the brief says of a sequence to its exposure: the amplitude of B1+ at its peak and as rms."""

from math import sqrt
from typing import assert_never

from loopwright.brief.records.transmit import (
    LevelRequest,
    PeakLevel,
    PulseRequest,
    PulsesLevel,
    RectanglePulse,
    RmsLevel,
    SarLevel,
    SincPulse,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.pulses import RECTANGLE, PulseShape, peak_b1_plus_t, windowed_sinc

__all__ = ["exposure_of_level"]

#: A peak may fall short of the rms by what rounding makes of a duty of one.
_ROUNDING = 1e-9


def exposure_of_level(
    level: LevelRequest,
    *,
    duration_s: float,
    gyromagnetic_ratio_hz_per_t: float,
    absorbed_w_per_t2: float | None,
    patient_mass_kg: float | None,
) -> Exposure:
    """Exposure that the brief asks for.

    Parameters
    ----------
    level : LevelRequest
        B1+rms; peak and duty; whole-body SAR; or pulses.
    duration_s : float
        For which the sequence is played. [s]
    gyromagnetic_ratio_hz_per_t : float
        Over 2 pi, of the nucleus that the pulses tip; its sign does not matter. [Hz/T]
    absorbed_w_per_t2 : float or None
        What the body absorbs without the array in a steady field, over the square of its amplitude of B1+ at the middle
        of the unloaded resonator; needed for whole-body SAR. [W/T^2]
    patient_mass_kg : float or None
        Of the whole patient; needed for whole-body SAR. [kg]

    Raises
    ------
    OutsideModelError
        If whole-body SAR lacks what it needs, rms exceeds peak, or pulses do not fit into their repetition time.

    Notes
    -----
    Whole-body SAR: only the model absorbs; where it is a part of the patient, the real one reaches the SAR at a weaker
    field, and the exposure is on the strong side. Pulses: the peak is that of the strongest; each counts in the rms
    with its own peak, squared, times the mean power of its shape, its duration and how often it is played.
    """
    match level:
        case RmsLevel():
            return _exposure(level.peak_b1_t, level.b1_rms_t, duration_s)
        case PeakLevel():
            return _exposure(level.peak_b1_t, level.peak_b1_t * sqrt(level.duty), duration_s)
        case SarLevel():
            return _exposure_of_sar(
                level,
                duration_s=duration_s,
                absorbed_w_per_t2=absorbed_w_per_t2,
                patient_mass_kg=patient_mass_kg,
            )
        case PulsesLevel():
            return _exposure_of_pulses(
                level, duration_s=duration_s, gyromagnetic_ratio_hz_per_t=gyromagnetic_ratio_hz_per_t
            )
    assert_never(level)


def _exposure_of_sar(
    level: SarLevel, *, duration_s: float, absorbed_w_per_t2: float | None, patient_mass_kg: float | None
) -> Exposure:
    """Exposure at which the patient without the array has a whole-body SAR."""
    if patient_mass_kg is None or not absorbed_w_per_t2:
        raise OutsideModelError(
            "whole-body SAR scales the transmit field by what the body absorbs over the patient's mass: it needs a "
            "body and patient_mass. Add them, or tell B1+rms and peak instead."
        )
    return _exposure(level.peak_b1_t, sqrt(level.sar_w_per_kg * patient_mass_kg / absorbed_w_per_t2), duration_s)


def _exposure_of_pulses(level: PulsesLevel, *, duration_s: float, gyromagnetic_ratio_hz_per_t: float) -> Exposure:
    """Exposure of pulses that repeat."""
    played_s = sum(pulse.count * pulse.duration_s for pulse in level.pulses)
    if not level.pulses or played_s > level.repetition_time_s * (1 + _ROUNDING):
        raise OutsideModelError(
            f"the pulses last {played_s * 1e3:.4g} ms in all, the repetition time is "
            f"{level.repetition_time_s * 1e3:.4g} ms: at least one pulse has to fit into it. Lengthen the repetition "
            "time, or play fewer pulses."
        )
    shapes = [_shape_of(pulse) for pulse in level.pulses]
    peaks = [
        _peak_t(pulse, shape, gyromagnetic_ratio_hz_per_t) for pulse, shape in zip(level.pulses, shapes, strict=True)
    ]
    square_t2_s = sum(
        pulse.count * peak**2 * shape.power * pulse.duration_s
        for pulse, shape, peak in zip(level.pulses, shapes, peaks, strict=True)
    )
    return _exposure(max(peaks), sqrt(square_t2_s / level.repetition_time_s), duration_s)


def _shape_of(pulse: PulseRequest) -> PulseShape:
    match pulse:
        case RectanglePulse():
            return RECTANGLE
        case SincPulse():
            return windowed_sinc(pulse.time_bandwidth)
    assert_never(pulse)


def _peak_t(pulse: PulseRequest, shape: PulseShape, gyromagnetic_ratio_hz_per_t: float) -> float:
    """Peak that the brief tells, or the one of its flip angle; the brief has one of the two."""
    if pulse.peak_b1_t is not None:
        return pulse.peak_b1_t
    if pulse.flip_angle_rad is None:
        raise OutsideModelError(f"pulse {pulse.name!r} has neither flip angle nor peak B1+; give one of them")
    return peak_b1_plus_t(
        pulse.flip_angle_rad,
        shape=shape,
        duration_s=pulse.duration_s,
        gyromagnetic_ratio_hz_per_t=gyromagnetic_ratio_hz_per_t,
    )


def _exposure(peak_t: float, rms_t: float, duration_s: float) -> Exposure:
    if rms_t > peak_t * (1 + _ROUNDING):
        raise OutsideModelError(
            f"B1+rms = {rms_t * 1e6:.3g} uT exceeds the peak of {peak_t * 1e6:.3g} uT. Raise the peak, or lower what "
            "sets the rms."
        )
    return Exposure(peak_b1_plus_t=peak_t, rms_b1_plus_t=rms_t, duration_s=duration_s)
