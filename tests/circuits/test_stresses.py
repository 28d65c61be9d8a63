"""Voltages and currents of parts while a transmitter drives the loops."""

from dataclasses import replace

import numpy as np
import pytest
from made_ports import lumped_ports, made_ports
from ready_circuits import random_ports_ohm, two_traps
from test_array_circuit import amplifier_on_the_loop

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, Preamplifier
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED, in_state
from loopwright.circuits.under_field.stresses import ratings_exceeded, stresses
from loopwright.circuits.wiring import Branch, ElementCircuit

F = 127.7e6


def test_untuned_loop_has_its_voltage_across_the_gap_and_a_tuned_one_times_the_reactance():
    """A loop of R, resonant with C in one gap: current e / R, and e X / R across the capacitor."""
    resistance, inductance_h = 5.0, 150e-9
    ports = lumped_ports(inductance_h=inductance_h, resistance_ohm=resistance, gaps=1)
    w = 2 * np.pi * ports.frequency_hz
    capacitor = Capacitor(capacitance_f=1 / (w**2 * inductance_h))
    circuit = ElementCircuit(
        gap_count=1,
        branches=(Branch(name="C", part=capacitor, between=("gap 1", "return 1")),),
        channel=("gap 1", "return 1"),
        receiver=Preamplifier(input_ohm=50 + 0j),
    )
    state = array_state(ports.at_operation_ohm, [circuit], [UNPLUGGED], frequency_hz=ports.frequency_hz)
    (found,) = stresses(state, [40.344])
    assert found.current_a == pytest.approx(40.344 / resistance, rel=1e-9)  # 8.07 A peak
    assert found.voltage_v == pytest.approx(40.344 * w * inductance_h / resistance, rel=1e-9)


@pytest.mark.parametrize("states", [[UNPLUGGED] * 3, [ACTIVELY_DETUNED, UNPLUGGED, UNPLUGGED]])
def test_parts_and_conductors_take_up_what_the_induced_voltages_give(states):
    """Energy balance, the receivers away."""
    rng = np.random.default_rng(6)
    circuits = [two_traps(), amplifier_on_the_loop(), two_traps(tune_f=22e-12)]
    port_ohm = random_ports_ohm(rng, 10)
    state = array_state(port_ohm, circuits, states, frequency_hz=F, receiver_siemens=np.zeros(3))
    emf = rng.normal(size=10) + 1j * rng.normal(size=10)
    current = gap_currents_a(state, emf)
    given = -np.vdot(current, emf).real / 2
    found = stresses(state, emf)
    names = [(e, b.name) for e, circuit in enumerate(circuits) for b in circuit.branches]
    assert [(one.element, one.part) for one in found] == names
    taken = np.vdot(current, port_ohm @ current).real / 2
    for one in found:
        branch = next(b for b in in_state(circuits[one.element], states[one.element]).branches if b.name == one.part)
        taken += one.voltage_v**2 * admittance_siemens(branch.part, F).real / 2
    assert taken == pytest.approx(given, rel=1e-9)


def test_capacitor_current_is_its_voltage_over_its_reactance():
    ports = made_ports(2)
    state = array_state(
        ports.at_operation_ohm, [two_traps()] * 2, [ACTIVELY_DETUNED] * 2, frequency_hz=ports.frequency_hz
    )
    emf = np.full(8, 5.0)
    for one in stresses(state, emf):
        if one.part == "C trap 3":
            w = 2 * np.pi * ports.frequency_hz
            assert one.current_a == pytest.approx(one.voltage_v * w * 30e-12, rel=1e-5)
        if one.part == "D trap 3":
            assert one.voltage_v == pytest.approx(0.35 * one.current_a, rel=1e-9)


def rated(circuit, voltage_v):
    rated = replace(circuit.part("C trap 3"), rated_voltage_v=voltage_v)
    coil = replace(circuit.part("L trap 3"), rated_current_a=0.01)
    diode = replace(circuit.part("D trap 3"), rated_current_a=0.02, rated_voltage_v=500)
    return circuit.with_part("C trap 3", rated).with_part("L trap 3", coil).with_part("D trap 3", diode)


def test_ratings_are_told_with_names_and_margins_the_worst_first():
    ports = made_ports(2)
    circuits = [rated(two_traps(), 1e6), rated(two_traps(), 10.0)]
    state = array_state(ports.at_operation_ohm, circuits, [ACTIVELY_DETUNED] * 2, frequency_hz=ports.frequency_hz)
    found = stresses(state, np.full(8, 10.0))
    by_name = {(one.element, one.part): one for one in found}
    exceeded = ratings_exceeded(circuits, found)
    assert {(one.stress.element, one.stress.part, one.unit) for one in exceeded} == {
        (1, "C trap 3", "V"), (0, "L trap 3", "A"), (1, "L trap 3", "A"), (0, "D trap 3", "A"), (1, "D trap 3", "A")
    }  # fmt: skip
    assert [one.margin for one in exceeded] == sorted(one.margin for one in exceeded)
    capacitor = next(one for one in exceeded if one.stress.part == "C trap 3")
    assert capacitor.margin == pytest.approx(10 / by_name[1, "C trap 3"].voltage_v)
    assert "element 2, C trap 3" in capacitor.sentence
    assert not ratings_exceeded(circuits, found, least_margin=1e-9)


def test_margin_of_two_is_asked_for():
    circuit = two_traps()
    ports_ohm = random_ports_ohm(np.random.default_rng(1), 4)
    state = array_state(ports_ohm, [circuit], [RECEIVING], frequency_hz=F)
    found = stresses(state, np.ones(4))
    volts = next(one.voltage_v for one in found if one.part == "C match")
    for factor, count in ((1.9, 1), (2.1, 0)):
        part = replace(circuit.part("C match"), rated_voltage_v=factor * volts)
        assert len(ratings_exceeded([circuit.with_part("C match", part)], found)) == count
    assert isinstance(circuit.part("L series"), Inductor)
