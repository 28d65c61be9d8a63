"""Where the models of a conductor end, and what holds its resistance up: thickness or skin depth."""

from loopwright.conductors.cross_section import CrossSection, FlatStrip, PrintedStrip, RoundWire
from loopwright.conductors.elastomer import ElastomerStrip
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.skin_effect import skin_depth_m
from loopwright.conductors.thread import Thread

__all__ = ["limits", "thickness_over_depth", "what_limits"]

#: Below this width over thickness the strip formula strays more than 4 % from two-dimensional solutions.
LEAST_WIDTH_OVER_THICKNESS = 25
#: An 80 mm ring of 10 mm strip: inductance 1.4 % too high with a quarter of the width.
WIDEST_STRIP_M = 10e-3
#: Wider range than anything wound for MR; beyond it displacement current or the anomalous skin effect may matter.
HIGHEST_FREQUENCY_HZ = 1e9
#: Pitch over mean diameter up to which the inductance of a sprung thread was compared with summed filaments.
LONGEST_PITCH_OVER_DIAMETER = 6
#: Turns nearer than this many thread diameters raise each other's loss by tens of per cent (common practice).
CLOSE_TURNS = 3
#: Thickness over skin depth at which a strip changes from filled to skinned: even current within 1 % below the
#: first, thicker metal of no more use above the second.
FILLED, SKINNED = 1.0, 3.0

Strip = FlatStrip | PrintedStrip | ElastomerStrip


def thickness_over_depth(section: CrossSection, frequency_hz: float) -> float | None:
    """How many skin depths thick a conductor is; None for a thread, of which only the resistance is known.

    Parameters
    ----------
    section : CrossSection
        The conductor: thickness of a strip, diameter of a wire or bore.
    frequency_hz : float
        Frequency. [Hz]
    """
    match section:
        case Thread():
            return None
        case RoundWire(diameter_m=across_m) | LiquidMetalTube(bore_m=across_m):
            return across_m / float(skin_depth_m(frequency_hz, section.conductivity_s_per_m))
        case _:
            return section.thickness_m / float(skin_depth_m(frequency_hz, section.conductivity_s_per_m))


def what_limits(section: CrossSection, frequency_hz: float) -> str:
    """Say in one sentence whether thickness or skin depth holds the resistance up.

    Parameters
    ----------
    section : CrossSection
        The conductor.
    frequency_hz : float
        Frequency. [Hz]
    """
    ratio = thickness_over_depth(section, frequency_hz)
    if ratio is None:
        return "What limits a thread inside cannot be told: its resistance is taken as given."
    told = f"{float(f'{ratio:.2g}'):g} skin depths"
    if not isinstance(section, Strip):
        where = "flows in its skin" if ratio > 2 * SKINNED else "fills most of it"
        return f"The conductor is {told} across, so the current {where}."
    if ratio < FILLED:
        return f"The strip is {told} thick and limited by its thickness: twice the metal, nearly half the resistance."
    if ratio > SKINNED:
        return f"The strip is {told} thick and limited by the skin effect: more metal gains next to nothing."
    return f"The strip is {told} thick, between limited by its thickness and limited by the skin effect."


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
    match section:
        case Thread():
            found += _thread_limits(section)
        case FlatStrip() | PrintedStrip() | ElastomerStrip():
            found += _strip_limits(section, frequency_hz)
    return tuple(found)


def _strip_limits(section: Strip, frequency_hz: float) -> list[str]:
    found: list[str] = []
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
    if isinstance(section, ElastomerStrip) and section.stretch > 0:
        found.append(
            "The elastomer counts as stretched evenly along every element, with the resistance of the first slow pull; "
            "pulled fast or often, it creeps and loses more."
        )
    return found


def _thread_limits(section: Thread) -> list[str]:
    laid = (
        "The resistance of the thread is taken as given at this frequency and constant over the band; sewing, washing "
        "and stretching change it: measure the thread as laid."
    )
    found = [laid]
    helix = section.helix
    if helix is None and section.length_ratio > 1:
        found.append(
            "More thread than centre-line without a helix: the inductance of its weave or zigzag is left out, that of "
            "a smooth thread taken."
        )
    if helix is not None and helix.pitch_m > LONGEST_PITCH_OVER_DIAMETER * helix.diameter_m:
        found.append(
            f"The pitch is {helix.pitch_m / helix.diameter_m:.0f} diameters of the helix; the inductance of the turns "
            f"was checked up to {LONGEST_PITCH_OVER_DIAMETER}."
        )
    if helix is not None and helix.turns_apart_m < CLOSE_TURNS * helix.thread_diameter_m:
        found.append(
            f"The turns lie {helix.turns_apart_m / helix.thread_diameter_m:.1f} thread diameters apart and crowd each "
            "other's current; a resistance measured on straight thread is too low for them."
        )
    return found
