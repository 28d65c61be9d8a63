"""From the conductor that is asked for to the dressed layout."""

from typing import assert_never

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
from loopwright.conductors.coaxial_line import CableFromDataSheet, CableFromDimensions, CoaxialCable, outside_wire
from loopwright.conductors.cross_section import CrossSection, FlatStrip, PrintedStrip, RoundWire
from loopwright.conductors.dressed_layout import DressedLayout
from loopwright.conductors.elastomer import ElastomerStrip, incompressible_resistance_ratio, tabled_resistance_ratio
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.thread import Helix, Thread
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.layout import Layout

SolidRequest = RoundWireRequest | FlatStripRequest | PrintedStripRequest | LiquidMetalTubeRequest


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
        cable=cable_of(request) if isinstance(request, CoaxialLineRequest) else None,
    )


def cross_section_of(request: ConductorRequest) -> CrossSection:
    """Cross section of the conductor that is asked for."""
    if isinstance(request, CoaxialLineRequest):
        return outside_wire(cable_of(request))
    if isinstance(request, ThreadRequest):
        return _thread(request)
    if isinstance(request, ElastomerStripRequest):
        return _elastomer_strip(request)
    return _solid_section(request)


def _solid_section(request: SolidRequest) -> CrossSection:
    measured = request.measured_resistance_ohm_per_m
    match request:
        case RoundWireRequest(wire_diameter_m=across_m, conductivity_s_per_m=sigma):
            return RoundWire(diameter_m=across_m, conductivity_s_per_m=sigma, measured_ohm_per_m=measured)
        case FlatStripRequest(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma):
            return FlatStrip(
                width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma, measured_ohm_per_m=measured
            )
        case PrintedStripRequest(width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma):
            return PrintedStrip(
                width_m=width, thickness_m=thickness, conductivity_s_per_m=sigma, measured_ohm_per_m=measured
            )
        case LiquidMetalTubeRequest(bore_m=bore, conductivity_s_per_m=sigma):
            return LiquidMetalTube(
                bore_m=bore, wall_m=request.wall.thickness_m, conductivity_s_per_m=sigma, measured_ohm_per_m=measured
            )
    assert_never(request)


def cable_of(request: CoaxialLineRequest) -> CoaxialCable:
    """Cable of a coaxial line, from its data sheet or its dimensions, whichever was told."""
    shield_m, sigma, braid = request.shield_diameter_m, request.conductivity_s_per_m, request.braid_factor
    match request:
        case CoaxialLineRequest(
            characteristic_impedance_ohm=float(impedance),
            velocity_factor=float(velocity),
            attenuation_db_per_m=float(attenuation),
            attenuation_frequency_hz=float(measured_at_hz),
        ):
            return CableFromDataSheet(
                characteristic_ohm=impedance,
                velocity_factor=velocity,
                loss_db_per_m=attenuation,
                loss_frequency_hz=measured_at_hz,
                shield_outer_diameter_m=shield_m,
                shield_conductivity_s_per_m=sigma,
                braid_factor=braid,
            )
        case CoaxialLineRequest(
            inner_diameter_m=float(inner_m),
            dielectric_diameter_m=float(dielectric_m),
            permittivity=float(permittivity),
            loss_tangent=float(loss_tangent),
        ):
            return CableFromDimensions(
                inner_diameter_m=inner_m,
                shield_inner_diameter_m=dielectric_m,
                shield_outer_diameter_m=shield_m,
                relative_permittivity=permittivity,
                loss_tangent=loss_tangent,
                inner_conductivity_s_per_m=sigma,
                shield_conductivity_s_per_m=sigma,
                braid_factor=braid,
            )
    raise OutsideModelError("a coaxial line is told by its data sheet or by its dimensions")


def _elastomer_strip(request: ElastomerStripRequest) -> ElastomerStrip:
    table, stretch = request.resistance_against_stretch, request.stretch
    ratio = (
        tabled_resistance_ratio(stretch, stretches=[p.stretch for p in table], ratios=[p.ratio for p in table])
        if table
        else float(incompressible_resistance_ratio(stretch))
    )
    return ElastomerStrip(
        rest_width_m=request.width_m,
        rest_thickness_m=request.thickness_m,
        rest_conductivity_s_per_m=request.conductivity_s_per_m,
        stretch=stretch,
        resistance_ratio=ratio,
        measured_ohm_per_m=request.measured_resistance_ohm_per_m,
    )


def _thread(request: ThreadRequest) -> Thread:
    helix = None
    if request.coil_pitch_m is not None and request.thread_diameter_m is not None:
        helix = Helix(
            diameter_m=request.outer_diameter_m - request.thread_diameter_m,
            pitch_m=request.coil_pitch_m,
            thread_diameter_m=request.thread_diameter_m,
        )
    return Thread(
        outer_diameter_m=request.outer_diameter_m,
        thread_ohm_per_m=request.thread_resistance_ohm_per_m,
        length_ratio=request.length_ratio if helix is None else helix.length_ratio,
        helix=helix,
        measured_ohm_per_m=request.measured_resistance_ohm_per_m,
    )
