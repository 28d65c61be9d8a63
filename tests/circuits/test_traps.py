"""Traps: resonance, blocking resistance, isolation in the coupled array."""

import numpy as np
import pytest
from made_ports import made_ports
from ready_circuits import KIT, two_traps
from test_synthesis import ALL_THREE, solved

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, CrossedDiodes, Inductor, PinDiode
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, UNPLUGGED
from loopwright.circuits.under_field.state_under_field import state_under_field
from loopwright.circuits.values.traps import trap_for_capacitor
from loopwright.ground.errors import OutsideModelError

DIODE = PinDiode(forward_resistance_ohm=0.35, reverse_resistance_ohm=5e3, reverse_capacitance_f=0.3e-12)
COIL = Inductor(inductance_h=1e-9, quality_factor=120)


@pytest.mark.parametrize(
    ("frequency_hz", "capacitance_f", "printed_ohm", "digit_ohm"),
    [
        (123.2e6, 20e-12, 4.7e3, 100),
        (123.2e6, 33e-12, 2.3e3, 100),
        (123.2e6, 56e-12, 1.0e3, 100),
        (63.87e6, 33e-12, 5.8e3, 100),
        (63.87e6, 56e-12, 2.7e3, 100),
        (297.2e6, 10e-12, 3.6e3, 100),
        (297.2e6, 20e-12, 1.25e3, 10),
    ],
)
def test_blocking_resistance_is_that_of_the_trade(frequency_hz, capacitance_f, printed_ohm, digit_ohm):
    """X^2 / (wL/Q + Rd), inductor Q 120 and 0.35 ohm in the diode; a table of practice, printed to two figures."""
    trap = trap_for_capacitor(Capacitor(capacitance_f=capacitance_f), COIL, DIODE, frequency_hz=frequency_hz)
    assert trap.blocking_ohm == pytest.approx(printed_ohm, abs=0.6 * digit_ohm)
    reactance = 1 / (2 * np.pi * frequency_hz * capacitance_f)
    assert trap.blocking_ohm == pytest.approx(reactance**2 / (reactance / 120 + 0.35), rel=1e-3)
    assert bool(trap.notes) == (trap.blocking_ohm < 1000)


LEADED = PinDiode(
    forward_resistance_ohm=0.5, reverse_resistance_ohm=5e3, reverse_capacitance_f=1e-12, forward_inductance_h=2e-9
)
CROSSED = CrossedDiodes(conducting_resistance_ohm=0.8, blocking_resistance_ohm=3e3, blocking_capacitance_f=3e-12)


@pytest.mark.parametrize("diode", [LEADED, CROSSED], ids=["leaded", "crossed"])
def test_trap_is_resonant_with_all_its_losses(diode):
    f = 123.2e6
    coil = Inductor(inductance_h=1e-9, quality_factor=90, self_resonance_hz=700e6)
    trap = trap_for_capacitor(Capacitor(capacitance_f=30e-12, quality_factor=700), coil, diode, frequency_hz=f)
    series_ohm = 1 / admittance_siemens(trap.inductor, f)
    lead_h = diode.forward_inductance_h if isinstance(diode, PinDiode) else 0.0
    on_ohm = diode.forward_resistance_ohm if isinstance(diode, PinDiode) else diode.conducting_resistance_ohm
    through = series_ohm + on_ohm + 2j * np.pi * f * lead_h
    total = admittance_siemens(trap.capacitor, f) + 1 / through
    assert abs(total.imag) < 1e-9 * abs(1 / through)
    assert trap.blocking_ohm == pytest.approx(1 / total.real)
    assert trap.diode_current_per_volt_s == pytest.approx(abs(1 / through))


def test_traps_that_cannot_be_are_refused():
    f = 123.2e6
    long = PinDiode(
        forward_resistance_ohm=0.5, reverse_resistance_ohm=5e3, reverse_capacitance_f=1e-12, forward_inductance_h=60e-9
    )
    with pytest.raises(OutsideModelError, match="smaller capacitor"):
        trap_for_capacitor(Capacitor(capacitance_f=30e-12), COIL, long, frequency_hz=f)
    lossy = CrossedDiodes(conducting_resistance_ohm=90.0, blocking_resistance_ohm=3e3, blocking_capacitance_f=3e-12)
    with pytest.raises(OutsideModelError, match="90 ohm"):
        trap_for_capacitor(Capacitor(capacitance_f=30e-12), COIL, lossy, frequency_hz=f)


def isolation_db(ports, circuits, emf_v, state):
    """Of every element, all in one state."""
    found = state_under_field(ports.at_operation_ohm, circuits, state, emf_v=emf_v, frequency_hz=ports.frequency_hz)
    return np.array([element.isolation_db for element in found.elements])


def test_isolation_is_the_loop_resistance_against_the_blocking_resistance():
    """One loop: tuned it carries e / R, detuned e / (R + blocking), so the ratio tells the trap."""
    ports = made_ports(1)
    found = solved(ports, [two_traps()], ALL_THREE).circuits
    trap = trap_for_capacitor(
        found[0].part("C trap 3"), found[0].part("L trap 3"), KIT.pin_diode, frequency_hz=ports.frequency_hz
    )
    resonant = [found[0].with_part("L trap 3", trap.inductor)]
    emf = np.full(4, 10.0)
    isolated = isolation_db(ports, resonant, emf, ACTIVELY_DETUNED)
    tuned = array_state(ports.at_operation_ohm, resonant, [UNPLUGGED], frequency_hz=ports.frequency_hz)
    loud = np.abs(gap_currents_a(tuned, emf)).mean()
    expected = 20 * np.log10(loud * trap.blocking_ohm / 40.0)
    assert isolated[0] == pytest.approx(expected, abs=1.0)
    assert isolated[0] > 25


def test_a_trap_off_its_resonance_isolates_less():
    ports = made_ports(1)
    found = solved(ports, [two_traps()], ALL_THREE).circuits

    def isolated(factor, detuned):
        coil = found[0].part("L trap 3")
        value = Inductor(inductance_h=coil.inductance_h * factor, quality_factor=coil.quality_factor)
        changed = [circuit.with_part("L trap 3", value) for circuit in found]
        return isolation_db(ports, changed, np.full(4, 3.0), detuned)

    right = 1 / (2 * np.pi * ports.frequency_hz) ** 2 / 30e-12 / 51.8e-9
    assert isolated(right, ACTIVELY_DETUNED) > isolated(1.15 * right, ACTIVELY_DETUNED) + 3
    assert isolated(right, PASSIVELY_DETUNED) > 20
