"""From the circuit of a brief to values: every wiring, against the exact relations that its parts must obey."""

import dataclasses

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.made_array import WARM, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits.array_circuit import array_state, source_ohm
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.outcome import as_written
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.readings.probe import MATCHED, OPEN
from loopwright.circuits.requested import Start, circuits_of, wanted_of
from loopwright.circuits.single_loop import alone_ohm, equivalent_loop_ohm, seen_with_loop_ohm
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, Diodes, in_state
from loopwright.circuits.sweeps import loop_siemens
from loopwright.circuits.wiring import complaints
from loopwright.ground.errors import OutsideModelError
from wired_rings import OWN, TRAPS, request_of, wired

F0_HZ = 123.2e6
W = 2 * np.pi * F0_HZ
WIRINGS = (
    ("capacitive match", 2),
    (TRAPS, 4),
    ("match with PIN trap across it", 2),
    ("amplifier on the loop with low input impedance", 2),
    ("amplifier on the loop with high input impedance", 2),
    ("match at the end of a line", 2),
    ("own", 2),
)


@pytest.mark.parametrize(("wiring", "gaps"), WIRINGS)
def test_every_wiring_shows_its_receivers_what_is_wanted(wiring, gaps):
    outcome = wired(wiring, gaps=gaps)
    assert not any(complaints(circuit) for circuit in outcome.circuits)
    assert outcome.receiving.seen_ohm == pytest.approx(outcome.source_ohm, rel=3e-3)
    assert outcome.synthesis.noise_figure_loss_db == pytest.approx(0, abs=1e-4)


def test_another_source_is_met_where_it_is_asked_for():
    outcome = wired("capacitive match", gaps=2, seen_resistance="80 ohm", seen_reactance="-15 ohm")
    assert outcome.receiving.seen_ohm == pytest.approx(80 - 15j, rel=3e-3)
    # F = Fmin + Rn / Gs |Ys - Yopt|^2 by hand.
    seen, best = 1 / (80 - 15j), 1 / 50
    least = 10**0.05
    by_hand = 10 * np.log10((least + 5 / seen.real * abs(seen - best) ** 2) / least)
    assert outcome.synthesis.noise_figure_loss_db == pytest.approx(by_hand, rel=0.02)


def test_match_and_inductor_are_resonant_so_that_a_low_input_blocks_the_loop():
    outcome = wired("capacitive match", gaps=2)
    for circuit in outcome.circuits:
        match_ohm = 1 / (W * circuit.part("C match").capacitance_f)
        # The loop's current is least where its phase is that of resonance; 2 ohm in series move that by (R / X)^2.
        assert circuit.part("L series").inductance_h * W == pytest.approx(match_ohm, rel=0.03)


def test_decoupling_is_that_of_a_lossless_match_less_its_losses():
    """D = 20 log10((1 + 50 / Rp) / 2), 22.3 dB for 2 ohm, for a lossless match (common practice)."""
    limit_db = 20 * np.log10((1 + 50 / 2) / 2)
    for probe in wired("capacitive match", gaps=2).probes:
        assert limit_db - 1.5 < probe.decoupling_db < limit_db
        assert probe.at_operation_db(MATCHED) == pytest.approx(0)


def test_traps_take_the_current_down_in_their_states():
    outcome = wired()
    for probe in outcome.probes:
        assert probe.at_operation_db(ACTIVELY_DETUNED.name) < probe.at_operation_db(RECEIVING.name) - 10
        assert probe.at_operation_db(PASSIVELY_DETUNED.name) < -30
    fused = wired(protection=("fuse",))
    assert set(fused.probes[0].response_db) == {MATCHED, RECEIVING.name, OPEN}
    assert {"C fuse 2", "Fuse 2"} <= {branch.name for branch in fused.circuits[0].branches}


def test_traps_are_resonant_and_fixed_capacitors_are_values_of_the_series():
    for circuit in wired().circuits:
        trap = circuit.part("C trap 2")
        closed = in_state(circuit, dataclasses.replace(ACTIVELY_DETUNED, crossed_diodes=Diodes.CONDUCT))
        coil_ohm, diode_ohm = (1 / admittance_siemens(closed.part(f"{what} trap 2"), F0_HZ) for what in "LD")
        assert (admittance_siemens(trap, F0_HZ) + 1 / (coil_ohm + diode_ohm)).imag == pytest.approx(0, abs=1e-9)
        assert float(f"{trap.capacitance_f * 1e12:.4g}") in {22, 24, 27, 30, 33, 36, 39, 43}


def test_the_sweep_agrees_with_the_array_solved_by_itself():
    outcome = wired()
    middle = len(outcome.sweep.frequencies_hz) // 2
    assert outcome.sweep.frequencies_hz[middle] == pytest.approx(outcome.ports.frequency_hz, rel=1e-12)
    assert outcome.sweep.channel_ohm[middle] == pytest.approx(source_ohm(outcome.receiving), rel=1e-7)
    assert outcome.sweep.seen_ohm[middle] == pytest.approx(outcome.receiving.seen_ohm, rel=1e-8)
    f = float(outcome.sweep.frequencies_hz[10])
    state = array_state(outcome.ports.at(f), outcome.circuits, [RECEIVING] * 3, frequency_hz=f)
    assert outcome.sweep.seen_ohm[10] == pytest.approx(state.seen_ohm, rel=1e-8)


def test_what_one_element_sees_gives_its_loop_current_in_the_whole_array():
    outcome = wired()
    f0 = outcome.ports.frequency_hz
    emf = np.zeros(12)
    emf[4:8] = 1 / 4  # a volt round the second element, nothing round the others
    states = [RECEIVING, ACTIVELY_DETUNED, RECEIVING]
    # u = (1 + ZY)^-1 e stands across the gaps, Y u flows: the textbook way, all gaps at once.
    whole = array_state(outcome.ports.at_operation_ohm, outcome.circuits, states, frequency_hz=f0)
    gap_siemens = np.zeros((12, 12), dtype=complex)
    for group in whole.groups:
        for ports, block in zip(group.ports, group.reduced.gap_siemens, strict=True):
            gap_siemens[np.ix_(ports, ports)] = block
    current = gap_siemens @ np.linalg.solve(np.eye(12) + whole.port_ohm @ gap_siemens, emf)
    middle = len(outcome.sweep.frequencies_hz) // 2
    found = loop_siemens(
        outcome.sweep.own_gaps_ohm[1][middle : middle + 1],
        outcome.circuits[1],
        ACTIVELY_DETUNED,
        frequencies_hz=[f0],
        receiver_siemens=1 / outcome.circuits[1].receiver.input_ohm,
    )
    assert found[0] == pytest.approx(current[4:8].mean(), rel=1e-8)


def test_channels_over_the_band_are_reciprocal_and_passive():
    channel = wired().sweep.channel_ohm
    assert channel == pytest.approx(np.swapaxes(channel, 1, 2), rel=1e-8, abs=1e-8)
    hermitian = (channel + np.swapaxes(channel, 1, 2).conj()) / 2
    assert np.linalg.eigvalsh(hermitian).min() > 0


def test_quality_by_three_methods_agrees():
    for probe in wired("capacitive match", gaps=2, coupling=0.0).probes:
        assert probe.quality.spread < 0.02
        width = probe.width
        assert probe.quality.by_three_decibels == pytest.approx(
            width.peak_hz / (width.high_hz - width.low_hz), rel=0.01
        )


def test_joints_are_in_series_once_per_element():
    outcome = wired()
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    without = array_ports(network, reply_of(network), WARM)
    added_ohm = outcome.ports.at_operation_ohm - without.at_operation_ohm
    assert np.diag(added_ohm).reshape(3, 4).sum(axis=1) == pytest.approx(0.2)
    # They make noise, each ohm at the temperature of the coil.
    added_k_ohm = outcome.ports.weighted_resistance_k_ohm - without.weighted_resistance_k_ohm
    assert added_k_ohm == pytest.approx(WARM.coil_temperature_k * added_ohm, abs=1e-9)
    assert outcome.ports.resistances.conductor_ohm - without.resistances.conductor_ohm == pytest.approx(added_ohm)


def test_the_single_loop_that_stands_for_the_array_shows_the_same():
    outcome = wired()
    for element, circuit in enumerate(outcome.circuits):
        seen = complex(outcome.receiving.seen_ohm[element])
        near = alone_ohm(outcome.ports, element)
        loop = equivalent_loop_ohm(circuit, seen, frequency_hz=outcome.ports.frequency_hz)
        again = seen_with_loop_ohm(circuit, loop, frequency_hz=outcome.ports.frequency_hz)
        assert again == pytest.approx(seen, rel=1e-9)
        assert loop == pytest.approx(near, rel=0.1)


def test_a_single_loop_is_the_network_of_a_ring_without_charge():
    """Ports of a ring that carries one current only, its gaps stiffly bound to each other: 1e9 ohm for infinity."""
    circuit, gaps, loop_ohm = wired().circuits[0], 4, 2 + 150j
    stiff = np.eye(gaps) - np.ones((gaps, gaps)) / gaps
    ports = np.ones((gaps, gaps)) * loop_ohm / gaps**2 - 1e9j * stiff
    there = array_state(ports, [circuit], [RECEIVING], frequency_hz=123.2e6).seen_ohm[0]
    assert seen_with_loop_ohm(circuit, loop_ohm, frequency_hz=123.2e6) == pytest.approx(there, rel=1e-5)


def test_a_match_that_cannot_be_is_told_by_element():
    with pytest.raises(OutsideModelError, match="element 1"):
        wired("capacitive match", gaps=2, seen_resistance="100 kohm")


def test_without_a_free_part_the_values_stand_as_written():
    parts = [{**part, "value": value} for part, value in zip(OWN["parts"], ("90 pF", "20 nH", "9 pF", "4.7 kohm"),
                                                             strict=True)]  # fmt: skip
    for part in parts:
        part.pop("start", None)
    request = brief_with(circuit={**OWN, "parts": parts}, array__tiling__gaps="2").circuit
    ports = wired("own", gaps=2).ports
    circuits = circuits_of(request, [Start(gap_count=2, capacitance_f=1e-11, resistance_ohm=3.0)] * 3,
                           frequency_hz=ports.frequency_hz)  # fmt: skip
    found = as_written(ports, circuits, wanted_of(request))
    assert found.circuits == tuple(circuits)
    assert found.wanted_ohm == pytest.approx(50)
    assert np.all(found.noise_figure_loss_db > 0)
    assert "No part was free" in found.notes[0]


def test_the_request_is_kept_beside_what_came_of_it():
    outcome = wired()
    assert outcome.request == dataclasses.replace(outcome).request == request_of(TRAPS, gaps=4)


def test_noise_of_parts_and_preamplifiers_goes_with_the_outcome():
    received = wired().received
    assert {"body", "conductors", "receivers", "C match", "D trap 2"} <= set(received.noise_v2_per_hz)
    assert received.forms_differ < 1e-6
    least, most = received.kept_snr
    assert 0.5 < least <= most < 1
    assert np.all(received.receivers_figure_db > 0)
