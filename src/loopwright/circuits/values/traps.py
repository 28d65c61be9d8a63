"""Traps: an inductor that a conducting diode puts across a capacitor in the loop, both resonant together.

Whether a diode conducts is not decided here; what bias it takes belongs to the bias lines.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, CrossedDiodes, Inductor, PinDiode, Resistor
from loopwright.ground.errors import OutsideModelError

__all__ = ["LEAST_BLOCKING_OHM", "Trap", "trap_for_capacitor"]

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
