"""Traps: an inductor that a conducting diode puts across a capacitor in the loop, both resonant together.

Whether a diode conducts is not decided here; what bias it takes belongs to the bias lines.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, CrossedDiodes, Inductor, PinDiode, Resistor
from loopwright.circuits.states import ElementState
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["LEAST_BLOCKING_OHM", "Trap", "isolation_db", "loop_currents_a", "trap_for_capacitor", "trap_for_inductor"]

#: A trap that blocks less than this wants company (common practice). [ohm]
LEAST_BLOCKING_OHM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Trap:
    """Capacitor, inductor and diode that are resonant at a frequency while the diode conducts.

    Attributes
    ----------
    capacitor, inductor : Capacitor, Inductor
    blocking_ohm : float
        Resistance that the closed trap puts into the loop. [ohm]
    diode_current_per_volt_s : float
        Current in the diode per volt across the trap. [S]
    notes : tuple of str
    """

    capacitor: Capacitor
    inductor: Inductor
    blocking_ohm: float
    diode_current_per_volt_s: float
    notes: tuple[str, ...]


def trap_for_capacitor(
    capacitor: Capacitor, inductor: Inductor, diode: PinDiode | CrossedDiodes, *, frequency_hz: float
) -> Trap:
    """Find the inductance that a capacitor needs.

    Parameters
    ----------
    capacitor : Capacitor
        In the loop's gap.
    inductor : Inductor
        Its quality and self-resonance; its inductance is found.
    diode : PinDiode or CrossedDiodes
        What closes the trap.
    frequency_hz : float
        [Hz]

    Returns
    -------
    Trap

    Raises
    ------
    OutsideModelError
        If the diode's own inductance is already too large, or no inductance from a tenth to three times the ideal one
        is resonant.
    """
    w = 2 * np.pi * frequency_hz
    ideal_h = float(1 / (w**2 * np.asarray(capacitor.capacitance_f)))
    through = _conducting(diode)
    if float(np.asarray(through.inductance_h)) >= ideal_h:
        raise OutsideModelError(
            f"the diode's own inductance leaves nothing of the {ideal_h * 1e9:.3g} nH that "
            f"{float(np.asarray(capacitor.capacitance_f)) * 1e12:.3g} pF are resonant with at {frequency_hz / 1e6:.4g} "
            "MHz: take a smaller capacitor"
        )

    def susceptance(inductance_h: float) -> float:
        total = _trap_siemens(capacitor, replace(inductor, inductance_h=inductance_h), through, frequency_hz)[0]
        return total.imag

    ladder = np.geomspace(0.1 * ideal_h, 3 * ideal_h, 200)
    signs = np.array([susceptance(h) for h in ladder.tolist()])
    rises = np.flatnonzero((signs[:-1] < 0) & (signs[1:] >= 0))
    if not rises.size:
        raise OutsideModelError(
            f"no inductance between {ladder[0] * 1e9:.3g} and {ladder[-1] * 1e9:.3g} nH makes the trap resonant at "
            f"{frequency_hz / 1e6:.4g} MHz: its loss, {float(np.asarray(through.resistance_ohm)):.3g} ohm in the "
            "diode, is too large beside the reactance, or its self-resonance too low"
        )
    found = float(brentq(susceptance, ladder[rises[0]], ladder[rises[0] + 1], xtol=1e-15 * ideal_h, rtol=1e-14))
    return _trap(capacitor, replace(inductor, inductance_h=found), through, frequency_hz)


def trap_for_inductor(
    capacitor: Capacitor, inductor: Inductor, diode: PinDiode | CrossedDiodes, *, frequency_hz: float
) -> Trap:
    """Find the capacitance that an inductor needs.

    Parameters
    ----------
    capacitor : Capacitor
        Its losses and rating; its capacitance is found.
    inductor : Inductor
        In series with the diode.
    diode : PinDiode or CrossedDiodes
        What closes the trap.
    frequency_hz : float
        [Hz]

    Returns
    -------
    Trap

    Raises
    ------
    OutsideModelError
        If inductor and diode together are not inductive.
    """
    through = _conducting(diode)
    branch = _branch_siemens(inductor, through, frequency_hz)
    w = 2 * np.pi * frequency_hz
    if branch.imag >= 0:
        raise OutsideModelError(
            f"{float(np.asarray(inductor.inductance_h)) * 1e9:.3g} nH is above its self-resonance at "
            f"{frequency_hz / 1e6:.4g} MHz: no capacitor is resonant with it"
        )

    def susceptance(capacitance_f: float) -> float:
        part = replace(capacitor, capacitance_f=capacitance_f)
        return complex(admittance_siemens(part, frequency_hz)).imag + branch.imag

    near_f = -branch.imag / w
    found = float(brentq(susceptance, 0.5 * near_f, 2 * near_f, xtol=1e-15 * near_f, rtol=1e-14))
    return _trap(replace(capacitor, capacitance_f=found), inductor, through, frequency_hz)


def _conducting(diode: PinDiode | CrossedDiodes) -> Resistor:
    if isinstance(diode, PinDiode):
        return Resistor(resistance_ohm=diode.forward_resistance_ohm, inductance_h=diode.forward_inductance_h)
    return Resistor(resistance_ohm=diode.conducting_resistance_ohm)


def _branch_siemens(inductor: Inductor, through: Resistor, frequency_hz: float) -> complex:
    """Inductor and conducting diode in series."""
    return complex(1 / (1 / admittance_siemens(inductor, frequency_hz) + 1 / admittance_siemens(through, frequency_hz)))


def _trap_siemens(
    capacitor: Capacitor, inductor: Inductor, through: Resistor, frequency_hz: float
) -> tuple[complex, complex]:
    branch = _branch_siemens(inductor, through, frequency_hz)
    return complex(admittance_siemens(capacitor, frequency_hz)) + branch, branch


def _trap(capacitor: Capacitor, inductor: Inductor, through: Resistor, frequency_hz: float) -> Trap:
    total, branch = _trap_siemens(capacitor, inductor, through, frequency_hz)
    blocking_ohm = 1 / total.real
    weak = f"it blocks {blocking_ohm:.3g} ohm; below {LEAST_BLOCKING_OHM:g} ohm a second trap is common practice"
    return Trap(
        capacitor=capacitor,
        inductor=inductor,
        blocking_ohm=blocking_ohm,
        diode_current_per_volt_s=abs(branch),
        notes=(weak,) if blocking_ohm < LEAST_BLOCKING_OHM else (),
    )


def loop_currents_a(gap_current_a: ArrayLike, port_element: NDArray[np.int64]) -> NDArray[np.complex128]:
    """Mean of each element's gap currents.

    Parameters
    ----------
    gap_current_a : array_like, shape (..., P)
        [A]
    port_element : ndarray of int, shape (P,)
        Element of each gap.

    Returns
    -------
    ndarray, shape (..., C)
        [A]
    """
    current = np.asarray(gap_current_a, dtype=np.complex128)
    member = port_element[:, None] == np.arange(port_element[-1] + 1)
    return np.asarray(current @ (member / member.sum(axis=0)))


def isolation_db(
    port_ohm: NDArray[np.complex128],
    circuits: Sequence[ElementCircuit],
    emf_v: ArrayLike,
    *,
    frequency_hz: float,
    detuned: ElementState,
    tuned: ElementState,
) -> NDArray[np.float64]:
    """By how much detuning holds each loop's current down, all other elements detuned in either case.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps. [ohm]
    circuits : sequence of ElementCircuit
        One per element.
    emf_v : array_like, shape (P,)
        Voltages induced in the open gaps. [V]
    frequency_hz : float
        [Hz]
    detuned, tuned : ElementState
        The two states to compare, ``ACTIVELY_DETUNED`` and ``UNPLUGGED`` for instance.

    Returns
    -------
    ndarray, shape (C,)
        Loop current of the one tuned element over that of the same element detuned. [dB]
    """
    owner = np.repeat(np.arange(len(circuits)), [circuit.gap_count for circuit in circuits])

    def currents(states: list[ElementState]) -> NDArray[np.complex128]:
        state = array_state(port_ohm, circuits, states, frequency_hz=frequency_hz)
        return loop_currents_a(gap_currents_a(state, emf_v), owner)

    all_detuned = [detuned] * len(circuits)
    quiet = currents(all_detuned)
    loud = [currents([*all_detuned[:e], tuned, *all_detuned[e + 1 :]])[e] for e in range(len(circuits))]
    return np.asarray(20 * np.log10(np.abs(np.array(loud) / quiet)))
