"""The conductor in words: what it is, where its models stop, how much room the layout leaves it."""

from typing import assert_never

from loopwright.brief.records import ConductorRequest, FlatStripRequest, PrintedStripRequest, RoundWireRequest
from loopwright.conductors import DressedLayout, equivalent_radius_m, limits, resistance_ohm_per_m
from loopwright.dossier.evidence import ConductorEvidence
from loopwright.dossier.numbers import printed, printed_as_given
from loopwright.fields.wires import wire_limits
from loopwright.layouts import Layout

__all__ = ["conductor_evidence", "conductor_name"]


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
    return ConductorEvidence(
        name=conductor_name(request),
        resistance_ohm_per_m=resistance_ohm_per_m(section, frequency_hz),
        equivalent_radius_m=equivalent_radius_m(section),
        sentences=(
            _losses(dressed),
            *room,
        ),
        limits=(*limits(section, frequency_hz), *wire_limits(dressed, frequency_hz)),
        method="skin effect of the straight conductor alone; neighbours and bends crowd the current further",
        cautions=cautions,
    )


def _losses(dressed: DressedLayout) -> str:
    return (
        f"Capacitors have a quality factor of {dressed.capacitor_q:g}; {dressed.other_series_resistance_ohm:g} ohm "
        "stand in series with every element for joints and other parts."
    )


def conductor_name(request: ConductorRequest) -> str:
    """Name a conductor by its kind, its size and its metal."""
    metal = "" if request.material == "given" else f"{request.material}, "
    return f"{_shape(request)}, {metal}{printed(request.conductivity_s_per_m, 'S/m')}"


def _shape(request: ConductorRequest) -> str:
    match request:
        case RoundWireRequest(wire_diameter_m=diameter_m):
            return f"round wire, {printed_as_given(diameter_m, 'm')} across"
        case FlatStripRequest(width_m=width_m, thickness_m=thickness_m):
            return f"flat strip, {_strip(width_m, thickness_m)}"
        case PrintedStripRequest(width_m=width_m, thickness_m=thickness_m):
            return f"printed strip, {_strip(width_m, thickness_m)}"
    assert_never(request)


def _strip(width_m: float, thickness_m: float) -> str:
    return f"{printed_as_given(width_m, 'm')} × {thickness_m * 1e6:g} µm"


def _room(request: ConductorRequest, layout: Layout) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Compare the nearest two conductors with the room that their bodies take: a sentence, or a caution."""
    distance_m = layout.least_conductor_distance_m
    if distance_m is None:
        return (), ()
    if isinstance(request, RoundWireRequest):
        what, taken_m = "diameter of the wire", request.wire_diameter_m
    else:
        what, taken_m = "thickness of the strip", request.thickness_m
    nearest = (
        f"Where two elements come nearest, their centre-lines are {printed(distance_m, 'm', digits=2)} apart, "
        f"{printed(distance_m / taken_m, digits=2)} times the {what}"
    )
    if distance_m < taken_m:
        return (), (f"{nearest}, so the conductors would touch. Move the elements apart, or take a thinner conductor.",)
    return (f"{nearest}. Insulation and bridges have to fit into the rest.",), ()
