"""From the conductor that is asked for to the dressed layout."""

from typing import assert_never

from loopwright.brief.records import ConductorRequest, FlatStripRequest, PrintedStripRequest, RoundWireRequest
from loopwright.conductors.cross_section import CrossSection, FlatStrip, PrintedStrip, RoundWire
from loopwright.conductors.dressed_layout import DressedLayout
from loopwright.layouts.layout import Layout


def dress(request: ConductorRequest, layout: Layout) -> DressedLayout:
    """Make every element of the layout of the conductor that is asked for.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    layout : Layout
        Centre-lines of the elements.
    """
    return DressedLayout(
        layout=layout,
        cross_section=cross_section_of(request),
        capacitor_q=request.capacitor_q,
        other_series_resistance_ohm=request.other_series_resistance_ohm,
    )


def cross_section_of(request: ConductorRequest) -> CrossSection:
    """Cross section of the conductor that is asked for."""
    match request:
        case RoundWireRequest(wire_diameter_m=diameter, conductivity_s_per_m=sigma):
            return RoundWire(diameter_m=diameter, conductivity_s_per_m=sigma)
        case FlatStripRequest(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma):
            return FlatStrip(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma)
        case PrintedStripRequest(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma):
            return PrintedStrip(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma)
    assert_never(request)
