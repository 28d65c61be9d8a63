"""Everything that the circuits of an array give, from one place: synthesis, states, sweeps."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import CircuitRequest, OwnWiringRequest
from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.gap_losses import with_gap_losses
from loopwright.circuits.loop_response import decoupling_db, loop_response
from loopwright.circuits.main_values import main_value
from loopwright.circuits.parts import CrossedDiodes, PinDiode
from loopwright.circuits.purchase import Purchase, purchase
from loopwright.circuits.readings.probe import ProbeResponse, probe_response
from loopwright.circuits.receivers.receiving import ReceivingArray, receive
from loopwright.circuits.requested import Start, circuits_of, wanted_of
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, ElementState
from loopwright.circuits.sweeps import ArraySweep, array_sweep
from loopwright.circuits.tuned.array import TunedArray
from loopwright.circuits.values.source_match import noise_figure_losses_db
from loopwright.circuits.values.synthesis import Synthesis, Wanted, synthesise
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.conductors import GapCapacitors
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork
from loopwright.fields.wires.polynomial import interpolate
from loopwright.ground.progress import Progress

__all__ = ["CIRCUIT_LIMITS", "CircuitOutcome", "as_written", "wire_up", "with_joints"]

#: Points of the sweep over the band of the ports; odd, so that the operating frequency is one of them.
SWEEP_POINTS = 161

#: What the model of circuits leaves out.
CIRCUIT_LIMITS = (
    "The body is that of the operating frequency over the whole band; conductors are solved over it.",
    (
        "Parts are as long as nothing: strays of pads, leads and of the board are outside the model unless they are "
        "written as parts."
    ),
    (
        "Wires that connect gaps at radio frequency, bias wires without chokes and bridges between elements are out of "
        "the model, and so are currents on the outside of lines."
    ),
    (
        "Diodes either conduct or do not; from which field crossed diodes begin to, and what the transmit field "
        "drives, is told under States and faults."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitOutcome:
    """The array with its circuits.

    Attributes
    ----------
    request : CircuitRequest
        As the brief asks.
    ports : ArrayPorts
        Conductors on the body, joints in series.
    wanted : Wanted
        Which parts were free, and for what.
    synthesis : Synthesis
        Circuits with their values, and what the receivers see.
    received : ReceivingArray
        All elements receiving, at the operating frequency, with all noise.
    bought : Purchase
        Values that are bought in place of those found, what they cost, and what to turn.
    sweep : ArraySweep
        Channels over the band.
    probes : tuple of ProbeResponse
        What two probes beside each element show, in every state that its circuit has.
    """

    request: CircuitRequest
    ports: ArrayPorts
    wanted: Wanted
    synthesis: Synthesis
    received: ReceivingArray
    bought: Purchase
    sweep: ArraySweep
    probes: tuple[ProbeResponse, ...]

    @property
    def circuits(self) -> tuple[ElementCircuit, ...]:
        """Circuits of the elements, their values found."""
        return self.synthesis.circuits

    @property
    def receiving(self) -> ArrayState:
        """All elements receiving, at the operating frequency."""
        return self.received.state

    @property
    def source_ohm(self) -> NDArray[np.complex128]:
        """What each receiver shall see, shape (C,). [ohm]"""
        return self.synthesis.wanted_ohm


def with_joints(ports: ArrayPorts, other_series_resistance_ohm: float) -> ArrayPorts:
    """Put joints in series with every element, the same at each of its gaps; their noise is the conductor's.

    Parameters
    ----------
    ports : ArrayPorts
        Conductors on the body.
    other_series_resistance_ohm : float
        Of one element. [ohm]
    """
    counts = np.bincount(ports.port_element)[ports.port_element]
    joints = np.diag(other_series_resistance_ohm / counts).astype(np.complex128)
    return replace(
        ports,
        impedance_ohm=ports.impedance_ohm + joints,
        resistances=replace(ports.resistances, conductor_ohm=ports.resistances.conductor_ohm + joints),
    )


def wire_up(
    request: CircuitRequest,
    network: PortNetwork,
    reply: BodyReply,
    *,
    tuned: TunedArray,
    other_series_resistance_ohm: float,
    gap_capacitors: GapCapacitors | None = None,
    progress: Progress,
) -> CircuitOutcome:
    """Wire the array as the brief asks, find the free values, and tell what it then does.

    Parameters
    ----------
    request : CircuitRequest
        The circuit of the brief.
    network : PortNetwork
        The conductors in air.
    reply : BodyReply
        What the body does to them.
    tuned : TunedArray
        The same array, each element tuned alone: where the search begins.
    other_series_resistance_ohm : float
        Joints of one element. [ohm]
    gap_capacitors : GapCapacitors or None
        What bridges the gaps in a ready wiring, where the brief tells it; parts of a wiring of one's own say it
        themselves.
    progress : Progress
        Told of the search.

    Raises
    ------
    OutsideModelError, NotConvergedError
        If the parts cannot do what is asked.
    """
    ports = with_joints(array_ports(network, reply, tuned.temperatures), other_series_resistance_ohm)
    starts = [
        Start(gap_count=e.gaps, capacitance_f=e.capacitance_f, resistance_ohm=e.resistance_ohm) for e in tuned.elements
    ]
    wanted, f0 = wanted_of(request), ports.frequency_hz
    gaps = None if isinstance(request, OwnWiringRequest) else gap_capacitors
    found = _found(ports, circuits_of(request, starts, frequency_hz=f0), wanted, gaps=gaps, progress=progress)
    states = [RECEIVING] * len(starts)
    band_hz = np.linspace(ports.frequencies_hz[0], ports.frequencies_hz[-1], SWEEP_POINTS)
    over_band = interpolate(ports.frequencies_hz, ports.impedance_ohm, band_hz)
    sweep = array_sweep(over_band, found.circuits, band_hz)
    return CircuitOutcome(
        request=request,
        ports=ports,
        wanted=wanted,
        synthesis=found,
        received=receive(ports, found.circuits, states, network=network, reply=reply),
        bought=purchase(request, ports, found, wanted, printed=gaps, progress=progress),
        sweep=sweep,
        probes=tuple(
            probe_response(
                sweep, circuit, element=element, seen_ohm=found.seen_ohm[element], detuned=_detuned_states(circuit)
            )
            for element, circuit in enumerate(found.circuits)
        ),
    )


def _found(
    ports: ArrayPorts,
    begun: Sequence[ElementCircuit],
    wanted: Wanted,
    *,
    gaps: GapCapacitors | None,
    progress: Progress,
) -> Synthesis:
    """Find the free values; then once more with the loss that capacitors of the values so found have."""
    if not wanted.free:
        return as_written(ports, begun, wanted)
    if gaps is None:
        return synthesise(ports, begun, wanted, progress=progress)
    found = synthesise(ports, [with_gap_losses(one, gaps) for one in begun], wanted, progress=progress)
    near = {
        name: [
            float(np.asarray(main_value(one, name))) if any(b.name == name for b in one.branches) else np.nan
            for one in found.circuits
        ]
        for name in wanted.free
    }
    circuits = [with_gap_losses(one, gaps) for one in found.circuits]
    return synthesise(ports, circuits, wanted, progress=progress, values=near)


def _detuned_states(circuit: ElementCircuit) -> tuple[ElementState, ...]:
    """States that the diodes of a circuit can bring about."""
    parts = [branch.part for branch in circuit.branches if isinstance(branch, Branch)]
    active = (ACTIVELY_DETUNED,) if any(isinstance(part, PinDiode) for part in parts) else ()
    passive = (PASSIVELY_DETUNED,) if any(isinstance(part, CrossedDiodes) for part in parts) else ()
    return active + passive


def as_written(ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted: Wanted) -> Synthesis:
    """Take circuits of which nothing is free as they are, and tell what they do.

    Parameters
    ----------
    ports : ArrayPorts
        Conductors on the body.
    circuits : sequence of ElementCircuit
        One for each element.
    wanted : Wanted
        Source against which they are held.
    """
    source = [
        wanted.source_ohm or (50.0 if one.receiver.noise is None else one.receiver.noise.best_source_ohm)
        for one in circuits
    ]
    states = [RECEIVING] * len(circuits)
    state = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=ports.frequency_hz)
    wanted_ohm = np.array(source, dtype=np.complex128)
    return Synthesis(
        circuits=tuple(circuits),
        wanted_ohm=wanted_ohm,
        seen_ohm=state.seen_ohm,
        noise_figure_loss_db=noise_figure_losses_db((one.receiver for one in circuits), state.seen_ohm),
        decoupling_db=decoupling_db(loop_response(state, wanted_ohm)),
        iterations=0,
        notes=("No part was free: every value is as written, and the match is what results.",),
    )
