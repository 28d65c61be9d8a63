"""What the elements are made of, and how warm things are."""

from typing import Literal

from pydantic import Field

from loopwright.brief.records.coaxial import CoaxialLineRequest
from loopwright.brief.records.films import FilmRequest
from loopwright.brief.records.record import Positive, Record

__all__ = [
    "ConductorRequest",
    "ElastomerStripRequest",
    "FlatStripRequest",
    "LiquidMetalTubeRequest",
    "PrintedStripRequest",
    "RoundWireRequest",
    "StretchPoint",
    "ThreadRequest",
]


class _Common(Record):
    """What any conductor needs.

    Attributes
    ----------
    material
        Name of what conducts, or ``given`` where only its conductivity is known.
    capacitor_q
        Quality factor of every tuning capacitor at the Larmor frequency.
    other_series_resistance_ohm
        Joints, fuses, chokes: in series with every element, at the temperature of the coil. [ohm]
    body_temperature_k, coil_temperature_k
        Temperatures of the two sources of noise. [K]
    density_kg_per_m3
        Density of the conductor, for its mass; None takes that of the material, where one is named. [kg/m^3]
    measured_resistance_ohm_per_m
        Resistance of a metre of centre-line as measured at the Larmor frequency; it stands in for what would be
        computed. [ohm/m]
    substrate, encapsulation
        What the conductor lies on, and what lies over it.
    """

    material: str = "given"
    capacitor_q: Positive
    other_series_resistance_ohm: float = Field(ge=0)
    body_temperature_k: Positive
    coil_temperature_k: Positive
    density_kg_per_m3: Positive | None = None
    measured_resistance_ohm_per_m: Positive | None = None
    substrate: tuple[FilmRequest, ...] = ()
    encapsulation: tuple[FilmRequest, ...] = ()


class _Solid(_Common):
    """A conductor of known conductivity at the temperature of the coil. [S/m]"""

    conductivity_s_per_m: Positive


class RoundWireRequest(_Solid):
    """Solid round wire. [m]"""

    kind: Literal["round wire"] = "round wire"
    wire_diameter_m: Positive


class FlatStripRequest(_Solid):
    """Strip of solid metal, its width in the surface of the array. [m]"""

    kind: Literal["flat strip"] = "flat strip"
    width_m: Positive
    thickness_m: Positive


class PrintedStripRequest(_Solid):
    """Printed strip, whose conductivity is that of the finished print. [m]

    ``sheet_resistance_ohm`` is that of the finished print, per square and for direct current, where the conductivity
    was told by it. [ohm]
    """

    kind: Literal["printed strip"] = "printed strip"
    width_m: Positive
    thickness_m: Positive
    sheet_resistance_ohm: Positive | None = None


class LiquidMetalTubeRequest(_Solid):
    """Bore filled with liquid metal; the wall round it has neither width nor area of its own. [m]"""

    kind: Literal["liquid metal tube"] = "liquid metal tube"
    bore_m: Positive
    wall: FilmRequest


class StretchPoint(Record):
    """Resistance of a piece at one stretch, over its resistance at rest."""

    stretch: float = Field(ge=0)
    ratio: Positive


class ElastomerStripRequest(_Solid):
    """Strip of conductive elastomer: width, thickness [m] and conductivity at rest, and the stretch as worn."""

    kind: Literal["elastomer strip"] = "elastomer strip"
    width_m: Positive
    thickness_m: Positive
    stretch: float = Field(ge=0)
    resistance_against_stretch: tuple[StretchPoint, ...] = ()


class ThreadRequest(_Common):
    """Conductive thread, straight or sprung into a helix.

    ``thread_resistance_ohm_per_m`` [ohm/m] is of a metre of thread at the Larmor frequency, ``outer_diameter_m`` over
    all, turns included. [m] ``linear_density_kg_per_m`` is the mass of a metre of thread. [kg/m]
    """

    kind: Literal["thread"] = "thread"
    outer_diameter_m: Positive
    thread_resistance_ohm_per_m: Positive
    coil_pitch_m: Positive | None = None
    thread_diameter_m: Positive | None = None
    length_ratio: float = Field(default=1.0, ge=1)
    linear_density_kg_per_m: Positive | None = None


ConductorRequest = (
    RoundWireRequest
    | FlatStripRequest
    | PrintedStripRequest
    | LiquidMetalTubeRequest
    | ElastomerStripRequest
    | ThreadRequest
    | CoaxialLineRequest
)
