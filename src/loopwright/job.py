"""The whole job, read aloud: from a written brief to a dossier. The file to read first."""

from dataclasses import dataclass, replace

from loopwright import __version__, bodies, circuits, conductors, dossier, fields, imaging, layouts
from loopwright.brief import Brief, WholeBodyRegion
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress

#: Searches for zero coupling after the one without the body: the last moves them less than anyone can lay.
_SEARCHES_WITH_BODY = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOutcome:
    """What the job leaves: all evidence, and the dossier that is written from it."""

    evidence: dossier.Evidence
    dossier: dossier.Dossier


def carry_out(brief: Brief, *, progress: Progress, store: PieceStore, device: Device = Device.CPU) -> JobOutcome:
    """Take one brief from specification to dossier.

    Parameters
    ----------
    brief : Brief
        What the engineer asks for.
    progress : Progress
        Told how far the work has come.
    store : PieceStore
        Keeps finished field solutions, and gives them back to a later run.
    device : Device
        Where the fields in the body are computed.

    Raises
    ------
    DeviceError
        When the device is not there.
    OutsideModelError, NotConvergedError
        When a model is asked for something it cannot tell.
    """
    frequency_hz = brief.scanner.frequency_hz
    body = bodies.place(brief.body, frequency_hz=frequency_hz)
    coarse_body = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=_coarse_voxel_m(brief))
    imaging.check_region(brief.imaging, body)
    imaging.check_region(_judged_everywhere(brief).imaging, coarse_body)
    layout = _layout(brief, body, coarse_body, progress, store, device)
    dressed = conductors.dress(brief.conductor, layout)
    network = fields.solve_network(
        dressed,
        frequency_hz,
        band_fraction=brief.computation.band_fraction,
        frequency_count=brief.computation.frequencies,
    )
    evidence = dossier.gather(
        brief,
        tool_version=__version__,
        dressed=dressed,
        network=network,
        fine=_answers(brief, body, dressed, network, progress, store, device),
        coarse=_answers(_judged_everywhere(brief), coarse_body, dressed, network, progress, store, device),
        body_change_over_band=_change_over_band(brief, dressed, progress, store, device),
    )
    return JobOutcome(evidence=evidence, dossier=dossier.compile_dossier(evidence))


def _layout(
    brief: Brief, body: bodies.Body, coarse_body: bodies.Body, progress: Progress, store: PieceStore, device: Device
) -> layouts.Layout:
    """The array laid out; zero coupling is searched for, then again with what the body did to that layout."""
    section = conductors.cross_section_of(brief.conductor)
    coupling = fields.LoopCoupling(
        conductor_radius_m=conductors.equivalent_radius_m(section), frequency_hz=brief.scanner.frequency_hz
    )
    segments = brief.computation.segments_per_element
    layout = layouts.arrange(brief.array, body, segments_per_element=segments, coupling=coupling)
    for _ in range(_SEARCHES_WITH_BODY if brief.array.asks_for_zero_coupling else 0):
        loops = fields.closed_loops([element.vertices_m for element in layout.elements])
        reactance = _reply(brief, coarse_body, loops, progress, store, device).impedance_ohm.imag
        loaded = replace(coupling, body_reactance_ohm=(reactance + reactance.T) / 2)
        layout = layouts.arrange(brief.array, body, segments_per_element=segments, coupling=loaded, near=layout)
    return layout


def _answers(
    brief: Brief,
    body: bodies.Body,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    progress: Progress,
    store: PieceStore,
    device: Device,
) -> dossier.OnGrid:
    """Everything that depends on the grid of the body."""
    sources = fields.array_sources(
        fields.chosen_excitation(brief.computation.excitation, dressed, body), dressed, network
    )
    reply = _reply(brief, body, sources, progress, store, device)
    temperatures = circuits.NoiseTemperatures(
        body_temperature_k=brief.conductor.body_temperature_k, coil_temperature_k=brief.conductor.coil_temperature_k
    )
    array = circuits.tune(network, reply, dressed=dressed, temperatures=temperatures)
    quality = imaging.predict(
        brief.imaging,
        brief.scanner,
        array=array,
        reply=reply,
        body=body,
        ultimate_t_per_a_sqrt_ohm=fields.ultimate_map(body),
    )
    return dossier.OnGrid(body=body, reply=reply, array=array, quality=quality)


def _reply(
    brief: Brief,
    body: bodies.Body,
    sources: fields.BodySources,
    progress: Progress,
    store: PieceStore,
    device: Device,
) -> fields.BodyReply:
    progress.note(
        f"body {body.name}: {' x '.join(str(n) for n in body.grid.shape)} voxels of {body.grid.spacing_m * 1e3:g} mm "
        f"at {body.frequency_hz / 1e6:.2f} MHz"
    )
    return fields.reply_to_sources(
        body,
        sources,
        face_rule=fields.FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=progress,
        store=store,
        device=device,
    )


def _judged_everywhere(brief: Brief) -> Brief:
    """Same brief, its region the whole body: a small region may hold no voxel of the coarser grid."""
    everywhere = brief.imaging.model_copy(update={"region": WholeBodyRegion(least_depth_m=0.0)})
    return brief.model_copy(update={"imaging": everywhere})


def _coarse_voxel_m(brief: Brief) -> float:
    return brief.body.voxel_m * brief.computation.coarse_voxel_ratio


def _change_over_band(
    brief: Brief,
    dressed: conductors.DressedLayout,
    progress: Progress,
    store: PieceStore,
    device: Device,
) -> float:
    """Largest relative change of the first element's body resistance towards the ends of the band, coarse grid."""
    middle = brief.scanner.frequency_hz
    ends = (middle * (1 - brief.computation.band_fraction), middle, middle * (1 + brief.computation.band_fraction))
    resistances = []
    for frequency_hz in ends:
        body = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=_coarse_voxel_m(brief))
        first_loop = fields.closed_loops([dressed.layout.elements[0].vertices_m])
        reply = _reply(brief, body, first_loop, progress, store, device)
        resistances.append(reply.noise_resistance_ohm[0, 0].real)
    low, centre, high = resistances
    return max(abs(low / centre - 1), abs(high / centre - 1))
