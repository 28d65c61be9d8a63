"""How heavy the conductors of an array are."""

import numpy as np

from loopwright.brief.metals import DENSITIES
from loopwright.brief.records import ConductorRequest, ThreadRequest
from loopwright.conductors import CrossSection, Thread, conducting_area_m2
from loopwright.layouts import Layout

__all__ = ["conductor_length_m", "conductor_mass_kg", "conductor_mass_kg_per_m"]


def conductor_length_m(layout: Layout) -> float:
    """Length of all centre-lines together, the gaps counted in. [m]"""
    sides = [np.roll(e.vertices_m, -1, axis=0) - e.vertices_m for e in layout.elements]
    return float(sum(np.linalg.norm(side, axis=1).sum() for side in sides))


def conductor_mass_kg_per_m(request: ConductorRequest, section: CrossSection) -> float | None:
    """Mass of a metre of centre-line: area times density; of a thread its own mass times its lay.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief, for its density: its own, else that of the material it names.
    section : CrossSection
        Its cross section.

    Returns
    -------
    float or None
        Mass per metre; None where no density is known. [kg/m]

    Notes
    -----
    What conducts only: no capacitors, solder, insulation, tube, substrate or cable.
    """
    if isinstance(request, ThreadRequest) and isinstance(section, Thread):
        of_thread = request.linear_density_kg_per_m
        return None if of_thread is None else of_thread * section.length_ratio
    density = request.density_kg_per_m3
    if density is None and request.material in DENSITIES:
        density = DENSITIES[request.material].value
    area_m2 = conducting_area_m2(section)
    return None if density is None or area_m2 is None else density * area_m2


def conductor_mass_kg(request: ConductorRequest, section: CrossSection, *, length_m: float) -> float | None:
    """Mass of the conductor: that of a metre times its length.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    section : CrossSection
        Its cross section.
    length_m : float
        Length of its centre-line. [m]

    Returns
    -------
    float or None
        Mass; None where no density is known. [kg]
    """
    per_metre = conductor_mass_kg_per_m(request, section)
    return None if per_metre is None else per_metre * length_m
