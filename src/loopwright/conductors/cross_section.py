"""Cross sections of conductors: what they are, their loss per metre, their radius as a thin wire."""

from dataclasses import dataclass
from math import pi
from typing import assert_never

from loopwright.conductors.elastomer import ElastomerStrip
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.refusals import refuse_unless_flat, refuse_unless_measured, refuse_unless_positive
from loopwright.conductors.skin_effect import round_wire_impedance_ohm_per_m
from loopwright.conductors.strip_loss import strip_resistance_ohm_per_m
from loopwright.conductors.thread import Thread, helix_inductance_h_per_m

__all__ = [
    "CrossSection",
    "FlatStrip",
    "PrintedStrip",
    "RoundWire",
    "computed_resistance_ohm_per_m",
    "conducting_area_m2",
    "direct_resistance_ohm_per_m",
    "equivalent_radius_m",
    "half_height_m",
    "inner_reactance_ohm_per_m",
    "outline_width_m",
    "resistance_ohm_per_m",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundWire:
    """A solid round wire of a non-magnetic metal.

    Here and in every other cross section ``measured_ohm_per_m``, the resistance of a metre of centre-line as somebody
    measured it at the frequency of use, stands in for what the formulas give.
    """

    diameter_m: float
    conductivity_s_per_m: float
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a wire that could not be drawn."""
        refuse_unless_positive(diameter_m=self.diameter_m, conductivity_s_per_m=self.conductivity_s_per_m)
        refuse_unless_measured(self.measured_ohm_per_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatStrip:
    """A strip cut from metal foil or sheet."""

    width_m: float
    thickness_m: float
    conductivity_s_per_m: float
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a strip that could not be cut."""
        refuse_unless_flat(self.width_m, self.thickness_m, self.conductivity_s_per_m)
        refuse_unless_measured(self.measured_ohm_per_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedStrip:
    """A strip printed from conductive ink; thickness and conductivity are those after curing."""

    width_m: float
    thickness_m: float
    conductivity_s_per_m: float
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a strip that could not be printed."""
        refuse_unless_flat(self.width_m, self.thickness_m, self.conductivity_s_per_m)
        refuse_unless_measured(self.measured_ohm_per_m)


Solid = RoundWire | FlatStrip | PrintedStrip
CrossSection = Solid | LiquidMetalTube | ElastomerStrip | Thread


def outline_width_m(section: CrossSection) -> float:
    """Give the width that a conductor covers as seen from above: strip width, or diameter with wall and turns.

    Parameters
    ----------
    section : CrossSection
        The conductor.

    Returns
    -------
    float
        Width. [m]
    """
    match section:
        case RoundWire(diameter_m=d):
            return d
        case FlatStrip(width_m=w) | PrintedStrip(width_m=w) | ElastomerStrip(width_m=w):
            return w
        case LiquidMetalTube(outer_diameter_m=d) | Thread(outer_diameter_m=d):
            return d
    assert_never(section)


def half_height_m(section: CrossSection) -> float:
    """From the centre-line to the conductor's own surface: half a thickness, or half a diameter. [m]"""
    match section:
        case FlatStrip() | PrintedStrip() | ElastomerStrip():
            return section.thickness_m / 2
        case _:
            return outline_width_m(section) / 2


def equivalent_radius_m(section: CrossSection) -> float:
    """Radius of the round wire that has the same inductance at radio frequency.

    Parameters
    ----------
    section : CrossSection
        The conductor.

    Returns
    -------
    float
        Half the diameter of a wire, bore, thread or helix, a quarter of the width of a strip. [m]

    Notes
    -----
    A quarter of the width is the geometric mean distance of a thin strip from itself; two-dimensional solutions give
    0.250 to 0.266 widths up to a thickness of 3.5 % of the width.  For a flat ring cut from sheet it makes the
    inductance 0.08 % (2 mm wide, 80 mm across) to 1.4 % (10 mm) too high.
    """
    match section:
        case RoundWire(diameter_m=d) | LiquidMetalTube(bore_m=d):
            return d / 2
        case FlatStrip(width_m=w) | PrintedStrip(width_m=w) | ElastomerStrip(width_m=w):
            return w / 4
        case Thread(outer_diameter_m=d, helix=helix):
            return (d if helix is None else helix.diameter_m) / 2
    assert_never(section)


def resistance_ohm_per_m(section: CrossSection, frequency_hz: float) -> float:
    """Resistance per metre at radio frequency: as measured where somebody did, else as computed.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        Frequency; a measured resistance is taken as it is. [Hz]

    Returns
    -------
    float
        Resistance per metre of the straight conductor alone. [ohm/m]
    """
    measured = section.measured_ohm_per_m
    return computed_resistance_ohm_per_m(section, frequency_hz) if measured is None else measured


def computed_resistance_ohm_per_m(section: CrossSection, frequency_hz: float) -> float:
    """Resistance per metre at radio frequency, by the formulas alone; of a thread, by its own resistance and lay.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    float
        Resistance per metre of the straight conductor alone. [ohm/m]
    """
    match section:
        case (
            RoundWire(diameter_m=d, conductivity_s_per_m=sigma) | LiquidMetalTube(bore_m=d, conductivity_s_per_m=sigma)
        ):
            impedance = round_wire_impedance_ohm_per_m(frequency_hz, diameter_m=d, conductivity_s_per_m=sigma)
            return float(impedance.real)
        case FlatStrip() | PrintedStrip() | ElastomerStrip():
            resistance = strip_resistance_ohm_per_m(
                frequency_hz,
                width_m=section.width_m,
                thickness_m=section.thickness_m,
                conductivity_s_per_m=section.conductivity_s_per_m,
            )
            return float(resistance)
        case Thread(thread_ohm_per_m=of_thread, length_ratio=ratio):
            return of_thread * ratio
    assert_never(section)


def conducting_area_m2(section: CrossSection) -> float | None:
    """Area of the metal in a cross section; None for a thread, whose strands nobody counts. [m^2]"""
    match section:
        case RoundWire(diameter_m=d) | LiquidMetalTube(bore_m=d):
            return pi * d**2 / 4
        case FlatStrip() | PrintedStrip() | ElastomerStrip():
            return section.width_m * section.thickness_m
        case Thread():
            return None
    assert_never(section)


def direct_resistance_ohm_per_m(section: CrossSection) -> float | None:
    """Resistance per metre for direct current, by the formulas; None for a thread. [ohm/m]"""
    area_m2 = conducting_area_m2(section)
    if area_m2 is None or isinstance(section, Thread):
        return None
    return 1 / (section.conductivity_s_per_m * area_m2)


def inner_reactance_ohm_per_m(section: CrossSection, frequency_hz: float) -> float:
    """Reactance per metre that a conductor has beyond a smooth thin wire of its equivalent radius.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    float
        Reactance of the turns of a sprung thread; zero for all others, whose inner reactance is about as large as
        their resistance and is left out: one part in Q. [ohm/m]
    """
    if not isinstance(section, Thread) or section.helix is None:
        return 0.0
    return 2 * pi * frequency_hz * helix_inductance_h_per_m(section.helix)
