"""How the scanner transmits: its resonator, how strongly and how long, and how the carrier may be worn meanwhile."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.imaging import RegionRequest
from loopwright.brief.records.record import Positive, Record, Vector

__all__ = [
    "BirdcageRequest",
    "IdealisedResonatorRequest",
    "LevelRequest",
    "OperatingMode",
    "PeakLevel",
    "PulseRequest",
    "PulsesLevel",
    "RectanglePulse",
    "ResonatorRequest",
    "RmsLevel",
    "SarLevel",
    "ScannerLimitsRequest",
    "SincPulse",
    "TransmitRequest",
    "WornAs",
]

OperatingMode = Literal["normal", "first level"]
WornAs = Literal["folded", "stretched", "wet", "inside out"]

Count = Annotated[int, Field(ge=1)]
#: Mean power over that at the peak.
Duty = Annotated[float, Field(gt=0, le=1)]


class IdealisedResonatorRequest(Record):
    """A rotating field that falls off towards the ends of the resonator, without conductors.

    Attributes
    ----------
    radius_m, length_m
        Of the resonator that it stands for. [m]
    """

    kind: Literal["idealised resonator"] = "idealised resonator"
    radius_m: Positive
    length_m: Positive


class BirdcageRequest(Record):
    """A birdcage resonator in the bore's shield, by its conductors.

    Attributes
    ----------
    radius_m, length_m
        Of the cylinder on which the rungs lie; the length from end ring to end ring. [m]
    rungs
    conductor_width_m
        Width of the strips of rungs and end rings. [m]
    shield_radius_m, shield_length_m
        Of the shield round it, about the same middle. [m]
    capacitors_in
        In which conductors the capacitors sit.
    """

    kind: Literal["birdcage"] = "birdcage"
    radius_m: Positive
    length_m: Positive
    rungs: Count
    conductor_width_m: Positive
    shield_radius_m: Positive
    shield_length_m: Positive
    capacitors_in: Literal["end rings", "rungs"]


ResonatorRequest = Annotated[IdealisedResonatorRequest | BirdcageRequest, Field(discriminator="kind")]


class RmsLevel(Record):
    """B1+ rms over a period of the sequence, as scanners print it, and the largest amplitude in a pulse. [T]"""

    kind: Literal["b1 rms"] = "b1 rms"
    b1_rms_t: Positive
    peak_b1_t: Positive


class PeakLevel(Record):
    """The largest amplitude of B1+ [T], and mean power over that at the peak."""

    kind: Literal["peak and duty"] = "peak and duty"
    peak_b1_t: Positive
    duty: Duty


class SarLevel(Record):
    """The rms field is that at which the body takes up so much without the array.

    Attributes
    ----------
    sar_w_per_kg
        Mean over the whole body. [W/kg]
    peak_b1_t
        Largest amplitude of B1+ in a pulse. [T]
    """

    kind: Literal["whole-body SAR"] = "whole-body SAR"
    sar_w_per_kg: Positive
    peak_b1_t: Positive


class RectanglePulse(Record):
    """Pulses of constant amplitude.

    Attributes
    ----------
    flip_angle_rad, peak_b1_t
        One of them; the other is None. [rad], [T]
    duration_s
        Of one pulse. [s]
    count
        Pulses in one repetition time.
    """

    shape: Literal["rectangle"] = "rectangle"
    name: str
    flip_angle_rad: Positive | None = None
    peak_b1_t: Positive | None = None
    duration_s: Positive
    count: Count


class SincPulse(Record):
    """Pulses of a sinc under a Hann window; attributes as for :class:`RectanglePulse`.

    Attributes
    ----------
    time_bandwidth
        Duration times bandwidth, the number of zero crossings from end to end.
    """

    shape: Literal["windowed sinc"] = "windowed sinc"
    name: str
    flip_angle_rad: Positive | None = None
    peak_b1_t: Positive | None = None
    duration_s: Positive
    count: Count
    time_bandwidth: Positive


PulseRequest = Annotated[RectanglePulse | SincPulse, Field(discriminator="shape")]


class PulsesLevel(Record):
    """The pulses of one repetition time [s], which is played over and over."""

    kind: Literal["pulses"] = "pulses"
    pulses: tuple[PulseRequest, ...]
    repetition_time_s: Positive


LevelRequest = Annotated[RmsLevel | PeakLevel | SarLevel | PulsesLevel, Field(discriminator="kind")]


class ScannerLimitsRequest(Record):
    """What the scanner keeps.

    Attributes
    ----------
    largest_b1_rms_t
        Largest B1+ rms over a sequence; None where nobody told it. [T]
    operating_mode
        Whose limits of SAR count.
    """

    largest_b1_rms_t: Positive | None = None
    operating_mode: OperatingMode


class TransmitRequest(Record):
    """The array in the transmit field, in every state and with every single fault.

    Attributes
    ----------
    resonator
    middle_m
        Middle of the resonator in the body frame, through which its axis runs along z. None: the middle of the body's
        box in x and y, that of the array in z. [m]
    level
    duration_s
        For which the sequence is played. [s]
    scanner_limits
    region
        Where B1+ is judged; None: the region of the imaging.
    worst_states
        How many of the worst states get 10 g averages and local heat.
    patient_mass_kg
        Mass over which whole-body SAR is meant; None: that of the patient in the body, where there is one. [kg]
    wearing
        How the carrier may be worn wrongly; empty for a stiff array.
    stretch
        Strain of the carrier where it is worn stretched.
    """

    resonator: ResonatorRequest
    middle_m: Vector | None = None
    level: LevelRequest
    duration_s: Positive
    scanner_limits: ScannerLimitsRequest
    region: RegionRequest | None = None
    worst_states: Count
    patient_mass_kg: Positive | None = None
    wearing: tuple[WornAs, ...] = ()
    stretch: Positive
