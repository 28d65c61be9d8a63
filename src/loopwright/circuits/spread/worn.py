"""The array as it is worn: other bodies, other shapes, warmer, without neighbours; one fixed network for all."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import FamilyRequest, OwnWiringRequest
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.loop_response import decoupling_db, loop_response
from loopwright.circuits.outcome import CircuitOutcome
from loopwright.circuits.spread.families import (
    FamilyMember,
    FamilyPenalty,
    RobustMatch,
    family_penalty,
    robust_match,
)
from loopwright.circuits.spread.loop_resonance import loop_resonances_hz
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.wiring import ElementCircuit
from loopwright.conductors import DressedLayout, resistance_ratio
from loopwright.fields.wires import PortNetwork, solve_network
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress
from loopwright.layouts import Bend, Element, Flex, Girth, flexed

__all__ = ["AS_LAID", "WORN_LIMITS", "WornFamily", "WornState", "worn_family", "worn_states"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Name of the shape of the brief.
AS_LAID = "as laid"

#: Band within which the resonance of a flexed element is sought, to either side, and the samples of it.
_BAND_FRACTION, _SAMPLES = 0.15, 5
#: Length of the mean of all normals below which an array surrounds what it lies on.
_ONE_SIDE = 0.5

#: What the family leaves out.
WORN_LIMITS = (
    "A load is the body's part of the impedance times a number, its reactance with it; no other body is solved.",
    (
        "A flexed array has its wires solved again; what the body adds is that of the array as laid, gap by gap. "
        "Width, thickness and resistance of the conductor, and printed capacitors, stay as they are."
    ),
    (
        "The penalty is the rise of each preamplifier's noise figure over its least. Loss in conductor and parts, "
        "which weighs more on a lightly loaded element, and noise that neighbours couple in come on top."
    ),
    "Resonance: each element by itself, unplugged, its parts as they are and all other gaps open.",
)
_ROBUST_LIMIT = (
    "The robust values are judged by the worst penalty alone. Preamplifier decoupling with them is told; detuning and "
    "preferred values need a run of their own."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WornState:
    """One state: its name, where it comes from, and the impedance between the gaps.

    Attributes
    ----------
    name : str
    shape : str
        The shape's name.
    load : float
        What multiplies the body's part.
    frequencies_hz : ndarray, shape (F,)
        The frequency of the run in the middle. [Hz]
    port_ohm : ndarray, shape (F, P, P)
        Between the gaps, body included. [ohm]
    """

    name: str
    shape: str
    load: float
    frequencies_hz: Floats
    port_ohm: Complexes

    @property
    def member(self) -> FamilyMember:
        """As a member at the frequency of the run."""
        return FamilyMember(name=self.name, port_ohm=self.port_ohm[len(self.frequencies_hz) // 2])


@dataclass(frozen=True, slots=True, kw_only=True)
class WornFamily:
    """One fixed network over a family.

    Attributes
    ----------
    request : FamilyRequest
    states : tuple of WornState
        The first is the array as laid on the body of the brief.
    free : tuple of str
        Parts that a robust match may change.
    penalty : FamilyPenalty
        Of the network that was found for the first state.
    resonance_hz : ndarray, shape (states, E)
        Not a number where it has left the band. [Hz]
    robust : RobustMatch or None
        Where it was asked for.
    decoupling_db : ndarray, shape (2, E)
        Preamplifier decoupling in the first state, of the network that was found and of the robust one. [dB]
    notes : tuple of str
    """

    request: FamilyRequest
    states: tuple[WornState, ...]
    free: tuple[str, ...]
    penalty: FamilyPenalty
    resonance_hz: Floats
    robust: RobustMatch | None
    decoupling_db: Floats
    notes: tuple[str, ...]

    @property
    def shift_hz(self) -> Floats:
        """Resonance of every state less that of the first, shape (states, E). [Hz]"""
        return np.asarray(self.resonance_hz - self.resonance_hz[0])


def worn_family(
    request: FamilyRequest,
    outcome: CircuitOutcome,
    *,
    dressed: DressedLayout,
    network: PortNetwork,
    progress: Progress,
) -> WornFamily:
    """See what one fixed network costs all who wear the array, and how much less a robust one does.

    Parameters
    ----------
    request : FamilyRequest
        The family of the brief.
    outcome : CircuitOutcome
        The array with its circuits, matched as laid on the body of the brief.
    dressed : DressedLayout
        The array as laid.
    network : PortNetwork
        Its wires.
    progress : Progress
        Told of states and search.

    Returns
    -------
    WornFamily

    Raises
    ------
    OutsideModelError
        If a preamplifier has no noise parameters, or an array that surrounds the body shall be bent.
    """
    ports, circuits = outcome.ports, outcome.circuits
    states = worn_states(request, ports, dressed=dressed, network=network, progress=progress)
    members = [state.member for state in states]
    resonance_hz = np.stack(
        [
            loop_resonances_hz(
                state.frequencies_hz,
                state.port_ohm,
                circuits,
                port_element=ports.port_element,
                near_hz=ports.frequency_hz,
            )
            for state in states
        ]
    )
    robust, free = None, request.robust_parts or _tuning_parts(outcome)
    if request.robust == "yes" and free:
        robust = robust_match(members, circuits, free=free, frequency_hz=ports.frequency_hz, progress=progress)
    return WornFamily(
        request=request,
        states=states,
        free=free,
        penalty=family_penalty(members, circuits, frequency_hz=ports.frequency_hz),
        resonance_hz=resonance_hz,
        robust=robust,
        decoupling_db=np.stack(
            [_decoupling_db(outcome, one) for one in (circuits, circuits if robust is None else robust.circuits)]
        ),
        notes=(*WORN_LIMITS, *(() if robust is None else (_ROBUST_LIMIT,))),
    )


def _tuning_parts(outcome: CircuitOutcome) -> tuple[str, ...]:
    """What a robust network changes unless told: nothing that may block the current of the loop."""
    free = tuple(outcome.wanted.free)
    if isinstance(outcome.request, OwnWiringRequest):
        return outcome.bought.trimmed or free
    return tuple(name for name in free if name.startswith("C tune"))


def _decoupling_db(outcome: CircuitOutcome, circuits: Sequence[ElementCircuit]) -> Floats:
    ports, states = outcome.ports, [RECEIVING] * len(circuits)
    state = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=ports.frequency_hz)
    return np.asarray(decoupling_db(loop_response(state, outcome.source_ohm)))


def worn_states(
    request: FamilyRequest, ports: ArrayPorts, *, dressed: DressedLayout, network: PortNetwork, progress: Progress
) -> tuple[WornState, ...]:
    """Impedance between the gaps in every state of the family.

    Parameters
    ----------
    request : FamilyRequest
        The family of the brief.
    ports : ArrayPorts
        The array as laid on the body, joints in series.
    dressed : DressedLayout
        The array as laid.
    network : PortNetwork
        Its wires in air.
    progress : Progress
        Told of every shape that is solved.

    Returns
    -------
    tuple of WornState
        As laid with the load of the brief; its other loads; every other shape with every load; the elements alone; the
        other temperatures.
    """
    joints_ohm = np.diag(_joints_ohm(dressed, ports.port_element))
    body_ohm = ports.at_operation_ohm - network.impedance_ohm[len(network.frequencies_hz) // 2] - joints_ohm
    loads = (1.0, *(load for load in request.loads if load != 1.0))
    states = [
        WornState(
            name=f"{shape}, load {load:g}",
            shape=shape,
            load=load,
            frequencies_hz=wires.frequencies_hz,
            port_ohm=wires.impedance_ohm + joints_ohm + load * body_ohm,
        )
        for shape, wires in _shapes(request, dressed, network, progress)
        for load in loads
    ]
    first = states[0]
    if request.neighbours == "away too" and ports.element_count > 1:
        own = ports.port_element[:, None] == ports.port_element
        states.append(replace(first, name="each element alone", port_ohm=first.port_ohm * own))
    conductor_ohm = ports.resistances.conductor_ohm - joints_ohm
    for at_k in request.coil_temperatures_k:
        rise = request.temperature_coefficient * (at_k - ports.temperatures.coil_temperature_k)
        more = resistance_ratio(dressed.cross_section, ports.frequency_hz, resistivity_ratio=1 + rise) - 1
        warm_ohm = first.port_ohm + more * conductor_ohm
        states.append(replace(first, name=f"conductors at {at_k - 273.15:.0f} °C", port_ohm=warm_ohm))
    return tuple(states)


def _joints_ohm(dressed: DressedLayout, port_element: NDArray[np.int64]) -> Floats:
    """Joints in series with every gap, as they were put to the ports. [ohm]"""
    return np.asarray(dressed.other_series_resistance_ohm / np.bincount(port_element)[port_element])


def _shapes(
    request: FamilyRequest, dressed: DressedLayout, network: PortNetwork, progress: Progress
) -> Iterator[tuple[str, PortNetwork]]:
    yield AS_LAID, network
    for name, flex in _flexes(request, dressed.layout.elements):
        progress.note(f"family: wires {name}")
        layout = replace(dressed.layout, elements=flexed(dressed.layout.elements, flex))
        yield (
            name,
            solve_network(
                replace(dressed, layout=layout),
                network.frequency_hz,
                band_fraction=_BAND_FRACTION,
                frequency_count=_SAMPLES,
            ),
        )


def _flexes(request: FamilyRequest, elements: Sequence[Element]) -> Iterator[tuple[str, Flex]]:
    """Flexes by name; a strain of nothing is the array as laid."""
    centres, axis = np.array([element.centre_m for element in elements]), request.axis
    x, y, z = centres.mean(axis=0).tolist()
    for strain in request.stretches:
        if strain:
            yield f"{100 * strain:g} % along", Girth(around=0.0, along=strain, axis=axis, fixed_m=(x, y, z))
    for strain in request.girths:
        if strain:
            yield f"{100 * strain:g} % round", Girth(around=strain, along=0.0, axis=axis, fixed_m=(x, y, z))
    if not request.bends_m:
        return
    normals = np.array([element.normal for element in elements])
    if np.linalg.norm(normals.mean(axis=0)) < _ONE_SIDE:
        raise OutsideModelError("this array surrounds what it lies on: write `girths` in place of `bends`")
    middle = elements[int(np.argmin(np.linalg.norm(centres - (x, y, z), axis=1)))]
    for radius_m in request.bends_m:
        bend = Bend(radius_m=radius_m, axis=axis, touching_m=middle.centre_m, normal=middle.normal)
        yield f"bent to {1e3 * radius_m:g} mm", bend
