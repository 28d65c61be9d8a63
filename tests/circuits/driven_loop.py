"""One loop of one gap, its trap closed by crossed diodes, tuned: the smallest array that clips."""

import numpy as np

from loopwright.circuits.parts import Capacitor, CrossedDiodes, Inductor, Preamplifier
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.wiring import Branch, ElementCircuit

F = 127.7e6
W = 2 * np.pi * F
#: 80 mm of copper, 8 ohm of a body.
LOOP_OHM = 8.18 + 143.5j
#: Of that loop in a rotating field, its normal across the magnet: omega times its area. [V/T]
EMF_V_PER_T = W * np.pi * 0.04**2
PAIR = CrossedDiodes(conducting_resistance_ohm=0.5, blocking_resistance_ohm=50e3, blocking_capacitance_f=4e-12)
TRAP_F, TRAP_H = 30e-12, 51.8e-9


def tuned_ohm():
    """Impedance of the trap while its pair blocks; the capacitor in series takes what is left of the loop's."""
    return 1 / (1j * W * TRAP_F + 1 / (1j * W * TRAP_H + 1 / (1j * W * PAIR.blocking_capacitance_f)))


def circuit(pair=PAIR):
    tune_f = 1 / (W * (LOOP_OHM.imag + tuned_ohm().imag))
    return ElementCircuit(
        gap_count=1,
        branches=(
            Branch(name="C tune", part=Capacitor(capacitance_f=tune_f, quality_factor=1500), between=("gap 1", "mid")),
            Branch(name="C trap", part=Capacitor(capacitance_f=TRAP_F, quality_factor=1500),
                   between=("mid", "return 1")),
            Branch(name="L trap", part=Inductor(inductance_h=TRAP_H, quality_factor=150), between=("mid", "inside")),
            Branch(name="D", part=pair, between=("inside", "return 1")),
        ),
        channel=("gap 1", "return 1"),
        receiver=Preamplifier(input_ohm=2 + 0j),
    )  # fmt: skip


def clamped_without_inductor():
    """The pair across the capacitor itself: there the capacitor holds the voltage, and no inductor the current."""
    ends = ("gap 1", "return 1")
    return ElementCircuit(
        gap_count=1,
        branches=(
            Branch(name="C", part=Capacitor(capacitance_f=1 / (W * LOOP_OHM.imag), quality_factor=1500), between=ends),
            Branch(name="D", part=PAIR, between=ends),
        ),
        channel=ends,
        receiver=Preamplifier(input_ohm=2 + 0j),
    )


def driven(solve, own=None, **keys):
    """``drive_array`` or ``driven_onsets`` on that loop, nothing plugged in."""
    return solve(
        np.array([[LOOP_OHM]]), [own or circuit()], [UNPLUGGED], open_v_per_t=[-EMF_V_PER_T], frequency_hz=F, **keys
    )
