"""Pictures of a run, drawn from its evidence."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.dossier import Evidence, PrintedEvidence, ScalarMap, display_unit
from loopwright.dossier.circuit_images import CORRELATIONS
from loopwright.formats.pictures.bars import resistance_picture
from loopwright.formats.pictures.benching import draw_bench
from loopwright.formats.pictures.choosing import break_even_picture
from loopwright.formats.pictures.cohort import draw_cohort
from loopwright.formats.pictures.curves import depth_picture, frequency_picture, plateau_picture
from loopwright.formats.pictures.designs import draw_comparison
from loopwright.formats.pictures.films import draped_pictures
from loopwright.formats.pictures.layouts import layout_picture
from loopwright.formats.pictures.loading import loading_picture
from loopwright.formats.pictures.matching import match_picture, probe_picture
from loopwright.formats.pictures.matrices import matrix_picture
from loopwright.formats.pictures.printed import printed_picture
from loopwright.formats.pictures.probes import probes_picture
from loopwright.formats.pictures.slices import colour_scale, slices_picture
from loopwright.formats.pictures.smith import smith_pictures
from loopwright.formats.pictures.spreading import causes_picture, worn_picture
from loopwright.formats.pictures.states import states_picture
from loopwright.formats.pictures.style import Picture
from loopwright.formats.pictures.transmit_faults import faults_picture, onset_picture

__all__ = ["Picture", "draw_bench", "draw_cohort", "draw_comparison", "draw_pictures"]


def draw_pictures(evidence: Evidence) -> tuple[Picture, ...]:
    """Draw every picture that the sections of the dossier name."""
    network, names = evidence.network, evidence.element_names
    maps = replace(evidence.maps, scalars=tuple(_on_paper(scalar) for scalar in evidence.maps.scalars))
    return (
        layout_picture(evidence.layout, maps),
        resistance_picture(network, element_names=names),
        *(() if evidence.conductor_choice is None else (break_even_picture(evidence.conductor_choice),)),
        _coupling(evidence),
        frequency_picture(network),
        _correlation(evidence),
        *(slices_picture(s, maps, colour_scale(s.kind, maps.scalars, maps.region)) for s in maps.scalars),
        depth_picture(maps),
        *(
            slices_picture(s, shell.maps, colour_scale(s.kind, shell.maps.scalars, shell.maps.region))
            for shell in evidence.shells
            for s in shell.maps.scalars
        ),
        *(plateau_picture(shell) for shell in evidence.shells),
        *_circuit(evidence),
        *_correlations_through_circuit(evidence),
        *(() if evidence.built is None else (causes_picture(evidence.built),)),
        *(() if evidence.loading is None else (loading_picture(evidence.loading),)),
        *draped_pictures(evidence.draped),
        *(() if evidence.worn is None else (worn_picture(evidence.worn),)),
        *_capacitors(evidence),
        *_transmit(evidence),
    )


def _transmit(evidence: Evidence) -> tuple[Picture, ...]:
    told = evidence.while_transmitting
    if told is None:
        return ()
    return (
        *((faults_picture(told),) if told.ranked else ()),
        *((onset_picture(told),) if told.diodes else ()),
        *((probes_picture(told, evidence.layout, evidence.maps),) if told.hot_places or told.probes else ()),
    )


def _circuit(evidence: Evidence) -> tuple[Picture, ...]:
    if evidence.circuit is None:
        return ()
    names = evidence.element_names
    return (
        *smith_pictures(evidence.circuit, element_names=names),
        match_picture(evidence.circuit, element_names=names),
        probe_picture(evidence.circuit, element_names=names),
        *(() if evidence.under_field is None else (states_picture(evidence.under_field),)),
    )


def _on_paper(scalar: ScalarMap) -> ScalarMap:
    """Return the map with its values in the unit that its axis will name."""
    return replace(scalar, values=scalar.values * display_unit(scalar.unit).per_si)


def _capacitors(evidence: Evidence) -> tuple[Picture, ...]:
    printed = evidence.capacitors
    return (printed_picture(printed),) if isinstance(printed, PrintedEvidence) and printed.gaps else ()


def _coupling(evidence: Evidence) -> Picture:
    size = np.abs(evidence.network.coupling_coefficient)
    off = size[~np.eye(len(size), dtype=bool)]
    return matrix_picture(
        size,
        element_names=evidence.element_names,
        name="coupling",
        caption="Size of the coupling coefficient between elements.",
        label="|coupling coefficient| [1]",
        largest=float(off.max()) if off.size and off.max() > 0 else 1.0,
    )


def _correlation(evidence: Evidence) -> Picture:
    return _correlation_picture(
        evidence, evidence.noise.correlation, "noise_correlation", "Size of the noise correlation between elements."
    )


def _correlations_through_circuit(evidence: Evidence) -> tuple[Picture, ...]:
    if evidence.circuit is None or evidence.circuit_cost is None:
        return ()
    received, at = evidence.circuit.received, "Size of the noise correlation at the receivers"
    with_them, without = CORRELATIONS
    return (
        _correlation_picture(evidence, received.correlation, with_them, f"{at}, with preamplifier noise."),
        _correlation_picture(
            evidence, received.correlation_without_receivers, without, f"{at}, without preamplifier noise."
        ),
    )


def _correlation_picture(
    evidence: Evidence, correlation: NDArray[np.complexfloating], name: str, caption: str
) -> Picture:
    size = np.abs(correlation)
    off = size[~np.eye(len(size), dtype=bool)]
    return matrix_picture(
        size,
        element_names=evidence.element_names,
        name=name,
        caption=caption,
        label="|noise correlation| [1]",
        largest=0.5 if off.max(initial=0.0) <= 0.5 else 1.0,  # two fixed ends, so that dossiers can be compared
    )
