"""The wired array in the transmit field: every state that its wiring has, every single fault, ratings, diodes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.listing import states_of
from loopwright.circuits.outcome import CircuitOutcome
from loopwright.circuits.parts import CrossedDiodes, PinDiode, Resistor
from loopwright.circuits.readings.bench_readings import BenchReadings, Surroundings, bench_readings
from loopwright.circuits.states import (
    RECEIVING,
    UNPLUGGED,
    Diodes,
    ElementState,
    Plug,
)
from loopwright.circuits.under_field.diode_onset import DiodeOnset, diode_onsets
from loopwright.circuits.under_field.induced import port_emf_v, rotating_field_t
from loopwright.circuits.under_field.single_faults import SingleFault, single_faults
from loopwright.circuits.under_field.state_under_field import PartLoad, StateUnderField, state_under_field
from loopwright.circuits.under_field.stresses import Exceeded, ratings_exceeded, stresses
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.fields import PortNetwork
from loopwright.fields.rotating import Precession

__all__ = [
    "ArrayUnderField",
    "TrapAlone",
    "array_under_field",
    "in_transmit_field",
]

#: Fields at which crossed diodes are driven, from this share of the asked field to all of it.
_WEAKEST, _FIELDS = 1e-4, 65


@dataclass(frozen=True, slots=True, kw_only=True)
class TrapAlone:
    """One diode of every element conducting, no other: what its trap does by itself.

    Attributes
    ----------
    diode : str
    isolation_db : ndarray, shape (C,)
        Mean gap current of the tuned array with nothing plugged in, over that with the one trap; NaN where a circuit
        lacks it. [dB]
    """

    diode: str
    isolation_db: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayUnderField:
    """The array in a field; currents and voltages are peak, and go with the field unless diodes change.

    Attributes
    ----------
    b1_plus_t : float
        Peak B1+. [T]
    states : tuple of StateUnderField
        All elements alike, state after state; the tuned array with nothing acting is the last.
    detuned : tuple of str
        Names of those in which some diode conducts and the bias, where there is one and the plug is in, is on.
    tuned_a, matched_a : ndarray, shape (C,)
        Mean gap currents of the two references: all elements tuned with nothing plugged in and no diode acting; all
        with power-matched loads in place of their receivers. [A]
    traps : tuple of TrapAlone
    faults : tuple of SingleFault
    exceeded : dict of str to tuple of Exceeded
        Parts whose ratings do not stand twice above their stress, by state.
    pin_current_a : dict of str to ndarray, shape (C,)
        Radio-frequency current of every PIN diode, the larger of the states in which it is biased. [A]
    onsets : tuple of tuple of DiodeOnset
        For each element; nothing plugged in, the crossed diodes of all following the field.
    bench : BenchReadings
        What a bench reads of it.
    """

    b1_plus_t: float
    states: tuple[StateUnderField, ...]
    detuned: tuple[str, ...]
    tuned_a: NDArray[np.float64]
    matched_a: NDArray[np.float64]
    traps: tuple[TrapAlone, ...]
    faults: tuple[SingleFault, ...]
    exceeded: Mapping[str, tuple[Exceeded, ...]]
    pin_current_a: Mapping[str, NDArray[np.float64]]
    onsets: tuple[tuple[DiodeOnset, ...], ...]
    bench: BenchReadings

    def state(self, name: str) -> StateUnderField:
        """Return the state of this name.

        Raises
        ------
        KeyError
            If the wiring does not have it.
        """
        for state in self.states:
            if state.name == name:
                return state
        raise KeyError(name)

    @property
    def detuned_a(self) -> NDArray[np.float64]:
        """Largest gap current of each element over the detuned states, shape (C,); NaN where there are none. [A]"""
        currents = [[element.largest_current_a for element in self.state(name).elements] for name in self.detuned]
        return np.max(currents, axis=0) if currents else np.full(len(self.tuned_a), np.nan)

    @property
    def intact_a(self) -> NDArray[np.float64]:
        """Mean gap current of each element with nothing that acts, the others detuned: the larger, shape (C,). [A]"""
        return np.max([fault.current_a for fault in self.faults if fault.fault is None], axis=0)

    @property
    def least_intact_a(self) -> NDArray[np.float64]:
        """The smaller of the same, on which a fuse has to open whatever detunes the others, shape (C,). [A]"""
        return np.min([fault.current_a for fault in self.faults if fault.fault is None], axis=0)


def in_transmit_field(
    outcome: CircuitOutcome, network: PortNetwork, vertices_m: ArrayLike, *, b1_plus_t: float, sense: Precession
) -> ArrayUnderField:
    """Put the array into a uniform rotating field, its electric field along z.

    Parameters
    ----------
    outcome : CircuitOutcome
        The array with its circuits.
    network : PortNetwork
        Its wires.
    vertices_m : array_like, shape (N, 3)
        Nodes of all elements, one element after the other. [m]
    b1_plus_t : float
        Peak B1+. [T]
    sense : Precession
        Sense of precession of the spins, with which the field turns.
    """
    # Across an open gap stands the negative of the EMF in series with it; currents added to the field would be
    # turned round otherwise.
    open_v = -port_emf_v(network, vertices_m, rotating_field_t(b1_plus_t, sense=sense))
    return array_under_field(outcome, emf_v=open_v, b1_plus_t=b1_plus_t)


def array_under_field(outcome: CircuitOutcome, *, emf_v: ArrayLike, b1_plus_t: float) -> ArrayUnderField:
    """Tell what a field does to the array in all its states.

    Parameters
    ----------
    outcome : CircuitOutcome
        The array with its circuits.
    emf_v : array_like, shape (P,)
        Voltages that the field puts across the open gaps, peak. [V]
    b1_plus_t : float
        The field, peak B1+. [T]
    """
    circuits, f = outcome.circuits, outcome.ports.frequency_hz
    emf = np.asarray(emf_v, dtype=np.complex128)
    port_ohm = outcome.ports.at_operation_ohm
    states = states_of(circuits)
    found = tuple(state_under_field(port_ohm, circuits, s, emf_v=emf, frequency_hz=f) for s in states)
    detuned = tuple(state for state in states if _is_detuned(state, circuits))
    tuned_a = _means_a(outcome, circuits, UNPLUGGED, emf)
    return ArrayUnderField(
        b1_plus_t=b1_plus_t,
        states=found,
        detuned=tuple(state.name for state in detuned),
        tuned_a=tuned_a,
        matched_a=_matched_a(outcome, emf),
        traps=tuple(_traps(outcome, emf, tuned_a)),
        faults=single_faults(port_ohm, circuits, detuned or (RECEIVING,), emf_v=emf, frequency_hz=f),
        exceeded={s.name: _exceeded(outcome, s, emf) for s in detuned},
        pin_current_a=_pin_currents(circuits, [one for one, s in zip(found, states, strict=True)
                                               if s.pin_diodes is Diodes.CONDUCT]),
        onsets=_onsets(outcome, emf, b1_plus_t),
        bench=bench_readings(
            port_ohm,
            circuits,
            frequency_hz=f,
            surroundings=Surroundings.DETUNED if _has(circuits, PinDiode) else Surroundings.RECEIVING,
        ),
    )  # fmt: skip


def _is_detuned(state: ElementState, circuits: Sequence[ElementCircuit]) -> bool:
    if state.plug is Plug.IN and _has(circuits, PinDiode):
        return state.pin_diodes is Diodes.CONDUCT
    return Diodes.CONDUCT in (state.pin_diodes, state.crossed_diodes)


def _has(circuits: Sequence[ElementCircuit], kind: type[PinDiode] | type[CrossedDiodes]) -> bool:
    return bool(_diodes(circuits, kind))


def _diodes(circuits: Sequence[ElementCircuit], *kinds: type[PinDiode] | type[CrossedDiodes]) -> tuple[str, ...]:
    """Names of the diodes of these kinds, over all elements."""
    named = (b.name for c in circuits for b in c.branches if isinstance(b, Branch) and isinstance(b.part, kinds))
    return tuple(dict.fromkeys(named))


def _means_a(
    outcome: CircuitOutcome,
    circuits: Sequence[ElementCircuit],
    state: ElementState,
    emf: NDArray[np.complex128],
    receiver_siemens: ArrayLike | None = None,
) -> NDArray[np.float64]:
    """Mean gap current of each element, all in one state, shape (C,). [A]"""
    ports = outcome.ports
    solved = array_state(
        ports.at_operation_ohm,
        circuits,
        [state] * len(circuits),
        frequency_hz=ports.frequency_hz,
        receiver_siemens=receiver_siemens,
    )
    size = np.abs(gap_currents_a(solved, emf))
    return np.bincount(ports.port_element, weights=size) / np.bincount(ports.port_element)


def _matched_a(outcome: CircuitOutcome, emf: NDArray[np.complex128]) -> NDArray[np.float64]:
    return _means_a(outcome, outcome.circuits, RECEIVING, emf, 1 / outcome.receiving.seen_ohm.conj())


def _traps(outcome: CircuitOutcome, emf: NDArray[np.complex128], tuned_a: NDArray[np.float64]) -> list[TrapAlone]:
    found = []
    for diode in _diodes(outcome.circuits, PinDiode, CrossedDiodes):
        having = np.array([any(b.name == diode for b in circuit.branches) for circuit in outcome.circuits])
        closed = [_closed(c, diode) if has else c for c, has in zip(outcome.circuits, having.tolist(), strict=True)]
        isolation_db = 20 * np.log10(tuned_a / _means_a(outcome, closed, UNPLUGGED, emf))
        found.append(TrapAlone(diode=diode, isolation_db=np.where(having, isolation_db, np.nan)))
    return found


def _closed(circuit: ElementCircuit, diode: str) -> ElementCircuit:
    match circuit.part(diode):
        case PinDiode(forward_resistance_ohm=ohm, forward_inductance_h=h):
            return circuit.with_part(diode, Resistor(resistance_ohm=ohm, inductance_h=h))
        case CrossedDiodes(conducting_resistance_ohm=ohm):
            return circuit.with_part(diode, Resistor(resistance_ohm=ohm))
    return circuit


def _exceeded(outcome: CircuitOutcome, state: ElementState, emf: NDArray[np.complex128]) -> tuple[Exceeded, ...]:
    circuits, ports = outcome.circuits, outcome.ports
    solved = array_state(ports.at_operation_ohm, circuits, [state] * len(circuits), frequency_hz=ports.frequency_hz)
    return ratings_exceeded(circuits, stresses(solved, emf))


def _pin_currents(
    circuits: Sequence[ElementCircuit], biased: Sequence[StateUnderField]
) -> dict[str, NDArray[np.float64]]:
    found = {}
    for diode in _diodes(circuits, PinDiode):
        by_state = [[_current_a(element.parts, diode) for element in state.elements] for state in biased]
        found[diode] = np.max(by_state, axis=0)
    return found


def _current_a(parts: Sequence[PartLoad], name: str) -> float:
    return next((part.current_a for part in parts if part.name == name), float("nan"))


def _onsets(
    outcome: CircuitOutcome, emf: NDArray[np.complex128], b1_plus_t: float
) -> tuple[tuple[DiodeOnset, ...], ...]:
    return diode_onsets(
        outcome.ports.at_operation_ohm,
        outcome.circuits,
        open_v_per_t=emf / b1_plus_t,
        b1_plus_t=b1_plus_t * np.geomspace(_WEAKEST, 1, _FIELDS),
        frequency_hz=outcome.ports.frequency_hz,
    )
