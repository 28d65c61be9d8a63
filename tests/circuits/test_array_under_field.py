"""The wired array in a field: shortcuts against the whole array solved at once, diodes against their own equation."""

import time
from dataclasses import replace

import numpy as np
import pytest

from circuits.made_array import FREQUENCY_HZ
from circuits.one_loop import PRINTED, circuit, loop
from circuits.one_loop import F as ONE_LOOP_HZ
from circuits.test_real_wires import ring
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.listing import states_of
from loopwright.circuits.parts import OffGap
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
    Diodes,
    ElementState,
    PartOff,
    PartOpen,
    PartShort,
    Plug,
)
from loopwright.circuits.under_field.array_under_field import (
    array_under_field,
    in_transmit_field,
)
from loopwright.circuits.under_field.diode_onset import diode_onsets
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.induced import port_emf_v, rotating_field_t
from loopwright.circuits.under_field.own_gaps import own_gap_currents_a, own_gaps
from loopwright.circuits.under_field.single_faults import faults_of
from loopwright.fields import solve_network
from loopwright.fields.rotating import Precession
from wire_arrays import dressed
from wired_rings import emf_v, in_field, wired

EMF = emf_v(3, 4)


def whole(states, circuits=None):
    """The array solved at once, each element in a state of its own."""
    outcome = wired()
    return array_state(
        outcome.ports.at_operation_ohm, circuits or outcome.circuits, states, frequency_hz=outcome.ports.frequency_hz
    )


def means_a(state, emf=EMF):
    return np.abs(gap_currents_a(state, emf)).reshape(3, 4).mean(axis=1)


def test_a_circuit_on_its_own_gaps_carries_what_it_carries_in_the_whole_array():
    outcome = wired()
    sources = own_gaps(whole([ACTIVELY_DETUNED] * 3), EMF)
    for own in (ACTIVELY_DETUNED, UNPLUGGED, RECEIVING):
        alone = own_gap_currents_a(sources, outcome.circuits, own, frequency_hz=outcome.ports.frequency_hz)
        for element in range(3):
            states = [own if e == element else ACTIVELY_DETUNED for e in range(3)]
            expected = gap_currents_a(whole(states), EMF)[4 * element : 4 * element + 4]
            assert alone[element] == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(
    "fault",
    [PartOpen(part="D trap 2"), PartShort(part="C tune 4"), PartOff(part="L trap 3", factor=0.9)],
    ids=lambda fault: fault.part,
)
@pytest.mark.parametrize("state", [ACTIVELY_DETUNED, DETUNED_BY_BOTH, PASSIVELY_DETUNED], ids=lambda s: s.name)
def test_a_single_fault_is_that_of_the_whole_array(fault, state):
    (found,) = (one for one in in_field().faults if one.fault == fault and one.state == state.name)
    for element in range(3):
        states = [state.with_faults(fault) if e == element else state for e in range(3)]
        assert found.current_a[element] == pytest.approx(means_a(whole(states))[element], rel=1e-7)


def test_every_part_fails_in_every_way_that_it_can():
    faults = faults_of(wired().circuits)
    assert len(faults) == len(set(faults)) == 4 * 4 + 3 * 4 + 2 * 2
    assert PartOff(part="L trap 2", factor=0.9) in faults
    assert not any(isinstance(fault, PartOff) for fault in faults if fault.part.startswith("D"))
    line = faults_of(wired("match at the end of a line", gaps=2).circuits)
    assert {type(fault) for fault in line if fault.part == "line"} == {PartOff, PartOpen, PartShort}


def test_states_are_those_that_the_diodes_can_bring_about():
    both = (RECEIVING, ACTIVELY_DETUNED, DETUNED_BY_BOTH, BIAS_MISSING, PASSIVELY_DETUNED, UNPLUGGED)
    assert states_of(wired().circuits) == both
    assert states_of(wired("match with PIN trap across it", gaps=2).circuits) == (
        RECEIVING, ACTIVELY_DETUNED, UNPLUGGED
    )  # fmt: skip
    assert states_of(wired("capacitive match", gaps=2).circuits) == (RECEIVING, UNPLUGGED)
    # Without bias is a fault where there is a PIN diode: not among the detuned states.
    assert in_field().detuned == tuple(s.name for s in (ACTIVELY_DETUNED, DETUNED_BY_BOTH, PASSIVELY_DETUNED))
    passive = array_under_field(wired(protection=("crossed-diode trap",)), emf_v=EMF, b1_plus_t=1e-6)
    assert passive.detuned == (BIAS_MISSING.name, PASSIVELY_DETUNED.name)


def test_a_trap_alone_is_its_diode_conducting_and_no_other():
    found = in_field()
    pin = ElementState(name="PIN", pin_diodes=Diodes.CONDUCT, plug=Plug.OUT)
    for diode, state in (("D trap 2", pin), ("D trap 3", PASSIVELY_DETUNED)):
        (trap,) = (one for one in found.traps if one.diode == diode)
        expected = 20 * np.log10(means_a(whole([UNPLUGGED] * 3)) / means_a(whole([state] * 3)))
        assert trap.isolation_db == pytest.approx(expected, rel=1e-7)


def test_a_lossless_match_halves_the_current_of_the_tuned_loop():
    """Textbook; the parts' losses and the loop's charge leave a few tenths of a decibel."""
    found = in_field("capacitive match", elements=1, gaps=2)
    assert 20 * np.log10(found.tuned_a / found.matched_a)[0] == pytest.approx(6.02, abs=0.3)
    assert not found.detuned
    assert np.isnan(found.detuned_a).all()
    assert {fault.state for fault in found.faults} == {RECEIVING.name}


def test_the_matched_reference_takes_most_power_out_of_a_loop():
    """A source of 80 - 15j ohm is matched by 80 + 15j ohm, not by 50."""
    keys = {"elements": 1, "gaps": 2, "seen_resistance": "80 ohm", "seen_reactance": "-15 ohm"}
    outcome, found = wired("capacitive match", **keys), in_field("capacitive match", **keys)
    matched = array_state(
        outcome.ports.at_operation_ohm, outcome.circuits, [RECEIVING], frequency_hz=outcome.ports.frequency_hz,
        receiver_siemens=np.array([1 / (80 + 15j)]),
    )  # fmt: skip
    expected = np.abs(gap_currents_a(matched, emf_v(1, 2))).mean()
    assert found.matched_a == pytest.approx([expected], rel=3e-3)


def test_currents_go_with_the_field():
    once, twice = in_field(), array_under_field(wired(), emf_v=2 * EMF, b1_plus_t=40e-6)
    assert twice.tuned_a == pytest.approx(2 * once.tuned_a)
    assert twice.intact_a == pytest.approx(2 * once.intact_a)
    assert twice.detuned_a == pytest.approx(2 * once.detuned_a)
    # The diodes act at the same field, which they see as the same voltage.
    assert twice.onsets[1][0].acts_t == pytest.approx(once.onsets[1][0].acts_t)


def test_detuned_and_intact_currents_bound_what_a_fuse_may_see():
    found = in_field()
    largest = [
        np.abs(gap_currents_a(whole([state] * 3), EMF)).reshape(3, 4).max(axis=1)
        for state in (ACTIVELY_DETUNED, DETUNED_BY_BOTH, PASSIVELY_DETUNED)
    ]
    assert found.detuned_a == pytest.approx(np.max(largest, axis=0))
    alone = [means_a(whole([UNPLUGGED if e == 1 else s for e in range(3)]))[1]
             for s in (ACTIVELY_DETUNED, DETUNED_BY_BOTH, PASSIVELY_DETUNED)]  # fmt: skip
    assert found.intact_a[1] == pytest.approx(max(alone))
    assert found.least_intact_a[1] == pytest.approx(min(alone))
    assert min(alone) < 0.999 * max(alone)
    assert np.all(found.intact_a > 100 * found.detuned_a)


def test_a_pin_diode_carries_what_rings_in_its_trap():
    found = in_field()
    currents = []
    for name in (ACTIVELY_DETUNED.name, DETUNED_BY_BOTH.name):
        parts = [{part.name: part for part in element.parts} for element in found.state(name).elements]
        currents.append([one["C trap 2"].voltage_v / (one["L trap 2"].voltage_v / one["L trap 2"].current_a)
                         for one in parts])  # fmt: skip
    # The diode's own half ohm beside 35 ohm of the inductor.
    assert found.pin_current_a["D trap 2"] == pytest.approx(np.max(currents, axis=0), rel=0.01)


def test_ratings_with_less_than_twice_the_stress_are_named():
    (strained,) = in_field(capacitor_rating="1 V").exceeded[ACTIVELY_DETUNED.name][:1]
    assert strained.stress.part == "C trap 2"
    assert strained.margin == pytest.approx(1 / strained.stress.voltage_v)
    assert not in_field(capacitor_rating="10 kV").exceeded[ACTIVELY_DETUNED.name]


@pytest.mark.parametrize("place", [8, 33, 64])
def test_onsets_hold_the_currents_of_the_whole_array_whose_diodes_follow(place):
    """Each pair swapped for what it is there; tests of driven arrays hold it against circuits in time."""
    found, outcome = in_field(), wired()
    field_t = found.onsets[1][0].b1_plus_t[place]
    driven = drive_array(
        outcome.ports.at_operation_ohm, outcome.circuits, [UNPLUGGED] * 3, open_v_per_t=EMF / found.b1_plus_t,
        b1_plus_t=[field_t], frequency_hz=FREQUENCY_HZ,
    )  # fmt: skip
    circuits = [
        own.with_part("D trap 3", OffGap(resistance_ohm=1 / y.real, capacitance_f=y.imag / (2 * np.pi * FREQUENCY_HZ)))
        for own, y in zip(outcome.circuits, driven.admittance_siemens[0], strict=True)
    ]
    expected = means_a(whole([UNPLUGGED] * 3, circuits), EMF * field_t / found.b1_plus_t)
    for element, own in enumerate(found.onsets):
        assert own[0].loop_a[place] == pytest.approx(expected[element], rel=1e-6)


def test_below_the_onset_the_loop_is_tuned_and_above_it_detuned():
    found = in_field()
    onset = found.onsets[0][0]
    below, above = onset.b1_plus_t < onset.acts_t / 10, onset.b1_plus_t > onset.acts_t
    assert below.any()
    assert above.any()
    assert onset.loop_a[below] == pytest.approx(onset.blocked_a_per_t * onset.b1_plus_t[below], rel=0.03)
    assert onset.loop_a[-1] < 0.01 * onset.blocked_a_per_t * onset.b1_plus_t[-1]
    low, high = (onset.loop_a[at] for at in (np.flatnonzero(above)[0] - 1, np.flatnonzero(above)[0]))
    assert min(low, high) <= onset.current_at_onset_a <= max(low, high)


def test_of_several_pairs_the_one_that_acts_first_is_told_first():
    """Two crossed pairs in one element; the trap of the larger capacitor has less voltage and acts later."""
    own = wired().circuits[0]
    own = own.with_part("D trap 2", own.part("D trap 3"))
    own = own.with_part("C trap 2", replace(own.part("C trap 2"), capacitance_f=3 * own.part("C trap 2").capacitance_f))
    (source, *_) = own_gaps(whole([PASSIVELY_DETUNED] * 3), EMF)
    (found,) = diode_onsets(
        source.ohm, [own], open_v_per_t=source.open_v / 20e-6, b1_plus_t=[1e-9, 20e-6], frequency_hz=FREQUENCY_HZ
    )
    assert [one.part for one in found] == ["D trap 3", "D trap 2"]
    assert found[1].acts_t > 2 * found[0].acts_t


def test_solved_wires_in_a_rotating_field_carry_the_currents_of_the_table():
    """Tuned, the electric field that goes with B1+ does not matter; the loop stands, its normal across the magnet."""
    wires = loop()
    made = wired(elements=1)
    outcome = replace(
        made, ports=wires.ports(8.0), synthesis=replace(made.synthesis, circuits=(circuit(),)),
    )  # fmt: skip
    x, y, z = wires.vertices_m.T
    found = in_transmit_field(outcome, wires.network, np.stack([x, z, y], axis=-1), b1_plus_t=20e-6,
                              sense=Precession.CLOCKWISE)  # fmt: skip
    rows = {row["state"]: row["current_a"] for row in PRINTED["states"]}
    assert outcome.ports.frequency_hz == ONE_LOOP_HZ
    assert found.tuned_a[0] == pytest.approx(rows["open"], rel=0.02)
    assert found.state(RECEIVING.name).elements[0].mean_current_a == pytest.approx(rows["preamplifier"], rel=0.03)


def test_the_sense_in_which_the_field_turns_tells_the_elements_apart():
    """Three rings on an arc, the last further off; against the voltages that a field of either sense induces."""
    places_m, turns = np.array([[-0.07, 0.01, 0], [0, 0, 0], [0.09, 0.03, 0]]), (-0.5, 0.0, 0.9)
    faces = [np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]]) for a in turns]
    standing_m = ring(0.04, 0.0)[:, [0, 2, 1]]
    parts = dressed([standing_m @ face.T + place for face, place in zip(faces, places_m, strict=True)], gaps=4)
    network = solve_network(parts, ONE_LOOP_HZ, band_fraction=0.04, frequency_count=5)
    nodes_m = np.concatenate([element.vertices_m for element in parts.layout.elements])
    emf = [port_emf_v(network, nodes_m, rotating_field_t(20e-6, sense=sense)) for sense in (1, -1)]
    told = np.array(
        [in_transmit_field(wired(), network, nodes_m, b1_plus_t=20e-6, sense=s).tuned_a for s in Precession]
    )
    expected = np.array([array_under_field(wired(), emf_v=one, b1_plus_t=20e-6).tuned_a for one in emf])
    assert told == pytest.approx(expected)
    assert np.abs(told[0] / told[1] - 1).max() > 0.05


def test_sixteen_elements_take_less_than_three_seconds():
    outcome, emf = wired(elements=16), emf_v(16, 4)
    begun = time.process_time()
    found = array_under_field(outcome, emf_v=emf, b1_plus_t=20e-6)
    assert time.process_time() - begun < 3
    assert len(found.faults) == 3 * (1 + 32)
