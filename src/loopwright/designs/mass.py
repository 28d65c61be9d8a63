"""How heavy the conductors of an array are."""

from math import pi
from typing import assert_never

import numpy as np

from loopwright.brief.metals import DENSITIES
from loopwright.brief.records import ConductorRequest
from loopwright.conductors import CrossSection, FlatStrip, PrintedStrip, RoundWire
from loopwright.layouts import Layout

__all__ = ["conductor_length_m", "conductor_mass_kg", "cross_section_area_m2"]


def cross_section_area_m2(section: CrossSection) -> float:
    """Area of a conductor's cross section. [m^2]"""
    match section:
        case RoundWire(diameter_m=diameter_m):
            return pi * diameter_m**2 / 4
        case (
            FlatStrip(width_m=width_m, thickness_m=thickness_m) | PrintedStrip(width_m=width_m, thickness_m=thickness_m)
        ):
            return width_m * thickness_m
    assert_never(section)


def conductor_length_m(layout: Layout) -> float:
    """Length of all centre-lines together, the gaps counted in. [m]"""
    sides = [np.roll(e.vertices_m, -1, axis=0) - e.vertices_m for e in layout.elements]
    return float(sum(np.linalg.norm(side, axis=1).sum() for side in sides))


def conductor_mass_kg(request: ConductorRequest, section: CrossSection, *, length_m: float) -> float | None:
    """Mass of the conductor: area times length times density.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief, for its density: its own, else that of the metal it names.
    section : CrossSection
        Its cross section.
    length_m : float
        Its length. [m]

    Returns
    -------
    float or None
        Mass; None where no density is known. [kg]

    Notes
    -----
    Bare conductor only: no capacitors, solder, insulation, substrate or cable.
    """
    density = request.density_kg_per_m3
    if density is None and request.material in DENSITIES:
        density = DENSITIES[request.material].value
    return None if density is None else density * cross_section_area_m2(section) * length_m
