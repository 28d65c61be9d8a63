"""From what the stages found to the evidence of a dossier: names, arrays and sentences, no physics."""

from dataclasses import dataclass
from functools import partial

import numpy as np

from loopwright.bodies import Body
from loopwright.brief.records import Brief
from loopwright.circuits import TunedArray
from loopwright.conductors import DressedLayout
from loopwright.dossier.choosing import choice_evidence
from loopwright.dossier.circuit_images import kept_maps
from loopwright.dossier.citations import methods_of
from loopwright.dossier.conducting import as_tuned, conductor_evidence
from loopwright.dossier.echo import asked_lines, default_lines
from loopwright.dossier.evidence import (
    BodyEvidence,
    ElementLine,
    Evidence,
    GridComparison,
    LayoutEvidence,
    NeighbourLine,
    NetworkEvidence,
    NoiseEvidence,
    ScalarMap,
    SettingLine,
    TissueLine,
)
from loopwright.dossier.gap_evidence import capacitor_evidence
from loopwright.dossier.how_tuned import TUNED_AT_TERMINALS, TUNED_BY_CAPACITORS
from loopwright.dossier.mapping import acceleration_evidence, constant_lines, map_set, ultimate_evidence
from loopwright.dossier.on_request import NOTHING_ASKED, OnRequest
from loopwright.dossier.settings import setting_lines
from loopwright.dossier.shells import shell_evidence
from loopwright.dossier.temperatures import temperature_cautions
from loopwright.dossier.transmit_maps import transmit_maps
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork
from loopwright.imaging import ImageQuality, UltimateQuality
from loopwright.imaging.grid_change import change_between_grids
from loopwright.layouts import CouplingLeft, Layout

__all__ = ["OnGrid", "gather"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnGrid:
    """The job's answers on one grid of the body."""

    body: Body
    reply: BodyReply
    array: TunedArray
    quality: ImageQuality


def gather(
    brief: Brief,
    *,
    tool_version: str,
    dressed: DressedLayout,
    network: PortNetwork,
    fine: OnGrid,
    coarse: OnGrid,
    body_change_over_band: float,
    ultimates: tuple[UltimateQuality, ...] = (),
    on_request: OnRequest = NOTHING_ASKED,
) -> Evidence:
    """Put the evidence of one run together.

    Parameters
    ----------
    brief : Brief
        What was asked.
    tool_version : str
        Version of loopwright.
    dressed : DressedLayout
        The array and its conductor.
    network : PortNetwork
        The wires without body.
    fine, coarse : OnGrid
        The answers on the grid of the brief and on the second, coarser one.
    body_change_over_band : float
        Largest relative change of the body's resistance from the middle to an end of the band.
    ultimates : tuple of UltimateQuality
        Source shells, solved on the coarser grid.
    on_request : OnRequest
        Answers to what the brief asks beside the array.
    """
    tuned = as_tuned(dressed, fine.array)
    maps = map_set(fine.body, fine.quality, brief.imaging, further=_further_maps(on_request))
    return Evidence(
        title=brief.title,
        tool_version=tool_version,
        asked=asked_lines(brief),
        defaults=default_lines(brief),
        frequency_hz=brief.scanner.frequency_hz,
        field_t=brief.scanner.field_t,
        nucleus=brief.scanner.nucleus,
        b0_direction=brief.scanner.b0_direction,
        frequency_convention=brief.scanner.frequency_convention,
        body=_body(fine.body, temperature_cautions(brief)),
        layout=_layout(dressed),
        conductor=conductor_evidence(brief.conductor, tuned, frequency_hz=fine.array.frequency_hz),
        network=_network(fine.array, dressed, body_change_over_band),
        noise=_noise(fine),
        maps=maps,
        constants=constant_lines(fine.quality),
        accelerations=acceleration_evidence(fine.quality),
        ultimate=ultimate_evidence(fine.body, fine.quality),
        grids=_grids(fine, coarse),
        settings=_settings(brief, dressed, network, fine, coarse),
        methods=methods_of(brief),
        excitation=fine.reply.excitation,
        conductor_choice=choice_evidence(brief, on_request.conductor_choice),
        shells=tuple(shell_evidence(found, coarse.quality, maps.slices_m) for found in ultimates),
        circuit=on_request.circuit,
        coaxial=on_request.coaxial,
        circuit_cost=on_request.circuit_cost,
        under_field=on_request.under_field,
        capacitors=capacitor_evidence(brief, fine.array),
        interface=on_request.interface,
        built=on_request.built,
        worn=on_request.worn,
        loading=on_request.loading,
        draped=on_request.draped,
        while_transmitting=on_request.while_transmitting,
    )


def _settings(
    brief: Brief, dressed: DressedLayout, network: PortNetwork, fine: OnGrid, coarse: OnGrid
) -> tuple[SettingLine, ...]:
    return setting_lines(
        brief, dressed, network, reply=fine.reply, array=fine.array, body=fine.body, coarse_body=coarse.body
    )


def _further_maps(on_request: OnRequest) -> tuple[ScalarMap, ...]:
    return (*kept_maps(on_request.circuit_cost), *transmit_maps(on_request.while_transmitting))


def _body(body: Body, cautions: tuple[str, ...]) -> BodyEvidence:
    volumes = body.voxel_fraction.sum(axis=(1, 2, 3), dtype=np.float64) * body.grid.voxel_volume_m3
    return BodyEvidence(
        name=body.name,
        sentences=body.notes,
        voxel_m=body.grid.spacing_m,
        shape=body.grid.shape,
        tissues=tuple(
            TissueLine(
                name=tissue.name,
                eps_r=tissue.eps_r,
                sigma_s_per_m=tissue.sigma_s_per_m,
                volume_m3=float(volume),
                note=tissue.note,
            )
            for tissue, volume in zip(body.tissues, volumes, strict=True)
        ),
        cautions=(*body.cautions, *cautions),
    )


def _layout(dressed: DressedLayout) -> LayoutEvidence:
    layout = dressed.layout
    left = layout.coupling_left
    return LayoutEvidence(
        elements=tuple(
            ElementLine(
                name=element.name,
                shape=element.shape,
                size_m=element.size_m,
                centre_m=element.centre_m,
                normal=element.normal,
                gaps=len(element.gap_nodes),
                layer=element.layer,
                vertices_m=element.vertices_m,
            )
            for element in layout.elements
        ),
        neighbours=layout.neighbours,
        notes=layout.notes,
        coupling_left=() if left is None else _neighbour_lines(layout, left),
        coupling_includes="" if left is None else left.includes,
    )


def _neighbour_lines(layout: Layout, left: CouplingLeft) -> tuple[NeighbourLine, ...]:
    overlap = dict(zip(layout.neighbours, layout.overlaps, strict=True))
    return tuple(
        NeighbourLine(pair=pair, overlap=overlap[pair], coefficient=coefficient)
        for pair, coefficient in zip(left.pairs, left.coefficients, strict=True)
    )


def _network(array: TunedArray, dressed: DressedLayout, body_change_over_band: float) -> NetworkEvidence:
    elements = array.elements
    by_capacitors = dressed.cable is None
    parts, others = ("capacitors", "other") if by_capacitors else ("terminal", "line")
    return NetworkEvidence(
        frequency_hz=array.frequency_hz,
        inductance_h=np.array([e.inductance_h for e in elements]),
        gap_capacitance_f=np.array([e.capacitance_f for e in elements]) if by_capacitors else None,
        resistance_ohm={
            "body": np.array([e.body_ohm for e in elements]),
            "conductor": np.array([e.conductor_ohm for e in elements]),
            parts: np.array([e.capacitor_ohm for e in elements]),
            others: np.array([e.other_ohm for e in elements]),
            "radiation": np.array([e.radiation_ohm for e in elements]),
        },
        quality_unloaded=np.array([e.q_unloaded for e in elements]),
        quality_loaded=np.array([e.q_loaded for e in elements]),
        coil_noise_figure_db=np.array([e.noise_figure_db for e in elements]),
        snr_retained=np.array([e.snr_retained for e in elements]),
        frequency_shift_hz=np.array([e.frequency_shift_hz for e in elements]),
        mutual_reactance_ohm=array.mutual_reactance_ohm,
        coupling_coefficient=array.coupling,
        frequencies_hz=array.sweep_frequencies_hz,
        impedance_ohm=array.sweep_impedance_ohm,
        port_names=tuple(element.name for element in dressed.layout.elements),
        sentences=(TUNED_BY_CAPACITORS if by_capacitors else TUNED_AT_TERMINALS, *array.notes),
        body_change_over_band=body_change_over_band,
        quality_unloaded_open_room=np.array([e.q_unloaded_with_radiation for e in elements]),
        quality_loaded_open_room=np.array([e.q_loaded_with_radiation for e in elements]),
        matched_scattering=array.matched_scattering,
    )


def _noise(found: OnGrid) -> NoiseEvidence:
    return NoiseEvidence(
        body_noise_resistance_ohm=found.array.resistances.body_ohm,
        correlation=found.quality.noise_correlation,
        body_temperature_k=found.array.temperatures.body_temperature_k,
        coil_temperature_k=found.array.temperatures.coil_temperature_k,
        forms_differ=found.quality.noise_forms_differ,
        open_circuit_v2_per_hz=found.array.open_circuit_noise_v2_per_hz,
        matched_w_per_hz=found.array.matched_noise_w_per_hz,
    )


def _grids(fine: OnGrid, coarse: OnGrid) -> GridComparison:
    here, there = np.diag(fine.array.resistances.body_ohm).real, np.diag(coarse.array.resistances.body_ohm).real
    change = partial(
        change_between_grids,
        fine_grid=fine.body.grid,
        coarse_grid=coarse.body.grid,
        region=fine.quality.region_mask,
    )
    snr, _ = change(fine.quality.sensitivity_t_per_a_sqrt_ohm, coarse.quality.sensitivity_t_per_a_sqrt_ohm)
    inverse_g = {
        accelerated.request.name: change(accelerated.inverse_g, other.inverse_g)[1]
        for accelerated, other in zip(fine.quality.accelerations, coarse.quality.accelerations, strict=True)
    }
    return GridComparison(
        fine_voxel_m=fine.body.grid.spacing_m,
        coarse_voxel_m=coarse.body.grid.spacing_m,
        body_resistance_relative=np.abs(there / here - 1),
        snr_relative=snr,
        inverse_g_absolute=inverse_g,
    )
