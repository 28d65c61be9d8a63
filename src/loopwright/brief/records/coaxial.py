"""Elements of coaxial line."""

from typing import Literal

from pydantic import Field

from loopwright.brief.records.films import FilmRequest
from loopwright.brief.records.record import Positive, Record

__all__ = ["CoaxialLineRequest"]


class CoaxialLineRequest(Record):
    """Coaxial line whose shield is interrupted at the gaps of its element, and whose inner conductor half-way between.

    Told by the numbers of a data sheet or by what it is made of; those of the other way are None.

    Attributes
    ----------
    cable
        Name in the table of cables, or ``given``.
    shield_diameter_m
        Over the shield, not over the jacket. [m]
    characteristic_impedance_ohm, velocity_factor
        Of the line inside, the former in ohm. [ohm]
    attenuation_db_per_m, attenuation_frequency_hz
        [dB/m], and where it holds. [Hz]
    inner_diameter_m, dielectric_diameter_m
        Of the inner conductor, and over the dielectric. [m]
    permittivity, loss_tangent
        Of the dielectric.
    conductivity_s_per_m
        Of both conductors. [S/m]
    braid_factor
        Resistance of the shield over that of a smooth tube.
    tuning_q
        Quality factor of the part across the terminal.
    body_temperature_k, coil_temperature_k
        Temperatures of the two sources of noise. [K]
    substrate, encapsulation
        What the line lies on, and what lies over it.
    """

    kind: Literal["coaxial line"] = "coaxial line"
    cable: str = "given"
    shield_diameter_m: Positive
    characteristic_impedance_ohm: Positive | None = None
    velocity_factor: Positive | None = None
    attenuation_db_per_m: float | None = Field(default=None, ge=0)
    attenuation_frequency_hz: Positive | None = None
    inner_diameter_m: Positive | None = None
    dielectric_diameter_m: Positive | None = None
    permittivity: float | None = Field(default=None, ge=1)
    loss_tangent: float | None = Field(default=None, ge=0)
    conductivity_s_per_m: Positive
    braid_factor: float = Field(ge=1)
    tuning_q: Positive
    body_temperature_k: Positive
    coil_temperature_k: Positive
    substrate: tuple[FilmRequest, ...] = ()
    encapsulation: tuple[FilmRequest, ...] = ()

    @property
    def material(self) -> str:
        """Not told: shield, dielectric and inner conductor are of several."""
        return "given"

    @property
    def density_kg_per_m3(self) -> None:
        """Not told, so neither is the mass."""
        return

    @property
    def measured_resistance_ohm_per_m(self) -> None:
        """Loss is told by attenuation and braid factor."""
        return

    @property
    def capacitor_q(self) -> float:
        """Nothing but the part across the terminal has a quality factor."""
        return self.tuning_q

    @property
    def other_series_resistance_ohm(self) -> float:
        """No joints stand in the loop. [ohm]"""
        return 0.0
