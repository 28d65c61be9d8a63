"""What a brief may ask beside the array itself, answered from what the job has found."""

from statistics import median

import numpy as np

from loopwright import circuits, conductors, designs, dossier, fields, imaging
from loopwright.brief import Brief
from loopwright.fields.rotating import Precession
from loopwright.ground.means import Means
from loopwright.transmission import while_transmitting

__all__ = ["answers_to_questions", "loop_coupling", "wired_array"]


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
    circuit = wired_array(brief, network, found.reply, found.array, means)
    return dossier.OnRequest(
        conductor_choice=_conductor_choice(brief, dressed, found, means),
        interface=_at_the_plugs(brief, dressed),
        circuit=circuit,
        circuit_cost=_imaged(brief, circuit, found),
        under_field=None if circuit is None else _in_transmit_field(brief, circuit, dressed, network),
        while_transmitting=while_transmitting(
            brief, dressed=dressed, network=network, body=found.body, circuit=circuit, means=means
        ),
        built=_built(brief, circuit, dressed, network, found, means),
        worn=_worn(brief, circuit, dressed, network, means),
        coaxial=_coaxial(dressed, network, found),
        loading=_loading(brief, means),
        draped=_draped(brief, dressed, found),
    )


def wired_array(
    brief: Brief, network: fields.PortNetwork, reply: fields.BodyReply, array: circuits.TunedArray, means: Means
) -> circuits.CircuitOutcome | None:
    """Wire the array as the brief asks, and find the values of its parts."""
    if brief.circuit is None:
        return None
    return circuits.wire_up(
        brief.circuit,
        network,
        reply,
        tuned=array,
        other_series_resistance_ohm=brief.conductor.other_series_resistance_ohm,
        gap_capacitors=None
        if brief.capacitors is None
        else conductors.GapCapacitors(request=brief.capacitors, frequency_hz=brief.scanner.frequency_hz),
        progress=means.progress,
    )


def _coaxial(
    dressed: conductors.DressedLayout, network: fields.PortNetwork, found: dossier.OnGrid
) -> circuits.CoaxialOutcome | None:
    """Tell what elements of coaxial line are, where the array has them."""
    if dressed.cable is None:
        return None
    return circuits.coaxial_outcome(network, found.reply, dressed=dressed, temperatures=found.array.temperatures)


def _imaged(brief: Brief, circuit: circuits.CircuitOutcome | None, found: dossier.OnGrid) -> imaging.CircuitCost | None:
    """Predict the images through the circuits, and hold them against those without."""
    if circuit is None:
        return None
    received = imaging.predict(brief.imaging, brief.scanner, array=circuit.received, reply=found.reply, body=found.body)
    return imaging.circuit_cost(found.quality, received)


def _in_transmit_field(
    brief: Brief, wired: circuits.CircuitOutcome, dressed: conductors.DressedLayout, network: fields.PortNetwork
) -> circuits.ArrayUnderField:
    """Put the wired array into the transmit field, in every state and with every part failed."""
    nodes_m = np.concatenate([element.vertices_m for element in dressed.layout.elements])
    return circuits.in_transmit_field(
        wired,
        network,
        nodes_m,
        b1_plus_t=wired.request.transmit_field_t,
        sense=Precession(brief.scanner.reception_sign),
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


def loop_coupling(brief: Brief) -> fields.LoopCoupling:
    """How elements of this conductor couple without a body."""
    section = conductors.cross_section_of(brief.conductor)
    return fields.LoopCoupling(
        conductor_radius_m=conductors.equivalent_radius_m(section),
        frequency_hz=brief.scanner.frequency_hz,
        inner_reactance_ohm_per_m=conductors.inner_reactance_ohm_per_m(section, brief.scanner.frequency_hz),
    )


def _draped(brief: Brief, dressed: conductors.DressedLayout, found: dossier.OnGrid) -> designs.DrapedArray | None:
    """Tell how the array lies on the body, where the brief names what carries it."""
    return designs.draped_array(
        brief.array,
        brief.conductor,
        dressed.layout,
        found.body.solid,
        coupling=loop_coupling(brief),
        frequency_hz=brief.scanner.frequency_hz,
    )


def _loading(brief: Brief, means: Means) -> designs.LoadingEquivalence | None:
    """Hold phantoms against patients, on one element."""
    if brief.loading_equivalence is None:
        return None
    return designs.loading_equivalence(brief, brief.loading_equivalence, means)


def _at_the_plugs(brief: Brief, dressed: conductors.DressedLayout) -> circuits.InterfaceCheck | None:
    """Hold the array against the scanner's interface."""
    if brief.interface is None:
        return None
    names = tuple(element.name for element in dressed.layout.elements)
    return circuits.check_interface(brief.interface, names, frequency_hz=brief.scanner.frequency_hz)
