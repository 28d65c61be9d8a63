"""Noise of the receiving array: theorems that hold exactly, and sources drawn one by one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ready_circuits import random_ports_ohm, two_traps
from receiving_cases import F, hermitian_part, random_array, random_noise, solved, with_inputs
from test_array_circuit import in_one_matrix

from circuits.made_array import WARM, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.nodal import branch_admittances_siemens
from loopwright.circuits.node_voltages import induced_voltages_v, part_patterns, voltages_per_injection_ohm
from loopwright.circuits.part_admittance import line_admittance_siemens
from loopwright.circuits.parts import NoiseParameters, Preamplifier
from loopwright.circuits.receivers.amplifier_noise import STANDARD_TEMPERATURE_K, InputNoise, input_noise
from loopwright.circuits.receivers.receiver_noise import (
    conductor_noise_v2_per_hz,
    from_input_noise_v2_per_hz,
    part_noise_v2_per_hz,
    receiver_noises,
)
from loopwright.circuits.receivers.receiving import RECEIVERS, kept_snr, receive
from loopwright.circuits.receivers.receiving_waves import received_waves
from loopwright.circuits.states import RECEIVING, UNPLUGGED, in_state
from loopwright.circuits.tuned.noise import NoiseTemperatures, RadiationInNoise
from loopwright.circuits.wiring import Span, nodes_of
from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.ground.errors import OutsideModelError

FOUR_K = 4 * BOLTZMANN_J_PER_K


def bare_noise(state, port_ohm, temperature_k):
    return conductor_noise_v2_per_hz(state, temperature_k * hermitian_part(port_ohm))


def part_noise(state, temperature_k):
    return sum(part_noise_v2_per_hz(state, temperature_k=temperature_k).values())


def thermal(receiver_siemens, temperature_k):
    """Receivers that are plain resistances: a current and nothing else."""
    nothing = np.zeros(len(receiver_siemens))
    current = FOUR_K * temperature_k * receiver_siemens.real
    return InputNoise(voltage_v2_per_hz=nothing, current_a2_per_hz=current, cross_w_per_hz=nothing + 0j)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 5))
def test_at_one_temperature_the_sum_is_nyquists(seed, count):
    """Every origin counted once: 4kT Re Z between the channels (Twiss 1955), receivers as plain resistances."""
    circuits, states, port_ohm = random_array(np.random.default_rng(seed), count)
    state = solved(port_ohm, circuits, states)
    total = bare_noise(state, port_ohm, 300.0) + part_noise(state, 300.0)
    total = total + from_input_noise_v2_per_hz(state, thermal(state.receiver_siemens, 300.0))
    expected = FOUR_K * 300.0 * hermitian_part(state.channel_ohm)
    assert total == pytest.approx(expected, rel=1e-8, abs=1e-9 * np.abs(expected).max())


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 5))
def test_without_receiver_noise_the_best_snr_does_not_see_the_input_impedance(seed, count):
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = random_array(rng, count)
    emf = rng.normal(size=len(port_ohm)) + 1j * rng.normal(size=len(port_ohm))
    snr = []
    for inputs in (rng.uniform(0.5, 3, count), rng.uniform(20, 90, count) + 1j * rng.uniform(-60, 60, count), 1e4):
        state = solved(port_ohm, with_inputs(circuits, np.broadcast_to(inputs, count)), states)
        noise = bare_noise(state, port_ohm, 310.0) + part_noise(state, 293.0)
        signal = state.port_current.T @ emf
        snr.append((signal.conj() @ np.linalg.solve(noise, signal)).real)
    assert snr[1:] == pytest.approx(snr[:1] * 2, rel=1e-10)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_with_receiver_noise_too_while_its_sources_stay(seed, count):
    """A noiseless load in front of a noisy input changes all channels alike: the best combination undoes it."""
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = random_array(rng, count)
    emf = rng.normal(size=len(port_ohm)) + 1j * rng.normal(size=len(port_ohm))
    noise = receiver_noises(circuits, states)
    snr, without = [], []
    for inputs in (2.0, 50.0 - 30j):
        state = solved(port_ohm, with_inputs(circuits, [inputs] * count), states)
        array = bare_noise(state, port_ohm, 310.0) + part_noise(state, 293.0)
        signal = state.port_current.T @ emf
        total = array + from_input_noise_v2_per_hz(state, noise)
        snr.append((signal.conj() @ np.linalg.solve(total, signal)).real)
        without.append((signal.conj() @ np.linalg.solve(array, signal)).real)
    assert snr[1] == pytest.approx(snr[0], rel=1e-9)
    assert snr[0] < without[0]


def gaussian(rng, covariance, draws):
    """Complex Gaussians of this covariance <n n^H>, shape (draws, size)."""
    value, vector = np.linalg.eigh(covariance)
    root = vector * np.sqrt(np.clip(value, 0, None))
    white = (rng.standard_normal((draws, len(value))) + 1j * rng.standard_normal((draws, len(value)))) / np.sqrt(2)
    return white @ root.T


def drawn_voltages(rng, circuits, states, port_ohm, draws, *, cold):
    """Voltages across the receivers with every source drawn, by one matrix of all nodes; receivers silent if cold."""
    siemens = np.array([1 / c.receiver.input_ohm for c in circuits])
    matrix, gaps, channels = in_one_matrix(port_ohm, circuits, states, siemens)
    inverse = np.linalg.inv(matrix)
    emf = gaussian(rng, FOUR_K * 310.0 * hermitian_part(port_ohm), draws)
    current = np.zeros((draws, len(matrix)), dtype=complex)
    current[:, gaps] = np.linalg.solve(port_ohm, emf.T).T
    start = 0
    for circuit, state in zip(circuits, states, strict=True):
        number = {node: start + at for at, node in enumerate(nodes_of(circuit))}
        resolved = in_state(circuit, state)
        siemens_of = branch_admittances_siemens(resolved, F)
        for branch in resolved.branches:
            if isinstance(branch, Span):
                own, mutual = line_admittance_siemens(branch.line, F)
                conductance, pairs = np.array([[own, mutual], [mutual, own]]).real, (branch.near, branch.far)
            else:
                conductance, pairs = np.array([[siemens_of[branch.name].real]]), (branch.between,)
            made = gaussian(rng, FOUR_K * 293.0 * conductance, draws)
            for end, (top, bottom) in enumerate(pairs):
                if top in number:
                    current[:, number[top]] += made[:, end]
                if bottom in number:
                    current[:, number[bottom]] -= made[:, end]
        start += len(number)
    series = np.zeros((draws, len(circuits)), dtype=complex)
    for c, circuit in enumerate([] if cold else circuits):
        one = input_noise(circuit.receiver.noise)
        pair = np.array(
            [[one.voltage_v2_per_hz, one.cross_w_per_hz], [one.cross_w_per_hz.conj(), one.current_a2_per_hz]]
        )
        e, i = gaussian(rng, pair, draws).T
        # Chain form: behind the series voltage the input sees V - e; the current flows across on the array's side.
        current[:, channels[c]] += siemens[c] * e - i
        series[:, c] = e
    return (current @ inverse.T)[:, channels] - series


def deviations(found, drawn):
    """Difference of every entry from the draws' mean over its own statistical error."""
    products = drawn[:, :, None] * drawn[:, None, :].conj()
    mean = products.mean(axis=0)
    error = np.sqrt(((np.abs(products - mean) ** 2).mean(axis=0)) / len(drawn))
    return np.abs(mean - found) / error


DRAWS = 200_000


@pytest.mark.parametrize("seed", [1, 2])
def test_sources_drawn_one_by_one_give_the_covariance(seed):
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = random_array(rng, 3)
    state = solved(port_ohm, circuits, states)
    array = bare_noise(state, port_ohm, 310.0) + part_noise(state, 293.0)
    receivers = from_input_noise_v2_per_hz(state, receiver_noises(circuits, states))
    drawn = drawn_voltages(rng, circuits, states, port_ohm, DRAWS, cold=False)
    assert deviations(array + receivers, drawn).max() < 3
    silent = drawn_voltages(rng, circuits, states, port_ohm, DRAWS, cold=True)
    assert deviations(array, silent).max() < 3
    # The receivers' share is not lost in the statistics: without it the draws would contradict.
    assert deviations(array, drawn).max() > 10


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_waves_and_sources_give_one_covariance(seed, count):
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = random_array(rng, count)
    state = solved(port_ohm, circuits, states)
    unplugged = solved(port_ohm, circuits, states, receiver_siemens=np.zeros(count))
    total = bare_noise(state, port_ohm, 310.0) + part_noise(state, 293.0)
    total = total + from_input_noise_v2_per_hz(state, receiver_noises(circuits, states))
    waves, per_voltage = received_waves(
        unplugged.channel_ohm,
        open_noise_v2_per_hz=bare_noise(unplugged, port_ohm, 310.0) + part_noise(unplugged, 293.0),
        circuits=circuits,
        states=states,
        reference_ohm=35.0,
    )
    expected = per_voltage @ total @ per_voltage.conj().T
    assert waves == pytest.approx(expected, rel=1e-7, abs=1e-9 * np.abs(expected).max())


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_power_put_in_is_the_power_taken_up(seed, count):
    """Energy balance: channels driven, and gaps driven, against the sum over conductors, parts and receivers."""
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = random_array(rng, count)
    state = solved(port_ohm, circuits, states)
    drive = rng.normal(size=count) + 1j * rng.normal(size=count)
    voltages = tuple(v @ drive[:, None] for v in voltages_per_injection_ohm(state))
    u, into = state.channel_ohm @ drive, state.port_current @ drive
    taken = taken_w(state, voltages, u, port_ohm, into)
    assert (u.conj() @ drive).real / 2 == pytest.approx(taken, rel=1e-9)
    emf = rng.normal(size=len(port_ohm)) + 1j * rng.normal(size=len(port_ohm))
    voltages = induced_voltages_v(state, emf)
    u = state.port_current.T @ emf
    gap = sum_at_gaps(state, voltages, len(port_ohm))
    into = np.linalg.solve(port_ohm, gap - emf)
    # The induced voltage drives -into through itself.
    assert -(emf.conj() @ into).real / 2 == pytest.approx(taken_w(state, voltages, u, port_ohm, into), rel=1e-8)


def sum_at_gaps(state, voltages, ports):
    gap = np.zeros(ports, dtype=complex)
    for group, voltage in zip(state.groups, voltages, strict=True):
        gap[group.ports] = voltage[:, : group.ports.shape[1], 0]
    return gap


def taken_w(state, voltages, receiver_v, port_ohm, into_a):
    parts = sum(
        np.einsum("ekc,ekl,elc->", p.voltage.conj(), p.conductance_siemens, p.voltage).real / 2
        for p in part_patterns(state, voltages)
    )
    receivers = (state.receiver_siemens.real * np.abs(receiver_v) ** 2).sum() / 2
    return parts + receivers + (into_a.conj() @ hermitian_part(port_ohm) @ into_a).real / 2


@pytest.fixture(scope="module")
def made():
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    reply = reply_of(network)
    rng = np.random.default_rng(7)
    receiver = Preamplifier(input_ohm=2.0 + 1j, noise=random_noise(rng))
    circuits = [replace(two_traps(tune_f=c), receiver=receiver) for c in (28e-12, 30e-12, 32e-12)]
    return network, reply, circuits


def received(made, temperatures=WARM, states=(RECEIVING,) * 3):
    network, reply, circuits = made
    ports = array_ports(network, reply, temperatures)
    return receive(ports, circuits, states, network=network, reply=reply)


def test_the_record_adds_up(made):
    array = received(made)
    names = set(array.noise_v2_per_hz)
    assert {"body", "conductors", "receivers", "C match", "D trap 2"} <= names
    body_ohm = array_ports(made[0], made[1], WARM).resistances.body_ohm
    x = array.port_current
    assert array.noise_v2_per_hz["body"] == pytest.approx(FOUR_K * 310.0 * x.T @ body_ohm @ x.conj(), rel=1e-9, abs=0)
    assert "radiation" not in names
    assert array.forms_differ < 1e-9
    assert np.all(array.channel_figure_db > array.receivers_figure_db)
    assert np.all(array.receivers_figure_db > 0)
    least, most = array.kept_snr
    assert 0 < least < most < 1
    alone = kept_snr(array.without_receivers_v2_per_hz, array.bare_v2_per_hz)
    assert least < alone[0]
    assert array.correlation != pytest.approx(array.correlation_without_receivers, rel=1e-3)
    assert array.body_source_current == pytest.approx(array.loop_current)  # loop mode: one source a loop


def test_at_one_temperature_the_record_is_nyquists(made):
    temperatures = NoiseTemperatures(
        body_temperature_k=300.0, coil_temperature_k=300.0, radiation=RadiationInNoise(wall_temperature_k=300.0)
    )
    array = received(made, temperatures)
    state = array.state
    own = from_input_noise_v2_per_hz(state, thermal(state.receiver_siemens, 300.0))
    expected = FOUR_K * 300.0 * hermitian_part(state.channel_ohm)
    assert array.without_receivers_v2_per_hz + own == pytest.approx(expected, rel=1e-7, abs=1e-8 * abs(expected).max())


def test_one_receiver_alone_adds_what_its_noise_figure_says(made):
    """Source all at 290 K: what all else adds is the amplifier's own figure behind the impedance it sees."""
    network, reply, circuits = made
    t0 = STANDARD_TEMPERATURE_K
    temperatures = NoiseTemperatures(
        body_temperature_k=t0, coil_temperature_k=t0, radiation=RadiationInNoise(wall_temperature_k=t0)
    )
    states = (RECEIVING, UNPLUGGED, UNPLUGGED)
    array = received((network, reply, circuits), temperatures, states)
    assert array.receivers_figure_db[0] == pytest.approx(array.own_figure_db[0], rel=1e-9)
    assert array.own_figure_db[1:] == pytest.approx([0, 0])
    coupled = received((network, reply, circuits), temperatures)
    assert coupled.receivers_figure_db[0] > coupled.own_figure_db[0]


def test_silent_receivers_are_told(made):
    network, reply, circuits = made
    silent = [circuits[0], replace(circuits[1], receiver=Preamplifier(input_ohm=2 + 0j)), circuits[2]]
    array = received((network, reply, silent))
    assert any("Receivers 2:" in note for note in array.notes)
    assert array.noise_v2_per_hz[RECEIVERS][1, 1] > 0  # what the neighbours' receivers send through the array


def test_receivers_that_cannot_be_are_refused(made):
    network, reply, circuits = made
    wrong = NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=0.1)
    circuits = [replace(circuits[0], receiver=Preamplifier(input_ohm=2 + 0j, noise=wrong)), *circuits[1:]]
    with pytest.raises(OutsideModelError, match="receiver 1: no amplifier has"):
        received((network, reply, circuits))


def test_draws_in_front_are_summed_as_one_by_one():
    rng = np.random.default_rng(9)
    circuits, states, port_ohm = random_array(rng, 2)
    capacitance_f = np.array([25e-12, 31e-12])
    circuits = [replace(two_traps(tune_f=capacitance_f), receiver=circuits[0].receiver), circuits[1]]
    gaps = sum(circuit.gap_count for circuit in circuits)
    port_ohm = random_ports_ohm(rng, gaps)

    def noise(own):
        state = solved(port_ohm, own, states)
        return (
            bare_noise(state, port_ohm, 310.0)
            + part_noise(state, 293.0)
            + from_input_noise_v2_per_hz(state, receiver_noises(own, states))
        )

    together = noise(circuits)
    assert together.shape == (2, 2, 2)
    for draw, value in enumerate(capacitance_f):
        alone = noise([replace(two_traps(tune_f=value), receiver=circuits[0].receiver), circuits[1]])
        assert together[draw] == pytest.approx(alone, rel=1e-9, abs=0)
