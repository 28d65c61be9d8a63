"""The conductor in words: what it is, where its models stop, how much room the layout leaves it."""

from dataclasses import replace
from typing import assert_never

import numpy as np

from loopwright.brief.records import (
    CoaxialLineRequest,
    ConductorRequest,
    ElastomerStripRequest,
    FlatStripRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
    ThreadRequest,
)
from loopwright.circuits import TunedArray
from loopwright.conductors import (
    CrossSection,
    DressedLayout,
    Thread,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    limits,
    resistance_ohm_per_m,
    skin_depth_m,
    thickness_over_depth,
    what_limits,
)
from loopwright.designs import conductor_length_m, conductor_mass_kg
from loopwright.dossier.evidence import ConductorEvidence, ConductorLine
from loopwright.dossier.numbers import printed, printed_as_given, printed_in_steps, printed_range
from loopwright.dossier.stack import part_lines, seen_sentences, value_lines
from loopwright.dossier.told_conductor import overridden, state_sentences
from loopwright.fields.wires import wire_limits
from loopwright.layouts import Layout

__all__ = ["as_tuned", "conductor_evidence", "conductor_name"]

_COMPUTED = "skin effect of the straight conductor alone; neighbours and bends crowd the current further"
_MEASURED = "measured, as the brief says; the formulas are left aside"
_THREAD = "resistance of the thread as the brief says, times the metres of thread in a metre"


def conductor_evidence(request: ConductorRequest, dressed: DressedLayout, *, frequency_hz: float) -> ConductorEvidence:
    """Tell what the array is made of.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    dressed : DressedLayout
        The array made of it.
    frequency_hz : float
        Frequency. [Hz]
    """
    section = dressed.cross_section
    room, cautions = _room(request, dressed.layout)
    length_m = conductor_length_m(dressed.layout)
    parts = part_lines(request, section, conductor_length_m=length_m)
    measured, method = _how_found(section)
    return ConductorEvidence(
        name=conductor_name(request),
        resistance_ohm_per_m=resistance_ohm_per_m(section, frequency_hz),
        equivalent_radius_m=equivalent_radius_m(section),
        sentences=(
            what_limits(section, frequency_hz),
            *overridden(request, section, frequency_hz),
            *state_sentences(request, section),
            _losses(dressed),
            *room,
            *seen_sentences(parts),
        ),
        limits=(*limits(section, frequency_hz), *wire_limits(dressed, frequency_hz)),
        method=method,
        cautions=cautions,
        resistance_source=measured,
        direct_resistance_ohm_per_m=direct_resistance_ohm_per_m(section),
        skin_depth_m=_skin_depth_m(section, frequency_hz),
        depths=thickness_over_depth(section, frequency_hz),
        mass_kg=conductor_mass_kg(request, section, length_m=length_m),
        lines=_lines(dressed, frequency_hz),
        parts=parts,
        values=value_lines(request),
    )


def _how_found(section: CrossSection) -> tuple[str, str]:
    """Where the resistance of a metre comes from, and how it was found."""
    if section.measured_ohm_per_m is not None:
        return "the brief", _MEASURED
    return ("the brief", _THREAD) if isinstance(section, Thread) else ("computed here", _COMPUTED)


def _skin_depth_m(section: CrossSection, frequency_hz: float) -> float | None:
    return None if isinstance(section, Thread) else float(skin_depth_m(frequency_hz, section.conductivity_s_per_m))


def _lines(dressed: DressedLayout, frequency_hz: float) -> tuple[ConductorLine, ...]:
    section = dressed.cross_section
    per_metre, direct = resistance_ohm_per_m(section, frequency_hz), direct_resistance_ohm_per_m(section)
    lines: list[ConductorLine] = []
    for element in dressed.layout.elements:
        sides = np.roll(element.vertices_m, -1, axis=0) - element.vertices_m
        length_m = float(np.linalg.norm(sides, axis=1).sum())
        lines.append(
            ConductorLine(
                element=element.name,
                length_m=length_m,
                resistance_ohm=per_metre * length_m,
                direct_ohm=None if direct is None else direct * length_m,
            )
        )
    return tuple(lines)


def as_tuned(dressed: DressedLayout, array: TunedArray) -> DressedLayout:
    """With the quality that the capacitors were found to have."""
    return replace(dressed, gap_qualities=tuple(element.capacitor_q for element in array.elements))


def _losses(dressed: DressedLayout) -> str:
    if dressed.cable is not None:
        return (
            "The figures below are those of the outside of the shield, with what a braid adds; the line inside is told "
            f"in the section on coaxial elements. The part across each terminal has a quality factor of "
            f"{dressed.capacitor_q:g}."
        )
    qualities = dressed.capacitor_qualities
    alike = np.ptp(qualities) == 0 or np.isinf(qualities).any()
    quality = f"{float(f'{qualities[0]:.3g}'):g}" if alike else printed_range(qualities)
    return (
        f"Capacitors have a quality factor of {quality}; {dressed.other_series_resistance_ohm:g} ohm "
        "stand in series with every element for joints and other parts."
    )


LoopConductorRequest = (
    RoundWireRequest
    | FlatStripRequest
    | PrintedStripRequest
    | LiquidMetalTubeRequest
    | ElastomerStripRequest
    | ThreadRequest
)


def conductor_name(request: ConductorRequest) -> str:
    """Name a conductor by its kind, its size and its metal."""
    if isinstance(request, CoaxialLineRequest):
        own = f"{printed_as_given(request.shield_diameter_m, 'm')} over the shield"
        return f"coaxial line, {own if request.cable == 'given' else request.cable}"
    if isinstance(request, ThreadRequest):
        return f"{_shape(request)}, {printed_as_given(request.thread_resistance_ohm_per_m, 'ohm/m')} of thread"
    metal = "" if request.material == "given" else f"{request.material}, "
    return f"{_shape(request)}, {metal}{printed(request.conductivity_s_per_m, 'S/m')}"


def _shape(request: LoopConductorRequest) -> str:
    match request:
        case RoundWireRequest(wire_diameter_m=diameter_m):
            return f"round wire, {printed_in_steps(diameter_m, 'm')} across"
        case FlatStripRequest(width_m=width_m, thickness_m=thickness_m):
            return f"flat strip, {_strip(width_m, thickness_m)}"
        case PrintedStripRequest(width_m=width_m, thickness_m=thickness_m):
            return f"printed strip, {_strip(width_m, thickness_m)}"
        case LiquidMetalTubeRequest(bore_m=bore_m, wall=wall):
            in_wall = f"{printed_as_given(wall.thickness_m, 'm')} of {wall.material}"
            return f"liquid metal, bore of {printed_as_given(bore_m, 'm')} in {in_wall}"
        case ElastomerStripRequest(width_m=width_m, thickness_m=thickness_m):
            return f"elastomer strip, {_strip(width_m, thickness_m)} at rest"
        case ThreadRequest(outer_diameter_m=diameter_m, coil_pitch_m=pitch_m):
            sprung = "" if pitch_m is None else f", sprung with a pitch of {printed_as_given(pitch_m, 'm')}"
            return f"thread, {printed_as_given(diameter_m, 'm')} over all{sprung}"
    assert_never(request)


def _strip(width_m: float, thickness_m: float) -> str:
    return f"{printed_as_given(width_m, 'm')} × {thickness_m * 1e6:g} µm"


def _height(request: ConductorRequest) -> tuple[str, float]:
    """What of a conductor takes room where another passes, and how much. [m]"""
    match request:
        case RoundWireRequest(wire_diameter_m=taken_m):
            return "diameter of the wire", taken_m
        case LiquidMetalTubeRequest():
            return "diameter of the tube", request.bore_m + 2 * request.wall.thickness_m
        case CoaxialLineRequest(shield_diameter_m=taken_m):
            return "diameter of the shield", taken_m
        case ThreadRequest(outer_diameter_m=taken_m):
            return "diameter of the thread", taken_m
        case _:
            return "thickness of the strip", request.thickness_m


def _room(request: ConductorRequest, layout: Layout) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Compare the nearest two conductors with the room that their bodies take: a sentence, or a caution."""
    distance_m = layout.least_conductor_distance_m
    if distance_m is None:
        return (), ()
    what, taken_m = _height(request)
    nearest = (
        f"Where two elements come nearest, their centre-lines are {printed(distance_m, 'm', digits=2)} apart, "
        f"{printed(distance_m / taken_m, digits=2)} times the {what}"
    )
    if distance_m < taken_m:
        return (), (f"{nearest}, so the conductors would touch. Move the elements apart, or take a thinner conductor.",)
    return (f"{nearest}. Insulation and bridges have to fit into the rest.",), ()
