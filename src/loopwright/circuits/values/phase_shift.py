"""What turns the phase between an element and its receiver: a lumped phase shifter, or a length of line."""

from dataclasses import replace

import numpy as np

from loopwright.circuits.parts import Capacitor, Inductor, Line
from loopwright.circuits.ready import PartsKit
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.ground.errors import OutsideModelError

__all__ = ["behind_line", "behind_phase_shifter", "phase_shifter_values"]


def phase_shifter_values(phase_rad: float, *, reference_ohm: float, frequency_hz: float) -> tuple[float, float]:
    """Capacitance of each of two shunt capacitors, and inductance between them, that delay a wave.

    Parameters
    ----------
    phase_rad : float
        Delay, between nothing and half a turn. [rad]
    reference_ohm : float
        Impedance in which the shifter reflects nothing. [ohm]
    frequency_hz : float
        [Hz]

    Returns
    -------
    capacitance_f, inductance_h : float
        tan(phase / 2) / (w Z0) and Z0 sin(phase) / w. [F], [H]

    Notes
    -----
    Textbook: the chain matrix of the lossless pi equals that of a line of this delay at the one frequency.
    """
    if not 0 < phase_rad < np.pi:
        raise OutsideModelError(f"a low-pass pi delays by more than 0 and less than pi, not by {phase_rad:g} rad")
    w = 2 * np.pi * frequency_hz
    return float(np.tan(phase_rad / 2) / (w * reference_ohm)), float(reference_ohm * np.sin(phase_rad) / w)


def behind_phase_shifter(
    circuit: ElementCircuit, kit: PartsKit, *, capacitance_f: float, inductance_h: float
) -> ElementCircuit:
    """Put a low-pass pi between the circuit and its receiver.

    Parameters
    ----------
    circuit : ElementCircuit
        Whose receiver moves.
    kit : PartsKit
        Qualities.
    capacitance_f : float
        ``C phase near`` and ``C phase far``. [F]
    inductance_h : float
        ``L phase``. [H]

    Returns
    -------
    ElementCircuit
    """
    node, reference = circuit.channel
    capacitor = Capacitor(capacitance_f=capacitance_f, quality_factor=kit.capacitor_q)
    inductor = Inductor(inductance_h=inductance_h, quality_factor=kit.inductor_q)
    shifter = (
        Branch(name="C phase near", part=capacitor, between=(node, reference)),
        Branch(name="L phase", part=inductor, between=(node, "shifted")),
        Branch(name="C phase far", part=capacitor, between=("shifted", reference)),
    )
    return replace(circuit, branches=(*circuit.branches, *shifter), channel=("shifted", reference))


def behind_line(circuit: ElementCircuit, line: Line) -> ElementCircuit:
    """Put a piece of line, ``line``, between the circuit and its receiver, which then stands against its sheath.

    Parameters
    ----------
    circuit : ElementCircuit
        Whose receiver moves.
    line : Line
        The line; current on its outside is not in this model.

    Returns
    -------
    ElementCircuit
    """
    span = Span(name="line", line=line, near=circuit.channel, far=("line end", "sheath"))
    return replace(
        circuit,
        branches=(*circuit.branches, span),
        channel=("line end", "sheath"),
        returns=(*circuit.returns, "sheath"),
    )
