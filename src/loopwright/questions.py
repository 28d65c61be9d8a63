"""What a brief may ask beside the array itself, answered from what the job has found."""

from statistics import median

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
        built=_built(brief, wired, dressed, network, found, means),
        worn=_worn(brief, wired, dressed, network, means),
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


def _built(
    brief: Brief,
    wired: circuits.CircuitOutcome | None,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    found: dossier.OnGrid,
    means: Means,
) -> circuits.BuiltSpread | None:
    """Draw arrays as they are built."""
    if brief.tolerances is None or wired is None:
        return None
    loaded_q = median(element.q_loaded for element in found.array.elements)
    return circuits.built_spread(
        brief.tolerances, wired, dressed=dressed, network=network, loaded_q=loaded_q, progress=means.progress
    )


def _worn(
    brief: Brief,
    wired: circuits.CircuitOutcome | None,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    means: Means,
) -> circuits.WornFamily | None:
    """See what the circuits cost all who wear the array."""
    if brief.family is None or wired is None:
        return None
    return circuits.worn_family(brief.family, wired, dressed=dressed, network=network, progress=means.progress)


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
