"""Preamplifier decoupling and detuning as loop currents, by every reference that the trade holds them against.

One volt is induced round one loop, spread evenly over its gaps; the mean of its gap currents is the loop current. A
lossless match halves the current of the open tuned loop, so the two usual references for the decoupling lie 6.02 dB
apart; what detuning adds to the decoupling is far less than what it takes from the tuned loop. A figure without its
reference says little.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state, gap_currents_a, receiver_admittances_siemens
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, UNPLUGGED, ElementState
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["BenchReadings", "Quantity", "Reference", "Surroundings", "bench_readings", "definition"]

Complexes = NDArray[np.complex128]


class Quantity(Enum):
    """What brings the loop current down."""

    DECOUPLING = "preamplifier decoupling"
    ACTIVE = "active detuning"
    PASSIVE = "passive detuning"


class Reference(Enum):
    """The loop current that a reading is held against."""

    MATCHED = "the loop with a power-matched load in place of the preamplifier"
    OPEN = "the tuned loop with nothing plugged in and no diode acting"
    DECOUPLED = "the loop with its preamplifier in place, no diode acting"


class Surroundings(Enum):
    """What the other elements do."""

    ALONE = "its neighbours' gaps all open"
    DETUNED = "all others actively detuned, preamplifiers in place"
    RECEIVING = "all others receiving, preamplifiers in place"


_STATES = {
    Quantity.DECOUPLING: (RECEIVING, "its preamplifier in place"),
    Quantity.ACTIVE: (ACTIVELY_DETUNED, "its PIN diodes conducting, preamplifier in place"),
    Quantity.PASSIVE: (PASSIVELY_DETUNED, "its crossed diodes conducting, nothing plugged in"),
}


def definition(quantity: Quantity, reference: Reference) -> str:
    """Say in one sentence what is over what."""
    return (
        f"{quantity.value}: loop current of {reference.value}, over the loop current with {_STATES[quantity][1]}, at "
        "the operating frequency for the same induced voltage"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchReadings:
    """Loop currents of every element in the states that a bench compares.

    Attributes
    ----------
    surroundings : Surroundings
    matched_siemens, open_siemens : ndarray, shape (C,)
        Loop current per volt round the loop, in the two reference states. [S]
    state_siemens : dict of Quantity to ndarray, shape (C,)
        The same with preamplifier, and in the detuned states. [S]
    """

    surroundings: Surroundings
    matched_siemens: Complexes
    open_siemens: Complexes
    state_siemens: dict[Quantity, Complexes]

    def reading_db(self, quantity: Quantity, reference: Reference) -> NDArray[np.float64]:
        """How far the loop current comes down, by element, shape (C,). [dB]"""
        held_against = {
            Reference.MATCHED: self.matched_siemens,
            Reference.OPEN: self.open_siemens,
            Reference.DECOUPLED: self.state_siemens[Quantity.DECOUPLING],
        }[reference]
        return np.asarray(20 * np.log10(np.abs(held_against / self.state_siemens[quantity])))


def bench_readings(
    port_ohm: Complexes, circuits: Sequence[ElementCircuit], *, frequency_hz: float, surroundings: Surroundings
) -> BenchReadings:
    """Loop currents of every element, one at a time in each state.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included, element after element. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    frequency_hz : float
        Operating frequency. [Hz]
    surroundings : Surroundings
        What the other elements do.

    Returns
    -------
    BenchReadings
    """
    first = np.cumsum([0, *(circuit.gap_count for circuit in circuits)])
    found = []
    for element, circuit in enumerate(circuits):
        own = np.arange(first[element], first[element + 1])
        if surroundings is Surroundings.ALONE:
            loop = _Loop(port_ohm[np.ix_(own, own)], (circuit,), 0, own - own[0], (), frequency_hz)
        else:
            others = ACTIVELY_DETUNED if surroundings is Surroundings.DETUNED else RECEIVING
            loop = _Loop(port_ohm, tuple(circuits), element, own, (others,) * (len(circuits) - 1), frequency_hz)
        found.append(
            [loop.siemens(RECEIVING, loop.matched_siemens()), loop.siemens(UNPLUGGED)]
            + [loop.siemens(state) for state, _ in _STATES.values()]
        )
    matched, unloaded, *states = np.array(found, dtype=np.complex128).T
    return BenchReadings(
        surroundings=surroundings,
        matched_siemens=matched,
        open_siemens=unloaded,
        state_siemens=dict(zip(_STATES, states, strict=True)),
    )


@dataclass(frozen=True, slots=True)
class _Loop:
    """One element among the others."""

    port_ohm: Complexes
    circuits: tuple[ElementCircuit, ...]
    element: int
    own: NDArray[np.intp]
    others: tuple[ElementState, ...]
    frequency_hz: float

    def _states(self, own: ElementState) -> tuple[ElementState, ...]:
        return (*self.others[: self.element], own, *self.others[self.element :])

    def matched_siemens(self) -> complex:
        """Admittance of the load that takes most power out of the receiving loop."""
        state = array_state(self.port_ohm, self.circuits, self._states(RECEIVING), frequency_hz=self.frequency_hz)
        return complex(1 / state.seen_ohm[self.element].conj())

    def siemens(self, own: ElementState, load_siemens: complex | None = None) -> complex:
        """Mean gap current per volt round the loop."""
        states = self._states(own)
        at_channel = receiver_admittances_siemens(self.circuits, states)
        if load_siemens is not None:
            at_channel[self.element] = load_siemens
        state = array_state(
            self.port_ohm, self.circuits, states, frequency_hz=self.frequency_hz, receiver_siemens=at_channel
        )
        emf = np.zeros(len(self.port_ohm))
        emf[self.own] = 1 / len(self.own)
        # Gap currents run against the sense in which an open gap's voltage would drive its circuit.
        return complex(-gap_currents_a(state, emf)[self.own].mean())
