"""Every type of part has a rule by which it fails, and every part of every wiring fails in some case."""

from dataclasses import is_dataclass

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.ready_circuits import KIT, random_ports_ohm, two_traps
from loopwright.circuits import parts
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.failures import CONTACT_OHM, OFF_INPUT_OHM
from loopwright.circuits.faults.listing import FAULT_LIMITS, fault_cases, normal_cases, transmit_conditions
from loopwright.circuits.faults.rules import OFF_VALUE, RECEIVER, RULES, possible_faults
from loopwright.circuits.nodal import reduced
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, Fuse, Line, NoiseParameters, OffGap, PinDiode, Resistor
from loopwright.circuits.ready import fuse_in_series, matched_at_line_end
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    SHORT_OHM,
    UNPLUGGED,
    AmplifierOff,
    CableBroken,
    Diodes,
    NoBias,
    PartFault,
    PartOff,
    PartOpen,
    PartShort,
    PlugContact,
    channel_siemens,
    in_state,
)
from loopwright.circuits.wiring import complaints
from loopwright.ground.errors import OutsideModelError
from wired_rings import TRAPS, wired

F_HZ = 123.2e6
#: Records of parts.py that describe a part and are none.
NO_PARTS = {NoiseParameters}
WIRINGS = (
    ("capacitive match", 2),
    (TRAPS, 4),
    ("match with PIN trap across it", 2),
    ("amplifier on the loop with low input impedance", 2),
    ("amplifier on the loop with high input impedance", 2),
    ("match at the end of a line", 2),
    ("own", 2),
)


def part_types():
    """Every record that parts.py itself defines."""
    found = [one for one in vars(parts).values() if isinstance(one, type) and one.__module__ == parts.__name__]
    assert all(is_dataclass(one) for one in found)
    return set(found) - NO_PARTS


def with_fuse():
    fuse = Fuse(resistance_ohm=0.3, open_capacitance_f=0.2e-12, rated_current_rms_a=0.5)
    circuit = two_traps()
    (tune,) = (branch for branch in circuit.branches if branch.name == "C tune 4")
    kept = tuple(branch for branch in circuit.branches if branch is not tune)
    branches = (*kept, *fuse_in_series(4, KIT, capacitance_f=tune.part.capacitance_f, fuse=fuse))
    return type(circuit)(
        gap_count=4, branches=branches, channel=circuit.channel, receiver=circuit.receiver, returns=circuit.returns
    )


def with_line():
    line = Line(length_m=0.09, characteristic_ohm=50, velocity_factor=0.7, loss_db_per_m=0.3)
    return matched_at_line_end(KIT, gap_count=2, line=line, tune_f=30e-12, match_f=60e-12, series_h=26e-9)


def named(circuit):
    return {branch.name for branch in circuit.branches} | {RECEIVER}


def failed_parts(cases, element):
    """Parts of one element that some case names as failed."""
    found = set()
    for case in cases:
        for fault in case.states[element].faults if element in case.failed else ():
            found.add(fault.part if isinstance(fault, PartFault) else RECEIVER)
    return found


def test_every_type_of_part_has_a_rule():
    assert set(RULES) == part_types()


def test_a_part_of_a_type_without_rule_is_refused(monkeypatch):
    monkeypatch.setattr("loopwright.circuits.faults.rules.RULES", {k: v for k, v in RULES.items() if k is not PinDiode})
    with pytest.raises(OutsideModelError, match="D trap 3 is a PinDiode"):
        possible_faults(two_traps())


@pytest.mark.parametrize(("wiring", "gaps"), WIRINGS)
def test_every_part_of_every_wiring_fails_in_some_case(wiring, gaps):
    circuits = wired(wiring, gaps=gaps).circuits
    cases = fault_cases(circuits, names=("E01", "E02", "E03"))
    for element, circuit in enumerate(circuits):
        assert failed_parts(cases, element) == named(circuit)


@pytest.mark.parametrize("circuit", [with_fuse(), with_line()], ids=["fuse", "line"])
def test_every_part_of_fuses_and_lines_fails_in_some_case(circuit):
    assert failed_parts(fault_cases([circuit], names=("E01",)), 0) == named(circuit)


def test_each_case_departs_from_its_condition_in_the_failed_elements_only():
    circuits = [with_fuse(), two_traps()]
    cases = fault_cases(circuits, names=("E01", "E02"))
    by_name = {state.name: state for state in transmit_conditions(circuits)}
    assert len({case.name for case in cases}) == len(cases)
    for case in cases:
        for element, state in enumerate(case.states):
            assert (state == by_name[case.family]) == (element not in case.failed)
            assert state.plug is by_name[case.family].plug
            assert not complaints(in_state(circuits[element], state))


def test_normal_conditions_are_those_that_the_circuits_can_be_in():
    def names(circuits):
        return [case.name for case in normal_cases(circuits)]

    both = [RECEIVING, ACTIVELY_DETUNED, DETUNED_BY_BOTH, BIAS_MISSING, PASSIVELY_DETUNED, UNPLUGGED]
    assert names([two_traps()] * 2) == [state.name for state in both]
    assert names(wired("match with PIN trap across it", gaps=2).circuits) == [
        state.name for state in (RECEIVING, ACTIVELY_DETUNED, UNPLUGGED)
    ]
    assert names([with_line()]) == [RECEIVING.name, UNPLUGGED.name]


def test_faults_are_listed_in_the_conditions_of_transmission():
    assert transmit_conditions([two_traps()]) == (DETUNED_BY_BOTH, PASSIVELY_DETUNED)
    assert transmit_conditions(wired("match with PIN trap across it", gaps=2).circuits) == (ACTIVELY_DETUNED, UNPLUGGED)
    assert transmit_conditions([with_line()]) == (RECEIVING, UNPLUGGED)
    cases = fault_cases([two_traps()], names=("E01",))
    unplugged = [case.states[0].faults for case in cases if case.family == PASSIVELY_DETUNED.name]
    # No bias and no receiver there, so nothing of them can fail.
    assert not any(isinstance(f, NoBias | AmplifierOff | PlugContact | CableBroken) for own in unplugged for f in own)
    assert sum(case.family == DETUNED_BY_BOTH.name for case in cases) == len(unplugged) + 4


def test_an_open_bias_line_leaves_all_its_elements_without_bias():
    lines = [{"name": "B1", "elements": ["E01", "E03"], "branches": "2"}]
    (line,) = brief_with(interface={"channels_per_plug": "16", "bias_lines": lines}).interface.bias_lines
    cases = fault_cases([two_traps()] * 3, names=("E01", "E02", "E03"), bias_lines=[line])
    (found,) = (case for case in cases if case.name.startswith("bias line B1"))
    assert (found.failed, found.family) == ((0, 2), DETUNED_BY_BOTH.name)
    assert [state.pin_diodes for state in found.states] == [Diodes.BLOCK, Diodes.CONDUCT, Diodes.BLOCK]


def test_words_tell_where_a_trap_is_lost():
    words = {one.words for one in possible_faults(two_traps())}
    assert "L trap 2 open; trap lost" in words
    assert "D trap 2 open; trap lost" in words
    assert "C trap 2 open: cracked, or off its pads" in words  # the gap stays, detuned
    assert "L series open" in words
    across = wired("match with PIN trap across it", gaps=2).circuits[0]
    assert "L series open" in {one.words for one in possible_faults(across)}


@pytest.mark.parametrize(
    ("circuit", "part", "kinds"),
    [
        (two_traps(), "C trap 2", [PartOpen, PartShort, PartOff, PartOff]),
        (two_traps(), "L series", [PartOpen, PartShort, PartOff, PartOff]),
        (two_traps(), "D trap 2", [PartOpen, PartShort]),
        (two_traps(), "D trap 3", [PartOpen, PartShort, NoBias]),
        (with_fuse(), "Fuse 4", [PartOpen, PartShort]),
        (with_line(), "line", [PartOpen, PartShort, PartOff, PartOff]),
        (two_traps(), RECEIVER, [AmplifierOff, PlugContact, CableBroken]),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_each_kind_of_part_fails_in_every_way_that_it_can(circuit, part, kinds):
    own = [one.fault for one in possible_faults(circuit) if one.part == part]
    assert [type(fault) for fault in own] == kinds
    assert all(fault.part == part for fault in own if isinstance(fault, PartFault))


def test_drift_is_a_tenth_to_either_side():
    factors = {one.fault.factor for one in possible_faults(two_traps()) if hasattr(one.fault, "factor")}
    assert factors == {1 - OFF_VALUE, 1 + OFF_VALUE}
    assert "C match capacitance +10 %" in {one.words for one in possible_faults(two_traps())}


def test_a_diode_without_bias_blocks_whatever_the_others_do():
    circuit, state = two_traps(), ACTIVELY_DETUNED.with_faults(NoBias(part="D trap 3"))
    assert isinstance(in_state(circuit, ACTIVELY_DETUNED).part("D trap 3"), Resistor)
    left = in_state(circuit, state).part("D trap 3")
    assert isinstance(left, OffGap)
    assert left.capacitance_f == KIT.pin_diode.reverse_capacitance_f
    assert isinstance(in_state(circuit, ACTIVELY_DETUNED.with_faults(CableBroken())).part("D trap 3"), OffGap)


def test_what_stands_at_the_channel_follows_the_fault():
    def ohm(state, *faults):
        return 1 / channel_siemens(KIT.receiver, state.with_faults(*faults))

    assert ohm(RECEIVING) == KIT.receiver.input_ohm
    assert ohm(RECEIVING, PlugContact()) == KIT.receiver.input_ohm + CONTACT_OHM
    assert ohm(RECEIVING, AmplifierOff()) == OFF_INPUT_OHM
    assert channel_siemens(KIT.receiver, RECEIVING.with_faults(CableBroken())) == 0
    assert channel_siemens(KIT.receiver, UNPLUGGED.with_faults(AmplifierOff())) == 0


def test_a_broken_cable_is_an_element_unplugged_alone():
    z, rng = random_ports_ohm(np.random.default_rng(5), 8), np.random.default_rng(6)
    open_v = rng.standard_normal(8) + 1j * rng.standard_normal(8)

    def currents(first):
        states = [first, ACTIVELY_DETUNED]
        return gap_currents_a(array_state(z, [two_traps()] * 2, states, frequency_hz=F_HZ), open_v)

    assert currents(ACTIVELY_DETUNED.with_faults(CableBroken())) == pytest.approx(currents(UNPLUGGED), rel=1e-12)


@pytest.mark.parametrize(
    ("fault", "left"),
    [
        (PartOpen(part="line"), Capacitor(capacitance_f=0.1e-12)),
        (PartShort(part="line"), Resistor(resistance_ohm=SHORT_OHM)),
    ],
    ids=["broken", "crushed"],
)
def test_a_failed_line_leaves_its_pads_or_a_short_at_the_gap_of_the_element(fault, left):
    # By hand: broken, the pads' capacitance lies in series with the line seen from its near end; crushed, the short
    # lies across it.
    circuit = with_line()
    seen = reduced(in_state(circuit, RECEIVING), F_HZ, 0.5).gap_siemens[0, 0]
    failed = in_state(circuit, RECEIVING.with_faults(fault))
    assert not complaints(failed)
    extra = admittance_siemens(left, F_HZ)
    expected = 1 / (1 / seen + 1 / extra) if isinstance(fault, PartOpen) else seen + extra
    assert reduced(failed, F_HZ, 0.5).gap_siemens[0, 0] == pytest.approx(expected, rel=1e-10)


def test_bridges_between_elements_are_told_as_not_modelled():
    assert any("touch are not modelled" in sentence for sentence in FAULT_LIMITS)
