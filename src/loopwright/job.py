"""The whole job, read aloud: from a written brief to a dossier. The file to read first."""

from dataclasses import dataclass

from loopwright import __version__, bodies, circuits, conductors, dossier, fields, imaging, layouts
from loopwright.brief import Brief, WholeBodyRegion
from loopwright.ground.progress import PieceStore, Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOutcome:
    """What the job leaves: all evidence, and the dossier that is written from it."""

    evidence: dossier.Evidence
    dossier: dossier.Dossier


def carry_out(brief: Brief, *, progress: Progress, store: PieceStore) -> JobOutcome:
    """Take one brief from specification to dossier.

    Parameters
    ----------
    brief : Brief
        What the engineer asks for.
    progress : Progress
        Told how far the work has come.
    store : PieceStore
        Keeps finished field solutions, and gives them back to a later run.

    Raises
    ------
    OutsideModelError, NotConvergedError
        When a model is asked for something it cannot tell.
    """
    frequency_hz = brief.scanner.frequency_hz
    body = bodies.place(brief.body, frequency_hz=frequency_hz)
    layout = layouts.arrange(brief.array, body, segments_per_element=brief.computation.segments_per_element)
    dressed = conductors.dress(brief.conductor, layout)
    network = fields.solve_network(
        dressed,
        frequency_hz,
        band_fraction=brief.computation.band_fraction,
        frequency_count=brief.computation.frequencies,
    )
    coarse_body = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=_coarse_voxel_m(brief))
    evidence = dossier.gather(
        brief,
        tool_version=__version__,
        dressed=dressed,
        network=network,
        fine=answers_on(brief, body, dressed, network, progress, store),
        coarse=answers_on(judged_everywhere(brief), coarse_body, dressed, network, progress, store),
        body_change_over_band=_change_over_band(brief, dressed, progress, store),
    )
    return JobOutcome(evidence=evidence, dossier=dossier.compile_dossier(evidence))


def answers_on(
    brief: Brief,
    body: bodies.Body,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    progress: Progress,
    store: PieceStore,
) -> dossier.OnGrid:
    """Give everything that depends on the grid of the body."""
    reply = _reply(brief, body, dressed.layout.elements, progress, store)
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
    elements: tuple[layouts.Element, ...],
    progress: Progress,
    store: PieceStore,
) -> fields.BodyReply:
    progress.note(
        f"body {body.name}: {' x '.join(str(n) for n in body.grid.shape)} voxels of {body.grid.spacing_m * 1e3:g} mm "
        f"at {body.frequency_hz / 1e6:.2f} MHz"
    )
    return fields.body_reply(
        body,
        [element.vertices_m for element in elements],
        relative_residual=brief.computation.relative_residual,
        progress=progress,
        store=store,
    )


def judged_everywhere(brief: Brief) -> Brief:
    """Same brief, its region the whole body: a small region may hold no voxel of the coarser grid."""
    everywhere = brief.imaging.model_copy(update={"region": WholeBodyRegion(least_depth_m=0.0)})
    return brief.model_copy(update={"imaging": everywhere})


def _coarse_voxel_m(brief: Brief) -> float:
    return brief.body.voxel_m * brief.computation.coarse_voxel_ratio


def _change_over_band(brief: Brief, dressed: conductors.DressedLayout, progress: Progress, store: PieceStore) -> float:
    """Largest relative change of the first element's body resistance towards the ends of the band, coarse grid."""
    middle = brief.scanner.frequency_hz
    ends = (middle * (1 - brief.computation.band_fraction), middle, middle * (1 + brief.computation.band_fraction))
    resistances = []
    for frequency_hz in ends:
        body = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=_coarse_voxel_m(brief))
        reply = _reply(brief, body, dressed.layout.elements[:1], progress, store)
        resistances.append(reply.noise_resistance_ohm[0, 0].real)
    low, centre, high = resistances
    return max(abs(low / centre - 1), abs(high / centre - 1))
