"""What a pair of probes reads of an element in its states, by each way of reading the curve."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from loopwright.circuits.array_circuit import array_state, receiver_admittances_siemens
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.readings.bench_readings import Quantity, Reference
from loopwright.circuits.readings.double_probe import ProbeCurve, ProbeReading, loop_curve
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, UNPLUGGED, ElementState
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["ProbeReadings", "probe_readings"]

_STATES = {
    Quantity.DECOUPLING: RECEIVING,
    Quantity.ACTIVE: ACTIVELY_DETUNED,
    Quantity.PASSIVE: PASSIVELY_DETUNED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeReadings:
    """Curves of one element, the others in one state.

    Attributes
    ----------
    references : dict of Reference to ProbeCurve
        What is compared with.
    curves : dict of Quantity to ProbeCurve
        With the preamplifier, and detuned.
    """

    references: dict[Reference, ProbeCurve]
    curves: dict[Quantity, ProbeCurve]

    def reading_db(self, quantity: Quantity, reference: Reference, reading: ProbeReading) -> float | None:
        """How far the curve of a state lies below its reference, both read in one way.

        Returns
        -------
        float or None
            None where the band holds no place to read one of them at. [dB]
        """
        held_against = self.references[reference].read_siemens(reading)
        found = self.curves[quantity].read_siemens(reading)
        if held_against is None or found is None:
            return None
        return float(20 * np.log10(held_against / found))


def probe_readings(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    *,
    element: int,
    others: ElementState,
    frequencies_hz: ArrayLike,
) -> ProbeReadings:
    """Hold probes before one element in all its states.

    Parameters
    ----------
    ports : ArrayPorts
        The open gaps.
    circuits : sequence of ElementCircuit
        One for each element.
    element : int
        Before which the probes are held, counted from zero.
    others : ElementState
        Of all other elements.
    frequencies_hz : array_like, shape (F,)
        Rising, within the sampled band. [Hz]

    Returns
    -------
    ProbeReadings
    """

    def states(own: ElementState) -> tuple[ElementState, ...]:
        return tuple(own if e == element else others for e in range(len(circuits)))

    def curve(own: ElementState, receiver_siemens: ArrayLike | None = None) -> ProbeCurve:
        return loop_curve(
            ports,
            circuits,
            states(own),
            element=element,
            frequencies_hz=frequencies_hz,
            receiver_siemens=receiver_siemens,
        )

    matched = receiver_admittances_siemens(circuits, states(RECEIVING))
    receiving = array_state(ports.at_operation_ohm, circuits, states(RECEIVING), frequency_hz=ports.frequency_hz)
    matched[element] = 1 / receiving.seen_ohm[element].conj()
    curves = {quantity: curve(state) for quantity, state in _STATES.items()}
    return ProbeReadings(
        references={
            Reference.MATCHED: curve(RECEIVING, matched),
            Reference.OPEN: curve(UNPLUGGED),
            Reference.DECOUPLED: curves[Quantity.DECOUPLING],
        },
        curves=curves,
    )
