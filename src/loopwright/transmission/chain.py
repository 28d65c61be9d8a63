"""What the array does while the scanner transmits, read aloud. The file of this folder to read first."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright import bodies, circuits, conductors, fields, limits
from loopwright.brief import Brief
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.faults.listing import fault_cases, normal_cases, transmit_conditions
from loopwright.circuits.states import BIAS_MISSING, ElementState
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.limits.heat_of_brief import heat_asked
from loopwright.limits.telling import received_open_v_per_t, sound_channels, tell_cases
from loopwright.transmission.closer import look_closer
from loopwright.transmission.outcome import outcome_of
from loopwright.transmission.question import Asked, asked_of
from loopwright.transmission.worn_lies import Lain, worn_lies
from loopwright.transmit.lie import Lie, lie_on_body
from loopwright.transmit.pairs_in_field import with_pairs_in_field

__all__ = ["while_transmitting"]


def while_transmitting(
    brief: Brief,
    *,
    dressed: conductors.DressedLayout,
    network: fields.PortNetwork,
    body: bodies.Body,
    circuit: circuits.CircuitOutcome | None,
    means: Means,
) -> limits.WhileTransmitting | None:
    """Put the array into the transmit field, in every condition and with every single fault.

    Parameters
    ----------
    brief : Brief
        What is asked.
    dressed : DressedLayout
        The array and its conductor.
    network : PortNetwork
        Its wires without body.
    body : Body
        On the grid of the brief.
    circuit : CircuitOutcome or None
        Its circuits.
    means : Means
        What fields are solved with.

    Returns
    -------
    WhileTransmitting or None
        None where the brief does not ask.

    Raises
    ------
    OutsideModelError, NotConvergedError
        When a model is asked for something it cannot tell.
    """
    if brief.transmit is None:
        return None
    if circuit is None or dressed.cable is not None:
        raise OutsideModelError(
            "transmit: what an array does while the scanner transmits follows from its circuits, and this array has "
            "none. Describe `circuit`; elements of coaxial line are not computed under the transmit field."
        )
    asked = asked_of(brief, brief.transmit, dressed, body, circuit, means)
    designed = _lie(asked, dressed, network, body, means)
    states = transmit_conditions(asked.circuit.circuits)
    worn = worn_lies(asked, designed, states, dressed=dressed, body=body, means=means)
    first = Lain(lie=designed, dressed=dressed, network=network, cases=_cases(asked, designed, states))
    lain = (first, *worn.lain)
    told = _told(asked, lain, means)
    heat = None
    if brief.heat is not None and asked.stack is not None:
        means.progress.note("heat of the hottest parts and conductors")
        # A film of liquid is a part of the wet array alone.
        with_all_parts = max((one.lie.driven for one in lain), key=lambda array: len(array.circuits[0].branches))
        heat = heat_asked(
            brief, brief.heat, asked.stack, dressed=dressed, array=with_all_parts, told=told, lines=asked.lines
        )
    found = look_closer(
        asked,
        told,
        [one.lie for one in lain for _ in one.cases],
        transmitting=[*(state.name for state in states), BIAS_MISSING.name],
        heat=heat,
    )
    return outcome_of(asked, designed, found, states, dressed, worn)


def _told(asked: Asked, lain: Sequence[Lain], means: Means) -> list[limits.CaseTold]:
    """Cases of all lies, their crossed diodes as the peak of the field makes them."""
    told: list[limits.CaseTold] = []
    sound = None
    for one in lain:
        means.progress.note(f"{len(one.cases)} cases {one.lie.wearing.value}, crossed diodes at the peak of the field")
        received = received_open_v_per_t(one.network, _nodes_m(one.dressed), asked.source.sense)
        told += tell_cases(
            one.lie,
            with_pairs_in_field(one.lie.driven, one.cases, peak_b1_plus_t=asked.exposure.peak_b1_plus_t),
            exposure=asked.exposure,
            region=asked.region,
            sar=asked.sar,
            received_v_per_t=received,
            lines=asked.lines,
            progress=means.progress,
            sound=sound,
        )
        # Whoever puts a carrier on wrongly is heard against the array as designed.
        sound = sound or sound_channels(one.lie.driven, received)
    return told


def _lie(
    asked: Asked, dressed: conductors.DressedLayout, network: fields.PortNetwork, body: bodies.Body, means: Means
) -> Lie:
    """Solve body and array together; another lie of the carrier is another network and another of these."""
    means.progress.note("array and body in the transmit field, full currents of all gaps")
    return lie_on_body(
        dressed,
        network,
        asked.circuit.circuits,
        source=asked.source,
        body=body,
        alone=asked.alone,
        temperatures=asked.circuit.ports.temperatures,
        other_series_resistance_ohm=asked.brief.conductor.other_series_resistance_ohm,
        face_rule=fields.FaceRule(asked.brief.computation.face_rule),
        relative_residual=asked.brief.computation.relative_residual,
        means=means,
    )


def _nodes_m(dressed: conductors.DressedLayout) -> NDArray[np.float64]:
    return np.concatenate([element.vertices_m for element in dressed.layout.elements])


def _cases(asked: Asked, lie: Lie, states: Sequence[ElementState]) -> tuple[ArrayCase, ...]:
    return (*normal_cases(asked.circuit.circuits), *_faults(asked, lie, states))


def _faults(asked: Asked, lie: Lie, states: Sequence[ElementState]) -> tuple[ArrayCase, ...]:
    lines = () if asked.brief.interface is None else asked.brief.interface.bias_lines
    return fault_cases(asked.circuit.circuits, names=lie.driven.names, bias_lines=lines, within=states)
