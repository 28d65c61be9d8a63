"""Arrays as they are built: what the brief lets stray, drawn, and how far the rates of misplaced elements carry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import CircuitRequest, TolerancesRequest
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.outcome import CircuitOutcome
from loopwright.circuits.parts import Capacitor, Inductor, Resistor
from loopwright.circuits.requested_parts import part_tolerance
from loopwright.circuits.spread.spreads import ImpedanceSpread, PartSpread, Shape, SharedBy, conductor_spread
from loopwright.circuits.spread.tolerance import Limits, ToleranceStudy, tolerance_study
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.source_match import noise_figure_losses_db
from loopwright.circuits.wiring import ElementCircuit, Span
from loopwright.conductors import DressedLayout
from loopwright.fields.wires import PortNetwork, impedance_gradients_ohm, linearisation_error, solve_network
from loopwright.ground.progress import Progress
from loopwright.layouts import moved_elements, placement_moves

__all__ = ["BUILT_LIMITS", "BuiltSpread", "PlacementCheck", "built_spread", "requested_causes"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Misplaced arrays that are solved again, beside their rates.
_CHECKED = 3

#: What the study leaves out.
BUILT_LIMITS = (
    (
        "Nothing is trimmed after it is built: values that were found are built to their tolerance. A trimmer that is "
        "set on the bench takes much of the spread away, so the yield is that of untrimmed arrays."
    ),
    "Misplaced elements change the wires; what the body adds stays that of the elements as drawn.",
    (
        "Noise loss is the rise of each preamplifier's noise figure over its least for what it sees. Noise of lossy "
        "parts and noise that neighbours couple in are not judged here."
    ),
    "The place of the best match is read from a parabola through three frequencies, at most three steps away.",
    "Diodes and preamplifiers are all alike.",
)
_CUT = (
    "Printed capacitors are cut one by one before they are built in: each strays by half its finest tab, not by the "
    "tolerance of the circuit."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementCheck:
    """Misplaced arrays solved again, beside what their rates tell.

    Attributes
    ----------
    error : ndarray, shape (checked,)
        Largest difference of the change of impedance over its largest, open gaps. [1]
    told_db, solved_db : ndarray, shape (checked, E)
        Noise loss by the rates, and with the wires solved again; parts as they are meant. [dB]
    """

    error: Floats
    told_db: Floats
    solved_db: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltSpread:
    """Outcome of the draws that a brief asks for; ``placement`` is None where elements are not misplaced."""

    request: TolerancesRequest
    limits: Limits
    study: ToleranceStudy
    placement: PlacementCheck | None
    notes: tuple[str, ...]


def built_spread(
    request: TolerancesRequest,
    outcome: CircuitOutcome,
    *,
    dressed: DressedLayout,
    network: PortNetwork,
    loaded_q: float,
    progress: Progress,
) -> BuiltSpread:
    """Draw arrays as they are built.

    Parameters
    ----------
    request : TolerancesRequest
        What strays, by the brief.
    outcome : CircuitOutcome
        The array with its circuits as meant.
    dressed : DressedLayout
        The array as drawn.
    network : PortNetwork
        Its wires.
    loaded_q : float
        Quality of the elements on the body: half a bandwidth parts the frequencies at which a draw is solved.
    progress : Progress
        Told of the draws.

    Returns
    -------
    BuiltSpread

    Raises
    ------
    OutsideModelError
        If a preamplifier has no noise parameters.
    """
    ports = outcome.ports
    step_hz = min(ports.frequency_hz / (2 * loaded_q), 0.99 * (ports.frequencies_hz[-1] - ports.frequency_hz))
    cut_to = outcome.bought.cut_to
    parts, missing = requested_causes(request, outcome.request, outcome.circuits, cut_to=cut_to)
    ways_m = _placements_m(request, dressed)
    places = _place_cause(dressed, network, ways_m, ports.frequency_hz + step_hz * np.array([-1.0, 0.0, 1.0]))
    conductor = conductor_spread(
        "conductor resistance", request.conductor_resistance, ports.resistances.conductor_ohm, ports.port_element
    )
    limits = Limits(
        noise_loss_db=request.noise_loss_db,
        reflection_db=np.inf if request.reflection_db is None else request.reflection_db,
        shift_hz=np.inf if request.shift_hz is None else request.shift_hz,
    )
    study = tolerance_study(
        ports,
        outcome.circuits,
        (*parts, *places, conductor),
        limits=limits,
        step_hz=step_hz,
        count=request.draws,
        seed=request.seed,
        progress=progress,
    )
    check = _checked(places[0], ways_m, outcome, dressed, network, request.seed) if places else None
    notes = [f"{name}: no element has such parts, so nothing strays." for name in missing]
    if cut_to and request.own_tolerances == "counted":
        notes.append(_CUT)
    return BuiltSpread(request=request, limits=limits, study=study, placement=check, notes=(*notes, *BUILT_LIMITS))


def requested_causes(
    request: TolerancesRequest,
    circuit: CircuitRequest,
    circuits: Sequence[ElementCircuit],
    *,
    cut_to: Mapping[str, float],
) -> tuple[tuple[PartSpread, ...], tuple[str, ...]]:
    """What strays of the parts, by the brief.

    Parameters
    ----------
    request : TolerancesRequest
        What the brief lets stray.
    circuit : CircuitRequest
        The circuit of the brief, with the tolerance of its parts.
    circuits : sequence of ElementCircuit
        The circuits that it became.
    cut_to : mapping of str to float
        How far printed capacitors may be off once they are cut, by name.

    Returns
    -------
    (tuple of PartSpread, tuple of str)
        One cause for every part of the wiring that has a tolerance, then those that the brief adds; and the names of
        added ones that no element has a part for.
    """
    branches = {b.name: b for one in circuits for b in one.branches}
    kinds = {name: _kind(branch) for name, branch in branches.items()}
    own = [
        PartSpread(name=f"{name} ({100 * tolerance:.3g} %)", parts=(name,), relative=tolerance)
        for name, branch in branches.items()
        if request.own_tolerances == "counted"
        and (tolerance := cut_to.get(name, part_tolerance(circuit, branch))) is not None
    ]
    added, missing = [], []
    for told in request.parts:
        names = tuple(name for name, kind in kinds.items() if name in told.parts or kind == told.kind is not None)
        if not names:
            missing.append(told.name)
            continue
        added.append(
            PartSpread(
                name=told.name,
                parts=names,
                relative=told.spread,
                shape=Shape(told.shape),
                shared_by=SharedBy(told.shared_by),
            )
        )
    return (*own, *added), tuple(missing)


def _kind(branch: object) -> str | None:
    if isinstance(branch, Span):
        return "lines"
    kinds = {Capacitor: "capacitors", Inductor: "inductors", Resistor: "resistors"}
    return kinds.get(type(getattr(branch, "part", None)))


def _placements_m(request: TolerancesRequest, dressed: DressedLayout) -> Floats:
    """Way of every corner for one standard deviation of each move, shape (moves, corners, 3). [m]"""
    elements = dressed.layout.elements
    if len(elements) == 1:  # moved as a whole in air it stays what it was
        return np.zeros((0, len(elements[0].vertices_m), 3))
    sizes_m = np.array([element.size_m for element in elements])
    shift, height = request.placement_m, request.height_m
    # About the normal an element is off by as much at its rim as in its place.
    amounts = np.stack([np.full_like(sizes_m, a) for a in (shift, shift, height)] + [2 * shift / sizes_m], axis=1)
    ways = placement_moves(elements).displacement_m * amounts.reshape(-1, 1, 1)
    return np.asarray(ways[amounts.ravel() > 0])


def _place_cause(
    dressed: DressedLayout, network: PortNetwork, ways_m: Floats, frequencies_hz: Floats
) -> tuple[ImpedanceSpread, ...]:
    if not len(ways_m):
        return ()
    change = impedance_gradients_ohm(dressed, network, ways_m, frequencies_hz=frequencies_hz.tolist())
    return (ImpedanceSpread(name="placement", change_ohm=change),)


def _checked(
    places: ImpedanceSpread,
    ways_m: Floats,
    outcome: CircuitOutcome,
    dressed: DressedLayout,
    network: PortNetwork,
    seed: int,
) -> PlacementCheck:
    """Solve a few misplaced arrays again."""
    variables = np.random.default_rng((seed, 1)).standard_normal((_CHECKED, len(ways_m)))
    errors, told, solved = [], [], []
    for one in variables:
        moved = _solved(dressed, network, np.tensordot(one, ways_m, axes=1))
        change = np.tensordot(one, places.change_ohm[1], axes=1)
        errors.append(linearisation_error(network, moved, change))
        told.append(_loss_db(outcome, change))
        solved.append(_loss_db(outcome, moved.impedance_ohm[len(moved.frequencies_hz) // 2] - _middle(network)))
    return PlacementCheck(error=np.array(errors), told_db=np.array(told), solved_db=np.array(solved))


def _solved(dressed: DressedLayout, network: PortNetwork, way_m: Floats) -> PortNetwork:
    moved = replace(dressed.layout, elements=moved_elements(dressed.layout.elements, way_m))
    wires = replace(dressed, layout=moved)
    return solve_network(wires, network.frequency_hz, band_fraction=1e-3, frequency_count=1)


def _middle(network: PortNetwork) -> Complexes:
    return np.asarray(network.impedance_ohm[len(network.frequencies_hz) // 2])


def _loss_db(outcome: CircuitOutcome, change_ohm: Complexes) -> Floats:
    ports, circuits = outcome.ports, outcome.circuits
    states = [RECEIVING] * len(circuits)
    state = array_state(ports.at_operation_ohm + change_ohm, circuits, states, frequency_hz=ports.frequency_hz)
    return np.asarray(noise_figure_losses_db((one.receiver for one in circuits), state.seen_ohm))
