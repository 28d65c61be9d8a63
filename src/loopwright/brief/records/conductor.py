"""What the elements are made of, and how warm things are."""

from typing import Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["ConductorRequest", "FlatStripRequest", "PrintedStripRequest", "RoundWireRequest"]


class _Common(Record):
    """What any conductor needs.

    Attributes
    ----------
    material
        Name of the metal, or ``given`` where only its conductivity is known.
    conductivity_s_per_m
        Conductivity at the temperature of the coil. [S/m]
    capacitor_q
        Quality factor of every tuning capacitor at the Larmor frequency.
    other_series_resistance_ohm
        Joints, fuses, chokes: in series with every element, at the temperature of the coil. [ohm]
    body_temperature_k, coil_temperature_k
        Temperatures of the two sources of noise. [K]
    density_kg_per_m3
        Density of the conductor, for its mass; None takes that of the metal, where one is named. [kg/m^3]
    """

    material: str = "given"
    conductivity_s_per_m: Positive
    capacitor_q: Positive
    other_series_resistance_ohm: float = Field(ge=0)
    body_temperature_k: Positive
    coil_temperature_k: Positive
    density_kg_per_m3: Positive | None = None


class RoundWireRequest(_Common):
    """Solid round wire. [m]"""

    kind: Literal["round wire"] = "round wire"
    wire_diameter_m: Positive


class FlatStripRequest(_Common):
    """Strip of solid metal, its width in the surface of the array. [m]"""

    kind: Literal["flat strip"] = "flat strip"
    width_m: Positive
    thickness_m: Positive


class PrintedStripRequest(_Common):
    """Printed strip, whose conductivity is that of the finished print and has to be given. [m]"""

    kind: Literal["printed strip"] = "printed strip"
    width_m: Positive
    thickness_m: Positive


ConductorRequest = RoundWireRequest | FlatStripRequest | PrintedStripRequest
