"""What a brief may ask beside the array itself, answered from what the job has found."""

import numpy as np

from loopwright import circuits, conductors, designs, dossier, fields
from loopwright.brief import Brief
from loopwright.ground.means import Means

__all__ = ["answers_to_questions"]


def answers_to_questions(
    brief: Brief,
    *,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    found: dossier.OnGrid,
    means: Means,
) -> dossier.OnRequest:
    """Answer every question that the brief asks, and no other.

    Parameters
    ----------
    brief : Brief
        What is asked.
    dressed : DressedLayout
        The array and its conductor.
    network : PortNetwork
        The wires without body.
    found : OnGrid
        Answers on the grid of the brief.
    means : Means
        What further fields are solved with.

    Raises
    ------
    OutsideModelError, NotConvergedError
        When a model is asked for something it cannot tell.
    """
    wired = _wired(brief, network, found, means)
    return dossier.OnRequest(
        conductor_choice=_conductor_choice(brief, dressed, found, means),
        interface=_at_the_plugs(brief, dressed),
        circuit=wired,
        under_field=None if wired is None else _in_transmit_field(wired, dressed, network),
    )


def _wired(
    brief: Brief, network: fields.PortNetwork, found: dossier.OnGrid, means: Means
) -> circuits.CircuitOutcome | None:
    """Wire the array as the brief asks, and find the values of its parts."""
    if brief.circuit is None:
        return None
    return circuits.wire_up(
        brief.circuit,
        network,
        found.reply,
        tuned=found.array,
        other_series_resistance_ohm=brief.conductor.other_series_resistance_ohm,
        progress=means.progress,
    )


def _in_transmit_field(
    wired: circuits.CircuitOutcome, dressed: conductors.DressedLayout, network: fields.PortNetwork
) -> circuits.ArrayUnderField:
    """Put the wired array into the transmit field, in every state and with every part failed."""
    nodes_m = np.concatenate([element.vertices_m for element in dressed.layout.elements])
    return circuits.in_transmit_field(wired, network, nodes_m, b1_plus_t=wired.request.transmit_field_t)


def _conductor_choice(
    brief: Brief, dressed: conductors.DressedLayout, found: dossier.OnGrid, means: Means
) -> designs.ConductorChoice | None:
    """Hold the conductor against a rigid coil."""
    if brief.conductor_choice is None:
        return None
    return designs.choose_conductor(
        brief, brief.conductor_choice, body=found.body, layout=dressed.layout, array=found.array, means=means
    )


def _at_the_plugs(brief: Brief, dressed: conductors.DressedLayout) -> circuits.InterfaceCheck | None:
    """Hold the array against the scanner's interface."""
    if brief.interface is None:
        return None
    names = tuple(element.name for element in dressed.layout.elements)
    return circuits.check_interface(brief.interface, names, frequency_hz=brief.scanner.frequency_hz)
