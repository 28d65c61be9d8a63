"""What warmth does to the resistance of a conductor: thin ones follow its resistivity, thick ones the root of it."""

from dataclasses import replace
from typing import assert_never

from loopwright.conductors.cross_section import (
    CrossSection,
    FlatStrip,
    PrintedStrip,
    RoundWire,
    computed_resistance_ohm_per_m,
)
from loopwright.conductors.elastomer import ElastomerStrip
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.thread import Thread

__all__ = ["resistance_ratio"]


def resistance_ratio(section: CrossSection, frequency_hz: float, *, resistivity_ratio: float) -> float:
    """Resistance at radio frequency with another resistivity, over that as it is.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        [Hz]
    resistivity_ratio : float
        Resistivity over that of the section.

    Returns
    -------
    float
        As computed, also where the resistance itself was measured; a thread follows its resistivity.
    """
    other = _of_resistivity(section, resistivity_ratio)
    before, after = (computed_resistance_ohm_per_m(one, frequency_hz) for one in (section, other))
    return after / before


def _of_resistivity(section: CrossSection, ratio: float) -> CrossSection:
    match section:
        case RoundWire() | FlatStrip() | PrintedStrip() | LiquidMetalTube():
            return replace(section, conductivity_s_per_m=section.conductivity_s_per_m / ratio)
        case ElastomerStrip():
            return replace(section, rest_conductivity_s_per_m=section.rest_conductivity_s_per_m / ratio)
        case Thread():
            return replace(section, thread_ohm_per_m=section.thread_ohm_per_m * ratio)
    assert_never(section)
