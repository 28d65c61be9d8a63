"""The whole job, read aloud: from a written brief to a dossier. The file to read first."""

from dataclasses import dataclass, replace

from loopwright import __version__, bodies, circuits, conductors, designs, dossier, fields, imaging, layouts
from loopwright.brief import Brief, WholeBodyRegion
from loopwright.brief.records import NoUltimate
from loopwright.ground.means import Means
from loopwright.questions import answers_to_questions, loop_coupling

#: Searches for zero coupling after the one without the body: the last moves them less than anyone can lay.
_SEARCHES_WITH_BODY = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class DrivenArray:
    """The array in air, and what of it carries current beside the body."""

    dressed: conductors.DressedLayout
    network: fields.PortNetwork
    sources: fields.BodySources


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOutcome:
    """What the job leaves: all evidence, and the dossier that is written from it."""

    evidence: dossier.Evidence
    dossier: dossier.Dossier


def carry_out(brief: Brief, means: Means) -> JobOutcome:
    """Take one brief from specification to dossier.

    Parameters
    ----------
    brief : Brief
        What the engineer asks for.
    means : Means
        What it is carried out with.

    Raises
    ------
    OutsideModelError, NotConvergedError
        When a model is asked for something it cannot tell.
    """
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    coarse_body = bodies.place(brief.body, frequency_hz=body.frequency_hz, voxel_m=coarse_voxel_m(brief))
    imaging.check_region(brief.imaging, body)
    imaging.check_region(judged_everywhere(brief).imaging, coarse_body)
    if brief.loading_equivalence is not None:  # looked at before hours are spent on the array
        designs.check_loads(brief, brief.loading_equivalence)
    dressed = dressed_array(brief, body, coarse_body, means)
    driven = driven_array(brief, dressed, fields.chosen_excitation(brief.computation.excitation, dressed, body))
    coarse = answers_on(judged_everywhere(brief), coarse_body, driven, means)
    fine = answers_on(brief, body, driven, means)
    evidence = dossier.gather(
        brief,
        tool_version=__version__,
        dressed=driven.dressed,
        network=driven.network,
        fine=fine,
        coarse=coarse,
        ultimates=_ultimates(brief, coarse, driven, means),
        body_change_over_band=_change_over_band(brief, driven.dressed, coarse.reply, means),
        on_request=answers_to_questions(brief, dressed=driven.dressed, network=driven.network, found=fine, means=means),
    )
    return JobOutcome(evidence=evidence, dossier=dossier.compile_dossier(evidence))


def dressed_array(brief: Brief, body: bodies.Body, coarse_body: bodies.Body, means: Means) -> conductors.DressedLayout:
    """Lay out the array and dress it."""
    return conductors.dress(brief.conductor, _layout(brief, body, coarse_body, means))


def driven_array(brief: Brief, dressed: conductors.DressedLayout, excitation: fields.Excitation) -> DrivenArray:
    """Solve the array in air, and take what of it drives the body on every grid."""
    network = fields.solve_network(
        dressed,
        brief.scanner.frequency_hz,
        band_fraction=brief.computation.band_fraction,
        frequency_count=brief.computation.frequencies,
    )
    return DrivenArray(dressed=dressed, network=network, sources=fields.array_sources(excitation, dressed, network))


def tuned_on(
    brief: Brief, body: bodies.Body, driven: DrivenArray, means: Means
) -> tuple[fields.BodyReply, circuits.TunedArray]:
    """What the body does to the array, and the array tuned on it."""
    reply = _reply(brief, body, driven.sources, means)
    temperatures = circuits.NoiseTemperatures(
        body_temperature_k=brief.conductor.body_temperature_k, coil_temperature_k=brief.conductor.coil_temperature_k
    )
    tuned = circuits.tune(
        driven.network, reply, dressed=driven.dressed, temperatures=temperatures, capacitors=brief.capacitors
    )
    return reply, tuned


def answers_on(brief: Brief, body: bodies.Body, driven: DrivenArray, means: Means) -> dossier.OnGrid:
    """Everything that depends on the grid of the body."""
    reply, array = tuned_on(brief, body, driven, means)
    quality = imaging.predict(
        brief.imaging,
        brief.scanner,
        array=array,
        reply=reply,
        body=body,
        ultimate_t_per_a_sqrt_ohm=fields.ultimate_map(body),
    )
    return dossier.OnGrid(body=body, reply=reply, array=array, quality=quality)


def judged_everywhere(brief: Brief) -> Brief:
    """Same brief, its region the whole body: a small region may hold no voxel of the coarser grid."""
    everywhere = brief.imaging.model_copy(update={"region": WholeBodyRegion(least_depth_m=0.0)})
    return brief.model_copy(update={"imaging": everywhere})


def coarse_voxel_m(brief: Brief) -> float:
    """Voxel of the second grid, on which uncertainty is judged. [m]"""
    return brief.body.voxel_m * brief.computation.coarse_voxel_ratio


def _layout(brief: Brief, body: bodies.Body, coarse_body: bodies.Body, means: Means) -> layouts.Layout:
    """The array laid out; zero coupling is searched for, then again with what the body did to that layout."""
    coupling, segments = loop_coupling(brief), brief.computation.segments_per_element
    layout = layouts.arrange(
        brief.array, body, segments_per_element=segments, coupling=coupling, progress=means.progress
    )
    for _ in range(_SEARCHES_WITH_BODY if brief.array.asks_for_zero_coupling else 0):
        loops = fields.closed_loops([element.vertices_m for element in layout.elements])
        reactance = _reply(brief, coarse_body, loops, means).impedance_ohm.imag
        loaded = replace(coupling, body_reactance_ohm=(reactance + reactance.T) / 2)
        layout = layouts.arrange(
            brief.array, body, segments_per_element=segments, coupling=loaded, near=layout, progress=means.progress
        )
    return layout


def _reply(brief: Brief, body: bodies.Body, sources: fields.BodySources, means: Means) -> fields.BodyReply:
    means.progress.note(
        f"body {body.name}: {' x '.join(str(n) for n in body.grid.shape)} voxels of {body.grid.spacing_m * 1e3:g} mm "
        f"at {body.frequency_hz / 1e6:.2f} MHz"
    )
    return fields.reply_to_sources(
        body,
        sources,
        face_rule=fields.FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )


def _ultimates(
    brief: Brief, found: dossier.OnGrid, driven: DrivenArray, means: Means
) -> tuple[imaging.UltimateQuality, ...]:
    """Hold the array against the best of all sources, on the grid on which it was found."""
    if isinstance(brief.imaging.ultimate, NoUltimate):
        return ()
    shells = fields.shell_replies(
        brief.imaging.ultimate,
        body=found.body,
        layout=driven.dressed.layout,
        array=driven.sources,
        face_rule=fields.FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )
    return tuple(
        imaging.ultimate_quality(shell, brief.imaging, brief.scanner, body=found.body, quality=found.quality)
        for shell in shells
    )


def _change_over_band(brief: Brief, dressed: conductors.DressedLayout, coarse: fields.BodyReply, means: Means) -> float:
    """Largest relative change of what the body adds to the first element, uniform current, to the ends of the band."""
    first_loop = fields.closed_loops([dressed.layout.elements[0].vertices_m])

    def resistance_ohm(frequency_hz: float) -> float:
        body = bodies.place(brief.body, frequency_hz=frequency_hz, voxel_m=coarse_voxel_m(brief))
        return float(_reply(brief, body, first_loop, means).noise_resistance_ohm[0, 0].real)

    middle_hz, fraction = brief.scanner.frequency_hz, brief.computation.band_fraction
    in_loop_mode = coarse.excitation is fields.Excitation.LOOP_MODE  # whose first source is this very loop
    middle = float(coarse.noise_resistance_ohm[0, 0].real) if in_loop_mode else resistance_ohm(middle_hz)
    return max(abs(resistance_ohm(middle_hz * end) / middle - 1) for end in (1 - fraction, 1 + fraction))
