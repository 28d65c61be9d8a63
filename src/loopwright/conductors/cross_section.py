"""Cross sections of conductors: what they are, their loss per metre, their radius as a thin wire, where models end."""

from dataclasses import dataclass
from typing import assert_never

from loopwright.conductors.skin_effect import round_wire_impedance_ohm_per_m, skin_depth_m
from loopwright.conductors.strip_loss import strip_resistance_ohm_per_m
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "CrossSection",
    "FlatStrip",
    "PrintedStrip",
    "RoundWire",
    "equivalent_radius_m",
    "limits",
    "outline_width_m",
    "resistance_ohm_per_m",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundWire:
    """A solid round wire of a non-magnetic metal."""

    diameter_m: float
    conductivity_s_per_m: float

    def __post_init__(self) -> None:
        """Refuse a wire that could not be drawn."""
        _refuse_unless_positive(diameter_m=self.diameter_m, conductivity_s_per_m=self.conductivity_s_per_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatStrip:
    """A strip cut from metal foil or sheet."""

    width_m: float
    thickness_m: float
    conductivity_s_per_m: float

    def __post_init__(self) -> None:
        """Refuse a strip that could not be cut."""
        _refuse_unless_flat(self.width_m, self.thickness_m, self.conductivity_s_per_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedStrip:
    """A strip printed from conductive ink; thickness and conductivity are those after curing."""

    width_m: float
    thickness_m: float
    conductivity_s_per_m: float

    def __post_init__(self) -> None:
        """Refuse a strip that could not be printed."""
        _refuse_unless_flat(self.width_m, self.thickness_m, self.conductivity_s_per_m)


CrossSection = RoundWire | FlatStrip | PrintedStrip


def _refuse_unless_positive(**quantities: float) -> None:
    for name, value in quantities.items():
        if not value > 0:
            raise OutsideModelError(f"a conductor needs {name} > 0, found {value:g}")


def _refuse_unless_flat(width_m: float, thickness_m: float, conductivity_s_per_m: float) -> None:
    _refuse_unless_positive(width_m=width_m, thickness_m=thickness_m, conductivity_s_per_m=conductivity_s_per_m)
    if thickness_m > width_m:
        raise OutsideModelError(f"a strip's thickness_m = {thickness_m:g} must not exceed its width_m = {width_m:g}")


def outline_width_m(section: CrossSection) -> float:
    """Give the width that a conductor covers as seen from above: strip width or wire diameter.

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
        case FlatStrip(width_m=w) | PrintedStrip(width_m=w):
            return w
    assert_never(section)


def equivalent_radius_m(section: CrossSection) -> float:
    """Radius of the round wire that has the same inductance at radio frequency.

    Parameters
    ----------
    section : CrossSection
        The conductor.

    Returns
    -------
    float
        Half the diameter of a wire, a quarter of the width of a strip. [m]

    Notes
    -----
    A quarter of the width is the geometric mean distance of a thin strip from itself; two-dimensional solutions give
    0.250 to 0.266 widths up to a thickness of 3.5 % of the width.  For a flat ring cut from sheet it makes the
    inductance 0.08 % (2 mm wide, 80 mm across) to 1.4 % (10 mm) too high.
    """
    match section:
        case RoundWire(diameter_m=d):
            return d / 2
        case FlatStrip(width_m=w) | PrintedStrip(width_m=w):
            return w / 4
    assert_never(section)


def resistance_ohm_per_m(section: CrossSection, frequency_hz: float) -> float:
    """Resistance per metre at radio frequency.

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
        case RoundWire(diameter_m=d, conductivity_s_per_m=sigma):
            impedance = round_wire_impedance_ohm_per_m(frequency_hz, diameter_m=d, conductivity_s_per_m=sigma)
            return float(impedance.real)
        case FlatStrip() | PrintedStrip():
            resistance = strip_resistance_ohm_per_m(
                frequency_hz,
                width_m=section.width_m,
                thickness_m=section.thickness_m,
                conductivity_s_per_m=section.conductivity_s_per_m,
            )
            return float(resistance)
    assert_never(section)


#: Below this width over thickness the strip formula strays more than 4 % from two-dimensional solutions.
LEAST_WIDTH_OVER_THICKNESS = 25
#: An 80 mm ring of 10 mm strip: inductance 1.4 % too high with a quarter of the width.
WIDEST_STRIP_M = 10e-3
#: Wider range than anything wound for MR; beyond it displacement current or the anomalous skin effect may matter.
HIGHEST_FREQUENCY_HZ = 1e9


def limits(section: CrossSection, frequency_hz: float) -> tuple[str, ...]:
    """Say where this conductor lies outside the range for which its models were checked.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    tuple of str
        One sentence each; empty inside the range.
    """
    found: list[str] = []
    if frequency_hz > HIGHEST_FREQUENCY_HZ:
        found.append(f"The skin-effect formulas were checked below 1 GHz; {frequency_hz / 1e6:.0f} MHz lies outside.")
    if isinstance(section, RoundWire):
        return tuple(found)
    if section.width_m < LEAST_WIDTH_OVER_THICKNESS * section.thickness_m:
        found.append(
            f"The strip is only {section.width_m / section.thickness_m:.0f} times as wide as thick; its loss formula "
            f"was checked from {LEAST_WIDTH_OVER_THICKNESS} up and overestimates below."
        )
    if section.width_m > WIDEST_STRIP_M:
        found.append(
            f"The strip is {section.width_m * 1e3:.0f} mm wide; as a thin wire of a quarter of its width an 80 mm loop "
            "of 10 mm strip already has 1.4 % too much inductance, and a wider one more."
        )
    if skin_depth_m(frequency_hz, section.conductivity_s_per_m) > section.width_m / 4:
        found.append("The skin depth is not small against the strip's width; edge crowding is not modelled there.")
    return tuple(found)
