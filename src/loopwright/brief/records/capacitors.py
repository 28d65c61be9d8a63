"""What bridges the gaps: lumped parts, or plates printed on a film."""

from typing import Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["CapacitorsRequest", "LumpedCapacitorRequest", "PrintedCapacitorRequest"]

Relative = Field(ge=0, lt=0.5)


class LumpedCapacitorRequest(Record):
    """Bought parts. Either a quality factor, or a series resistance [ohm] at a frequency [Hz].

    Attributes
    ----------
    rating_v
        Rated voltage, peak. [V]
    tolerance
        Relative, to either side.
    series
        Series of preferred values that parts are chosen from.
    """

    kind: Literal["lumped"] = "lumped"
    q: Positive | None = None
    esr_ohm: float | None = Field(default=None, ge=0)
    esr_frequency_hz: Positive | None = None
    rating_v: Positive
    tolerance: float = Relative
    series: str


class PrintedCapacitorRequest(Record):
    """Plates on both faces of a film. [m]

    Attributes
    ----------
    film
        Name of the polymer.
    eps_r, loss_tangent, breakdown_v_per_m
        Measured values; None takes those of the film's name. [V/m]
    thickness_spread, permittivity_spread
        Limits, relative.
    edge_spread_m, registration_m
        Limits of every printed edge, and of the shift between the two faces. [m]
    margin_m
        How far the lower plate reaches beyond the upper one. [m]
    plate_width_least_m, plate_width_most_m, smallest_tab_m
        What can be printed, and what there is room for. [m]
    finest_step, measurement_error
        Of the ladder, relative to the wanted value.
    fine_tabs, bridges
        Equal fine tabs to cut, and tabs printed apart.
    derating
        Part of the breakdown field that is allowed.
    """

    kind: Literal["printed"] = "printed"
    film: str
    eps_r: float | None = Field(default=None, ge=1)
    loss_tangent: float | None = Field(default=None, ge=0)
    breakdown_v_per_m: Positive | None = None
    film_thickness_m: Positive
    ink_thickness_m: Positive
    ink_conductivity_s_per_m: Positive
    thickness_spread: float = Relative
    permittivity_spread: float = Relative
    edge_spread_m: float = Field(ge=0)
    registration_m: float = Field(ge=0)
    margin_m: float = Field(ge=0)
    plate_width_least_m: Positive
    plate_width_most_m: Positive
    smallest_tab_m: Positive
    finest_step: Positive
    measurement_error: float = Field(ge=0)
    fine_tabs: int
    bridges: int
    derating: Positive


CapacitorsRequest = LumpedCapacitorRequest | PrintedCapacitorRequest
