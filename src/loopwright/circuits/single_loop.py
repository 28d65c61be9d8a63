r"""One element by itself as a ring: an impedance z round the loop, its gaps in series, its circuit across them.

One current passes all gaps and their voltages add up to z times it. With Y what the circuit puts across the gaps, m the
voltage at the channel per gap voltage and u_0 what the channel shows with the gaps shorted, a receiver sees

.. math:: u = u_\infty - \frac{b^2}{s + z},\qquad
    u_\infty = u_0 + m^T Y^{-1} m,\quad b = 1^T Y^{-1} m,\quad s = 1^T Y^{-1} 1.
"""

import numpy as np

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["alone_ohm", "equivalent_loop_ohm", "seen_with_loop_ohm"]


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
    open_ohm, transfer_ohm, gaps_ohm = _ring(circuit, frequency_hz)
    return open_ohm - transfer_ohm**2 / (gaps_ohm + loop_ohm)


def equivalent_loop_ohm(circuit: ElementCircuit, seen_ohm: complex, *, frequency_hz: float) -> complex:
    """Impedance round the loop with which the receiver sees what it sees in the array.

    Parameters
    ----------
    circuit : ElementCircuit
        Of the element.
    seen_ohm : complex
        What its receiver sees. [ohm]
    frequency_hz : float
        [Hz]
    """
    open_ohm, transfer_ohm, gaps_ohm = _ring(circuit, frequency_hz)
    return transfer_ohm**2 / (open_ohm - seen_ohm) - gaps_ohm


def _ring(circuit: ElementCircuit, frequency_hz: float) -> tuple[complex, complex, complex]:
    """u_inf, b and s. [ohm]"""
    seen = reduced(in_state(circuit, RECEIVING), frequency_hz, 0.0)
    m, ones = seen.channel_per_gap, np.ones(circuit.gap_count)
    per_gap_ohm = np.linalg.solve(seen.gap_siemens, np.stack((m, ones), axis=-1))
    open_ohm = complex(m @ per_gap_ohm[:, 0] + seen.channel_own_ohm)
    return open_ohm, complex(ones @ per_gap_ohm[:, 0]), complex(ones @ per_gap_ohm[:, 1])
