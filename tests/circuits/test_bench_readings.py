"""Decoupling and detuning in both conventions: closed forms of one lossless loop, and elements among others."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from ready_circuits import random_ports_ohm, two_traps
from swept_loops import curve_over_band

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.parts import Capacitor, Inductor, Preamplifier
from loopwright.circuits.readings.bench_readings import Quantity, Reference, Surroundings, bench_readings, definition
from loopwright.circuits.readings.probe_curve import ProbeReading, probe_scattering
from loopwright.circuits.readings.quality_from_curves import quality_by_three_methods
from loopwright.circuits.states import RECEIVING, UNPLUGGED
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.resistances import Resistances
from loopwright.circuits.wiring import Branch, ElementCircuit

F = 127.7e6
W = 2 * np.pi * F
LOOP_OHM, LOOP_H = 8.0, 180e-9
MATCH_OHM = np.sqrt(50 * LOOP_OHM)
MECHANISMS = ("body_ohm", "conductor_ohm", "capacitor_ohm", "other_ohm", "radiation_ohm")


def lossless(input_ohm):
    """Textbook match: X across gap 1 and X in series to the receiver, X^2 = 50 R; gap 2 tunes."""
    tune_ohm = W * LOOP_H - MATCH_OHM
    return ElementCircuit(
        gap_count=2,
        branches=(
            Branch(name="C match", part=Capacitor(capacitance_f=1 / (W * MATCH_OHM)), between=("gap 1", "return 1")),
            Branch(name="L series", part=Inductor(inductance_h=MATCH_OHM / W), between=("gap 1", "feed")),
            Branch(name="C tune", part=Capacitor(capacitance_f=1 / (W * tune_ohm)), between=("gap 2", "return 2")),
        ),
        channel=("feed", "return 1"),
        receiver=Preamplifier(input_ohm=input_ohm),
    )


def lumped_ports(*, loops=1, resistance_ohm=LOOP_OHM, coupling=0.0):
    """Loops of one inductance and resistance with two gaps each: one current round the loop."""
    f = F * np.linspace(0.7, 1.3, 9)
    between = np.full((loops, loops), coupling) + (1 - coupling) * np.eye(loops)
    ohm = 2j * np.pi * f[:, None, None] * LOOP_H * between + resistance_ohm * np.eye(loops)
    # A gap that is open must not stop the other: a trace of capacitance between the sides, as wires have.
    ones = np.kron(np.eye(loops), np.ones((1, 2)))
    stray = -1j / (2 * np.pi * f[:, None, None] * 1e-18) * (np.eye(2 * loops) - ones.T @ ones / 2)
    nothing = np.zeros((2 * loops,) * 2, dtype=complex)
    return ArrayPorts(
        frequency_hz=F,
        frequencies_hz=f,
        impedance_ohm=ones.T @ ohm @ ones / 4 + stray,
        port_element=np.repeat(np.arange(loops), 2),
        resistances=Resistances(**dict.fromkeys(MECHANISMS, nothing)),
        temperatures=NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0),
    )


def readings(circuits, port_ohm, surroundings=Surroundings.ALONE):
    return bench_readings(port_ohm, circuits, frequency_hz=F, surroundings=surroundings)


def one_gap(input_ohm):
    """The same with the tuning inside the loop: exact by hand."""
    whole = lossless(input_ohm)
    port_ohm = np.array([[LOOP_OHM + 1j * MATCH_OHM]])
    return replace(whole, gap_count=1, branches=whole.branches[:2]), port_ohm


@pytest.mark.parametrize("input_ohm", [1.0, 2.0, 3.0, 5.0])
def test_a_lossless_match_by_hand(input_ohm):
    """The loop sees R Z0 / Rp: 1 + 50/Rp against the open loop, half of that against the matched one."""
    circuit, port_ohm = one_gap(input_ohm + 0j)
    found = readings([circuit], port_ohm)
    from_open = found.reading_db(Quantity.DECOUPLING, Reference.OPEN)
    from_matched = found.reading_db(Quantity.DECOUPLING, Reference.MATCHED)
    assert from_open == pytest.approx(20 * np.log10(1 + 50 / input_ohm), abs=1e-9)
    assert from_open - from_matched == pytest.approx(20 * np.log10(2), abs=1e-9)


def test_the_matched_load_is_the_one_that_takes_most_power():
    circuit, port_ohm = one_gap(2 + 0j)
    port_ohm = port_ohm + 5 + 12j  # no longer matched to 50 ohm
    matched = abs(readings([circuit], port_ohm).matched_siemens[0])
    seen = array_state(port_ohm, [circuit], [RECEIVING], frequency_hz=F).seen_ohm[0]
    emf = np.ones(1)

    def taken(load_siemens):
        state = array_state(port_ohm, [circuit], [RECEIVING], frequency_hz=F, receiver_siemens=np.array([load_siemens]))
        received = state.port_current.T @ emf
        return float(np.abs(received[0]) ** 2 * load_siemens.real), abs(gap_currents_a(state, emf)[0])

    best, current = taken(1 / seen.conj())
    assert matched == pytest.approx(current, rel=1e-9)
    assert all(best > taken(1 / seen.conj() * turn)[0] for turn in (1.1, 0.9, 1 + 0.1j, 1 - 0.1j))


def test_a_definition_says_what_is_over_what():
    every = {definition(quantity, reference) for quantity, reference in product(Quantity, Reference)}
    assert len(every) == 9
    assert "power-matched" in definition(Quantity.DECOUPLING, Reference.MATCHED)


def test_elements_that_do_not_couple_read_alike_in_every_company():
    rng = np.random.default_rng(5)
    port_ohm = np.zeros((8, 8), dtype=complex)
    for element in (slice(0, 4), slice(4, 8)):
        port_ohm[element, element] = random_ports_ohm(rng, 4)
    circuits = [two_traps(), two_traps(tune_f=25e-12)]
    alone, *others = (readings(circuits, port_ohm, surroundings) for surroundings in Surroundings)
    for other, quantity, reference in product(others, Quantity, Reference):
        assert other.reading_db(quantity, reference) == pytest.approx(alone.reading_db(quantity, reference), abs=1e-9)
    assert alone.open_siemens[0] != pytest.approx(alone.open_siemens[1], rel=0.01)


def test_receiving_neighbours_change_what_a_bench_reads_detuned_ones_hardly():
    """The circuit's own loop twice, k = 5 %: detuned, the neighbour is nearly not there."""
    from circuits.one_loop import circuit, loop  # noqa: PLC0415 - solves wires, for this test alone

    own_ohm = loop().ports(8.0).at_operation_ohm
    mean = loop().network.mean_loop_current[0]
    mutual_ohm = 1j * W * 0.05 * 178.8e-9 * np.outer(mean, mean)
    port_ohm = np.block([[own_ohm, mutual_ohm], [mutual_ohm, own_ohm]])
    found = {s: readings([circuit()] * 2, port_ohm, s).open_siemens for s in Surroundings}
    moved = {s: np.abs(found[s] / found[Surroundings.ALONE] - 1).max() for s in Surroundings}
    assert moved[Surroundings.DETUNED] < 0.03
    assert moved[Surroundings.RECEIVING] > 2 * moved[Surroundings.DETUNED]
    assert found[Surroundings.RECEIVING][0] == pytest.approx(found[Surroundings.RECEIVING][1], rel=1e-9)


def curve(state, input_ohm, band=0.28, count=1201):
    f = F * np.linspace(1 - band, 1 + band, count)
    return curve_over_band(lumped_ports(), lossless(input_ohm), state, f)


def test_the_open_loop_has_one_hump_that_every_reading_finds():
    found = curve(UNPLUGGED, 2 + 0j)
    assert len(found.humps) == 1
    levels = [found.read_siemens(reading) for reading in ProbeReading]
    assert levels == pytest.approx([1 / LOOP_OHM] * 3, rel=1e-3)
    quality = quality_by_three_methods(found.frequencies_hz, found.loop_siemens).by_three_decibels
    assert quality == pytest.approx(W * LOOP_H / LOOP_OHM, rel=0.02)


def test_the_decoupled_loop_has_two_humps_and_a_dip():
    found = curve(RECEIVING, 2 + 0j)
    assert len(found.humps) == 2
    low, high = found.frequencies_hz[found.humps]
    assert low < F < high
    at_operation, at_dip, at_real = (found.read_siemens(reading) for reading in ProbeReading)
    assert at_operation == pytest.approx(1 / (LOOP_OHM + MATCH_OHM**2 / 2), rel=1e-3)
    assert at_dip <= at_operation
    assert at_real == pytest.approx(at_operation, rel=0.02)


def test_with_a_reactive_input_the_readings_part():
    found = curve(RECEIVING, 2 + 3j)
    at_operation, at_dip, _ = (found.read_siemens(reading) for reading in ProbeReading)
    assert at_dip < 0.8 * at_operation
    assert found.read_hz(ProbeReading.AT_DIP) != pytest.approx(F, rel=1e-3)


def test_weak_probes_show_the_loop_and_strong_ones_load_it():
    found = curve(UNPLUGGED, 2 + 0j)
    s21 = {m: probe_scattering(found, mutual_h=m, probe_inductance_h=30e-9)[:, 1, 0] for m in (1e-11, 2e-11, 1.5e-8)}
    w = 2 * np.pi * found.frequencies_hz
    by_hand = 2 * 50 * (w * 1e-11) ** 2 * np.abs(found.loop_siemens) / np.abs(50 + 1j * w * 30e-9) ** 2
    assert np.abs(s21[1e-11]) == pytest.approx(by_hand, rel=1e-3)
    assert np.abs(s21[2e-11]).max() / np.abs(s21[1e-11]).max() == pytest.approx(4, rel=1e-3)
    assert np.abs(s21[1.5e-8]).max() / np.abs(s21[1e-11]).max() < 0.8 * (1.5e-8 / 1e-11) ** 2
