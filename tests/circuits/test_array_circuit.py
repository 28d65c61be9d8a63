import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ready_circuits import random_ports_ohm, two_traps

from loopwright.circuits.array_circuit import array_state, gap_currents_a, source_ohm
from loopwright.circuits.nodal import nodal_admittance_siemens
from loopwright.circuits.parts import Capacitor, Line, Preamplifier, Resistor
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED, PartOff, PartOpen, PartShort, in_state
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, complaints, nodes_of
from loopwright.ground.errors import OutsideModelError

F = 127.7e6
STATES = (RECEIVING, ACTIVELY_DETUNED, UNPLUGGED)


def amplifier_on_the_loop():
    return ElementCircuit(
        gap_count=2,
        branches=(
            Branch(name="C", part=Capacitor(capacitance_f=20e-12), between=("gap 2", "return 2")),
            Branch(name="C1", part=Capacitor(capacitance_f=40e-12), between=("gap 1", "return 1")),
        ),
        channel=("gap 1", "return 1"),
        receiver=Preamplifier(input_ohm=900 - 200j),
    )


def at_the_end_of_a_line():
    return ElementCircuit(
        gap_count=1,
        branches=(
            Branch(name="C", part=Capacitor(capacitance_f=30e-12, quality_factor=900), between=("gap 1", "return 1")),
            Span(
                name="line",
                line=Line(length_m=0.2, characteristic_ohm=50, velocity_factor=0.7, loss_db_per_m=0.4),
                near=("gap 1", "return 1"),
                far=("end", "sheath"),
            ),
            Branch(name="C end", part=Capacitor(capacitance_f=15e-12), between=("end", "sheath")),
        ),
        channel=("end", "sheath"),
        receiver=Preamplifier(input_ohm=2 + 1j),
        returns=("sheath",),
    )


def mixed_array(rng, count):
    choice = (two_traps, amplifier_on_the_loop, at_the_end_of_a_line)
    circuits = [choice[n]() for n in rng.integers(0, 3, count)]
    states = [STATES[n] for n in rng.integers(0, 3, count)]
    return circuits, states, random_ports_ohm(rng, sum(circuit.gap_count for circuit in circuits))


def in_one_matrix(port_ohm, circuits, states, receiver_siemens):
    """All nodes of all elements in one admittance matrix with the conductors' inverted: the textbook way."""
    sizes = [len(nodes_of(circuit)) for circuit in circuits]
    start = np.cumsum([0, *sizes])
    matrix = np.zeros((start[-1], start[-1]), dtype=complex)
    gaps, channels = [], []
    for number, (circuit, state) in enumerate(zip(circuits, states, strict=True)):
        here = slice(start[number], start[number + 1])
        matrix[here, here] = nodal_admittance_siemens(in_state(circuit, state), F)
        gaps += range(start[number], start[number] + circuit.gap_count)
        channels.append(start[number] + nodes_of(circuit).index(circuit.channel[0]))
        matrix[channels[-1], channels[-1]] += receiver_siemens[number]
    matrix[np.ix_(gaps, gaps)] += np.linalg.inv(port_ohm)
    return matrix, gaps, channels


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 5))
def test_reduction_equals_one_matrix_of_all_nodes(seed, count):
    circuits, states, port_ohm = mixed_array(np.random.default_rng(seed), count)
    solved = array_state(port_ohm, circuits, states, frequency_hz=F)
    matrix, gaps, channels = in_one_matrix(port_ohm, circuits, states, solved.receiver_siemens)
    inverse = np.linalg.inv(matrix)
    assert solved.channel_ohm == pytest.approx(inverse[np.ix_(channels, channels)], rel=1e-9, abs=1e-9)
    emf = np.exp(1j * np.arange(len(gaps)))
    voltage = inverse[:, gaps] @ np.linalg.solve(port_ohm, emf)
    assert solved.port_current.T @ emf == pytest.approx(voltage[channels], rel=1e-9, abs=1e-11)
    into_conductor = np.linalg.solve(port_ohm, voltage[gaps] - emf)
    assert gap_currents_a(solved, emf) == pytest.approx(into_conductor, rel=1e-8, abs=1e-11)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 5))
def test_channels_are_reciprocal_and_passive(seed, count):
    circuits, states, port_ohm = mixed_array(np.random.default_rng(seed), count)
    channel = array_state(port_ohm, circuits, states, frequency_hz=F).channel_ohm
    assert channel == pytest.approx(channel.T, rel=1e-9, abs=1e-9)
    assert np.linalg.eigvalsh((channel + channel.conj().T) / 2).min() > -1e-9 * np.abs(channel).max()


def test_taking_the_receivers_away_is_the_unplugged_state():
    circuits = [two_traps(), two_traps(tune_f=25e-12)]
    port_ohm = random_ports_ohm(np.random.default_rng(3), 8)
    plugged = array_state(port_ohm, circuits, [RECEIVING] * 2, frequency_hz=F)
    unplugged = array_state(port_ohm, circuits, [UNPLUGGED] * 2, frequency_hz=F)
    assert source_ohm(plugged) == pytest.approx(unplugged.channel_ohm, rel=1e-9)
    assert source_ohm(plugged) != pytest.approx(plugged.channel_ohm, rel=1e-2)


def test_draws_in_front_are_solved_as_one_by_one():
    capacitance_f = np.array([25e-12, 30e-12, 35e-12])
    port_ohm = random_ports_ohm(np.random.default_rng(4), 8)
    states = [RECEIVING, ACTIVELY_DETUNED]
    together = array_state(port_ohm, [two_traps(tune_f=capacitance_f), two_traps()], states, frequency_hz=F)
    for draw, value in enumerate(capacitance_f):
        alone = array_state(port_ohm, [two_traps(tune_f=value), two_traps()], states, frequency_hz=F)
        assert together.channel_ohm[draw] == pytest.approx(alone.channel_ohm, rel=1e-12)


@pytest.mark.parametrize(
    "fault", [PartOpen(part="C tune 4"), PartShort(part="C match"), PartOff(part="C trap 2", factor=1.1)]
)
def test_a_fault_changes_what_the_receiver_sees(fault):
    port_ohm = random_ports_ohm(np.random.default_rng(5), 4)
    sound = array_state(port_ohm, [two_traps()], [RECEIVING], frequency_hz=F).seen_ohm
    failed = array_state(port_ohm, [two_traps()], [RECEIVING.with_faults(fault)], frequency_hz=F).seen_ohm
    assert failed != pytest.approx(sound, rel=1e-3)


def test_a_fault_of_no_part_is_refused_by_name():
    with pytest.raises(OutsideModelError, match="no part is called C9"):
        in_state(two_traps(), RECEIVING.with_faults(PartOpen(part="C9")))


def wired(*branches, channel=("gap 1", "return 1")):
    return ElementCircuit(gap_count=2, branches=branches, channel=channel, receiver=Preamplifier(input_ohm=50 + 0j))


@pytest.mark.parametrize(
    ("circuit", "sentence"),
    [
        (wired(Branch(name="R", part=Resistor(resistance_ohm=1), between=("a", "b"))), "a, b: nothing joins them"),
        (wired(Branch(name="R", part=Resistor(resistance_ohm=1), between=("gap 1", "gap 2"))), "from gap to gap"),
        (wired(Branch(name="R", part=Resistor(resistance_ohm=1), between=("gap 1", "gap 1"))), "both ends at one node"),
        (
            wired(Branch(name="R", part=Resistor(resistance_ohm=1), between=("gap 1", "slip"))),
            "slip: only R ends there",
        ),
        (wired(channel=("gap 1", "gap 2")), "no return"),
        (wired(channel=("return 1", "return 2")), "nothing would be received"),
    ],
)
def test_what_is_wired_wrongly_is_named(circuit, sentence):
    assert any(sentence in complaint for complaint in complaints(circuit)), complaints(circuit)


def test_what_is_wired_rightly_is_not():
    assert not any(complaints(circuit) for circuit in (two_traps(), amplifier_on_the_loop(), at_the_end_of_a_line()))
