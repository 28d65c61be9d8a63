"""One element by itself as a ring: an impedance round the loop, its gaps in series, its circuit across them."""

import numpy as np

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import NotConvergedError

__all__ = ["alone_ohm", "equivalent_loop_ohm", "seen_with_loop_ohm"]

_MOST_STEPS = 50


def alone_ohm(ports: ArrayPorts, element: int) -> complex:
    """What the gaps of an element show together for one uniform current, the gaps of all others open. [ohm]"""
    own = np.flatnonzero(ports.port_element == element)
    return complex(ports.at_operation_ohm[np.ix_(own, own)].sum())


def seen_with_loop_ohm(circuit: ElementCircuit, loop_ohm: complex, *, frequency_hz: float) -> complex:
    """What the receiver of an element sees whose conductor is one impedance, the same current in all its gaps.

    Parameters
    ----------
    circuit : ElementCircuit
        Its circuit; the receiver is taken away.
    loop_ohm : complex
        Round the loop. [ohm]
    frequency_hz : float
        [Hz]
    """
    seen = reduced(in_state(circuit, RECEIVING), frequency_hz, 0.0)
    gaps = circuit.gap_count
    # Y v + i = m and the voltages add up to z i, for one ampere into the channel.
    matrix = np.zeros((gaps + 1, gaps + 1), dtype=np.complex128)
    matrix[:gaps, :gaps] = seen.gap_siemens
    matrix[:gaps, gaps] = 1
    matrix[gaps, :gaps] = 1
    matrix[gaps, gaps] = -loop_ohm
    voltage = np.linalg.solve(matrix, np.append(seen.channel_per_gap, 0))[:gaps]
    return complex(seen.channel_per_gap @ voltage + seen.channel_own_ohm)


def equivalent_loop_ohm(
    circuit: ElementCircuit, seen_ohm: complex, *, near_ohm: complex, frequency_hz: float
) -> complex:
    """Impedance round the loop with which the receiver sees what it sees in the array.

    Parameters
    ----------
    circuit : ElementCircuit
        Of the element.
    seen_ohm : complex
        What its receiver sees. [ohm]
    near_ohm : complex
        Where the search begins. [ohm]
    frequency_hz : float
        [Hz]

    Raises
    ------
    NotConvergedError
        If no impedance is found.
    """
    before, now = near_ohm, near_ohm * 1.001
    miss_before = seen_with_loop_ohm(circuit, before, frequency_hz=frequency_hz) - seen_ohm
    for _ in range(_MOST_STEPS):
        miss = seen_with_loop_ohm(circuit, now, frequency_hz=frequency_hz) - seen_ohm
        if abs(miss) < 1e-10 * abs(seen_ohm):
            return now
        if miss == miss_before:
            break
        before, now, miss_before = now, now - miss * (now - before) / (miss - miss_before), miss
    raise NotConvergedError(
        f"no loop is found with which the receiver sees {seen_ohm:.4g} ohm; near {near_ohm:.4g} ohm"
    )
