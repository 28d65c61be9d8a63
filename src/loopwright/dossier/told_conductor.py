"""What a brief knows better than tables and formulas, and in which state it wears its conductor."""

from loopwright.brief.metals import INKS
from loopwright.brief.records import ConductorRequest, ElastomerStripRequest, PrintedStripRequest
from loopwright.conductors import (
    CrossSection,
    ElastomerStrip,
    Thread,
    computed_resistance_ohm_per_m,
    helix_inductance_h_per_m,
)
from loopwright.dossier.numbers import printed, printed_as_given

__all__ = ["overridden", "state_sentences"]


def overridden(request: ConductorRequest, section: CrossSection, frequency_hz: float) -> tuple[str, ...]:
    """Tell what was measured and what it stands in for.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    section : CrossSection
        Its cross section.
    frequency_hz : float
        Frequency. [Hz]
    """
    found: list[str] = []
    if isinstance(request, PrintedStripRequest):
        found += _print_told(request)
    measured = section.measured_ohm_per_m
    if measured is not None:
        otherwise = computed_resistance_ohm_per_m(section, frequency_hz)
        found.append(
            f"The resistance of a metre was measured: {printed_as_given(measured, 'ohm/m')} stands in for the "
            f"{printed(otherwise, 'ohm/m')} that {'lay and thread' if isinstance(section, Thread) else 'the formulas'} "
            "give."
        )
    return tuple(found)


def _print_told(request: PrintedStripRequest) -> list[str]:
    found: list[str] = []
    known = INKS.get(request.material)
    if request.sheet_resistance_ohm is not None:
        found.append(
            f"The sheet resistance given, {1e3 * request.sheet_resistance_ohm:.3g} mΩ, makes the conductivity "
            f"{printed(request.conductivity_s_per_m, 'S/m')} at this thickness."
        )
    if known is not None and request.conductivity_s_per_m != known.value:
        found.append(
            f"What was measured, {printed(request.conductivity_s_per_m, 'S/m')}, stands in for the "
            f"{printed(known.value, 'S/m')} of {request.material} in the table."
        )
    elif known is not None and request.measured_resistance_ohm_per_m is None:
        found.append(
            f"The conductivity of {request.material} is that of the table, {known.source}; a measurement of your own "
            "print, as `sheet_resistance` or `measured_resistance`, wins over it."
        )
    return found


def state_sentences(request: ConductorRequest, section: CrossSection) -> tuple[str, ...]:
    """Tell how far an elastomer is stretched, or how a thread is laid.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    section : CrossSection
        Its cross section.
    """
    if isinstance(section, ElastomerStrip) and isinstance(request, ElastomerStripRequest):
        return (_stretched(request, section),)
    if isinstance(section, Thread):
        return (_laid(section),)
    return ()


def _stretched(request: ElastomerStripRequest, section: ElastomerStrip) -> str:
    law = "the table of the brief" if request.resistance_against_stretch else "constant volume, (1 + stretch)²"
    return (
        f"Worn with a stretch of {100 * section.stretch:.3g} %, by {law}: a piece has {section.resistance_ratio:.3g} "
        f"times its resistance at rest, and the strip is {printed(section.width_m, 'm')} wide and "
        f"{1e6 * section.thickness_m:.3g} µm thick."
    )


def _laid(section: Thread) -> str:
    laid = f"A metre of centre-line holds {section.length_ratio:.3g} m of thread."
    if section.helix is None:
        return laid
    turns_nh = 1e9 * helix_inductance_h_per_m(section.helix)
    turns = f"{turns_nh:.3g} nH" if turns_nh < 999.5 else f"{1e-3 * turns_nh:.3g} µH"
    return (
        f"{laid} Its turns add {turns} to a metre beyond a smooth tube of their mean diameter; inductances, "
        "capacitors and quality factors hold it."
    )
