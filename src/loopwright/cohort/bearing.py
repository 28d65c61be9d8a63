"""What a patient bears: mass, mass over area, pressure of weight and of a strap; and what the array bears, bends."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan

from scipy import constants

from loopwright.bodies import Solid
from loopwright.brief.records import CohortArray, CohortLimits, ConductorRequest
from loopwright.cohort.covering import covered_area_m2
from loopwright.cohort.girths import half_axes_m
from loopwright.cohort.wearing import Fit
from loopwright.conductors import cross_section_of, film_mass_kg, stack_of
from loopwright.designs import conductor_length_m, conductor_mass_kg
from loopwright.layouts import Layout

__all__ = ["NOT_ASSESSED", "Bearing", "bearing_of", "held_against", "strap_pressure_pa", "waist_radius_m"]

NOT_ASSESSED = "not assessed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """What an array weighs and presses; NaN where it is not known or not borne.

    Attributes
    ----------
    mass_kg : float
        As weighed, else conductor and films, which is the least that it weighs. [kg]
    covered_area_m2 : float
        Area within its elements, overlaps once. [m^2]
    mass_per_area_kg_per_m2 : float
        [kg/m^2]
    weight_pressure_pa : float
        All of its weight on the part of that area that touches; NaN for a stiff array, which stands by itself. [Pa]
    strap_pressure_pa : float
        Largest pressure of a strap, T/R where the section bends most. [Pa]
    """

    mass_kg: float
    covered_area_m2: float
    mass_per_area_kg_per_m2: float
    weight_pressure_pa: float
    strap_pressure_pa: float


def bearing_of(layout: Layout, fit: Fit, *, array: CohortArray, conductor: ConductorRequest, patient: Solid) -> Bearing:
    """Tell what a patient bears of an array.

    Parameters
    ----------
    layout : Layout
        The array as worn.
    fit : Fit
        How it fits.
    array : CohortArray
        The array of the study: its mass, strap and former.
    conductor : ConductorRequest
        What it is made of.
    patient : Solid
        The patient.
    """
    mass_kg = nan_if_none(array.mass_kg) if array.mass_kg is not None else least_mass_kg(layout, conductor)
    area_m2 = covered_area_m2(layout)
    stiff = array.former is not None
    touching_m2 = area_m2 * fit.touching_share
    tension = array.strap_tension_n_per_m
    return Bearing(
        mass_kg=mass_kg,
        covered_area_m2=area_m2,
        mass_per_area_kg_per_m2=mass_kg / area_m2,
        weight_pressure_pa=nan if stiff or not touching_m2 else mass_kg * constants.g / touching_m2,
        strap_pressure_pa=nan if tension is None else strap_pressure_pa(tension, waist_radius_m(patient)),
    )


def least_mass_kg(layout: Layout, conductor: ConductorRequest) -> float:
    """Mass of conductor and films; NaN where a density is not known. [kg]"""
    length_m = conductor_length_m(layout)
    parts = [
        conductor_mass_kg(conductor, cross_section_of(conductor), length_m=length_m),
        *(film_mass_kg(film, conductor_length_m=length_m) for film in stack_of(conductor)),
    ]
    return sum(nan_if_none(part) for part in parts)


def nan_if_none(value: float | None) -> float:
    """The value; NaN where nothing is known."""
    return nan if value is None else value


def strap_pressure_pa(tension_n_per_m: float, radius_m: float) -> float:
    """Pressure of a strap on a round body: its pull over its width [N/m] over the radius [m]. [Pa]

    The law of the drum's skin (Laplace), without friction: common practice.
    """
    return tension_n_per_m / radius_m


def waist_radius_m(patient: Solid) -> float:
    """Least radius of curvature of the ellipse as wide and deep as the skin at z = 0: that at its sharper ends. [m]"""
    short, long = sorted(half_axes_m(patient))
    return short**2 / long


def held_against(bearings: Sequence[Bearing], limits: CohortLimits) -> tuple[str, ...]:
    """Sentences that hold the most that any patient bears of an array against the limits; what was not assessed."""
    mass_kg = max(one.mass_kg for one in bearings)
    mass_per_area = max(one.mass_per_area_kg_per_m2 for one in bearings)
    told = [
        _against("mass", mass_kg, limits.mass_kg, 1e3, "g"),
        _against("mass over area", mass_per_area, limits.mass_per_area_kg_per_m2, 0.1, "g/cm²"),
    ]
    if limits.flex_cycles is not None:
        told.append(
            f"flex life over {limits.flex_cycles} bends: {NOT_ASSESSED}, the tables of materials hold no figure of it "
            "for any conductor; bend a coupon and measure Q, resonance and resistance"
        )
    return tuple(told)


def _against(what: str, value: float, limit: float, per_si: float, symbol: str) -> str:
    if value != value:  # noqa: PLR0124 - not a number
        return f"{what}: {NOT_ASSESSED}, a density is not known; write `mass`, as weighed"
    word = "within" if value <= limit else "over"
    most, allowed = (f"{float(f'{number * per_si:.3g}'):g}" for number in (value, limit))
    return f"{what}: {most} {symbol}, {word} {allowed} {symbol}"
