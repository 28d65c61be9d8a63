"""What the bias monitor and a prescan notice of faults, told from the readings and the received signals themselves."""

from dataclasses import replace

import numpy as np
import pytest

from brief.base_brief import brief_with
from loopwright.circuits import check_interface
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.bias.bias_lines import DIODE_OPEN, DIODE_SHORT, LINE_BROKEN
from loopwright.circuits.faults.listing import as_case, fault_cases, normal_cases
from loopwright.circuits.states import RECEIVING, PartOff
from loopwright.transmit.detection import detections
from loopwright.transmit.finding import Finding, Told, surest
from loopwright.transmit.prescan import NOTICED_NOISE, NOTICED_SIGNAL_DB, by_prescan, received_channels
from transmit.driven_rings import NAMES, driven
from wired_rings import emf_v, wired

OPEN_V_PER_T = np.conj(emf_v(3, 4)) / 20e-6
EACH_ITS_OWN = tuple({"name": f"B{n}", "elements": [name]} for n, name in enumerate(NAMES, 1))
ALL_ON_ONE = ({"name": "B1", "elements": ["all"], "branches": "3"},)


def lines_of(*lines, **keys):
    interface = {"channels_per_plug": "16", "bias_lines": list(lines), **keys}
    return check_interface(brief_with(interface=interface).interface, NAMES, frequency_hz=123.2e6).lines


def found_by_name(lines):
    circuits = driven().circuits
    cases = (
        *normal_cases(circuits),
        *fault_cases(circuits, names=NAMES, bias_lines=[line.line for line in lines]),
    )
    found = detections(driven().ports, circuits, cases, names=NAMES, received_open_v_per_t=OPEN_V_PER_T, lines=lines)
    return {case.name: one for case, one in zip(cases, found, strict=True)}


def monitor(found, text):
    return next(one.bias_monitor for name, one in found.items() if name.startswith(text))


def prescan(found, text):
    return next(one.prescan for name, one in found.items() if name.startswith(text))


def reading(line, what):
    return next(fault for fault in line.faults if fault.what == what)


@pytest.mark.parametrize("lines", [EACH_ITS_OWN, ALL_ON_ONE], ids=["a line each", "one line for all"])
def test_the_bias_monitor_notices_what_a_threshold_tells(lines):
    checked = lines_of(*lines, sense_current="60 mA")
    found = found_by_name(checked)
    own_cable = LINE_BROKEN if lines is EACH_ITS_OWN else DIODE_OPEN
    for text, what in (
        ("E01: D trap 2 without bias", DIODE_OPEN),
        ("E01: D trap 2 open", DIODE_OPEN),
        ("E01: D trap 2 short", DIODE_SHORT),
        ("E01: cable to the element broken", own_cable),
        ("bias line B1", LINE_BROKEN),
    ):
        fault = reading(checked[0], what)
        told = monitor(found, text)
        assert told.told is (Told.NOTICED if fault.noticed_by else Told.NOT_NOTICED), text
        assert fault.noticed_by in told.words
    # Both kinds occur, or nothing would be told apart.
    assert {one.bias_monitor.told for one in found.values()} == set(Told)


def test_the_bias_monitor_does_not_see_what_no_direct_current_passes():
    found = found_by_name(lines_of(*EACH_ITS_OWN))
    for text in ("E01: C tune 4 open", "E01: L trap 2 inductance", "E02: D trap 3 open", "E01: preamplifier off"):
        assert monitor(found, text).told is Told.NOT_NOTICED
    # Bias that is fed through the trap's inductor is lost with it, bias that is fed beside it is not.
    assert monitor(found, "E01: L trap 2 open").told is Told.UNKNOWN
    assert monitor(found, "E01: C trap 2 short").told is Told.UNKNOWN
    assert monitor(found, "E01: L trap 3 open").told is Told.NOT_NOTICED


def test_without_bias_line_it_cannot_be_told():
    found = found_by_name(())
    assert monitor(found, "E01: D trap 2 open") == Finding(told=Told.UNKNOWN, words="no bias line described")
    found = found_by_name(lines_of(*EACH_ITS_OWN[:2]))
    assert monitor(found, "E03: D trap 2 open").told is Told.UNKNOWN
    assert "E03" in monitor(found, "E03: D trap 2 open").words


def test_which_branches_are_an_element_s_has_to_be_known():
    found = found_by_name(lines_of({"name": "B1", "elements": ["all"], "branches": "2"}))
    assert monitor(found, "E01: cable").told is Told.UNKNOWN


def test_an_array_unplugged_is_not_told_from_none():
    found = found_by_name(lines_of(*EACH_ITS_OWN))
    one = found["unplugged, no diode acting"]
    assert (one.bias_monitor.told, one.prescan.told) == (Told.UNKNOWN, Told.UNKNOWN)
    assert one.sentence.startswith("cannot be told")
    assert found["actively detuned"].sentence == "not noticed"


def test_a_prescan_notices_what_changes_signal_or_noise_by_its_thresholds():
    ports, circuits = driven().ports, driven().circuits
    found = found_by_name(())
    states = [RECEIVING] * 3

    def signal(states):
        solved = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=ports.frequency_hz)
        return np.abs(solved.port_current.T @ OPEN_V_PER_T)

    for case in fault_cases(circuits, names=NAMES):
        if found[case.name].prescan.words.startswith("no signal") or "half mated" in case.name:
            continue
        failed = [
            RECEIVING.with_faults(*s.faults) if e in case.failed else RECEIVING for e, s in enumerate(case.states)
        ]
        largest_db = np.max(np.abs(20 * np.log10(signal(failed) / signal(states))))
        if largest_db > NOTICED_SIGNAL_DB:
            assert found[case.name].prescan.told is Told.NOTICED, case.name
    assert {one.prescan.told for one in found.values()} == set(Told)
    # A diode that has lost its bias, or come off, receives as well as ever.
    assert prescan(found, "E01: D trap 2 without bias").told is Told.NOT_NOTICED
    assert prescan(found, "E01: D trap 2 short").told is Told.NOTICED
    assert prescan(found, "E01: C tune 4 open").told is Told.NOTICED


@pytest.mark.parametrize("text", ["E02: preamplifier off", "E02: cable to the element broken"])
def test_a_dead_channel_is_noticed(text):
    assert prescan(found_by_name(()), text) == Finding(told=Told.NOTICED, words="no signal from E02")


def test_a_bad_contact_divides_signal_and_noise():
    ports, circuits = driven().ports, driven().circuits
    case = next(c for c in fault_cases(circuits, names=NAMES) if c.name.startswith("E01: plug half mated"))
    found = received_channels(ports, circuits, case, received_open_v_per_t=OPEN_V_PER_T)
    states = [RECEIVING.with_faults(*case.states[0].faults), RECEIVING, RECEIVING]
    solved = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=ports.frequency_hz)
    amplifier = circuits[0].receiver.input_ohm
    at_channel = np.abs(OPEN_V_PER_T @ solved.port_current)
    assert found.signal_v_per_t[0] == pytest.approx(at_channel[0] * abs(amplifier / (amplifier + 10)))
    assert found.signal_v_per_t[1:] == pytest.approx(at_channel[1:])


def test_the_thresholds_are_where_they_are_said_to_be():
    ports, circuits = driven().ports, driven().circuits
    sound = received_channels(ports, circuits, as_case(RECEIVING, 3), received_open_v_per_t=OPEN_V_PER_T)
    case = replace(as_case(RECEIVING.with_faults(PartOff(part="C tune 4", factor=1.1)), 3), failed=(0,))

    def told(signal=1.0, noise=1.0):
        other = replace(sound, signal_v_per_t=sound.signal_v_per_t * signal, noise_v=sound.noise_v * noise)
        return by_prescan(case, sound=sound, found=other, names=NAMES).told

    edge = 10 ** (-NOTICED_SIGNAL_DB / 20)
    assert (told(signal=edge * 1.01), told(signal=edge * 0.99)) == (Told.NOT_NOTICED, Told.NOTICED)
    edge = 1 + NOTICED_NOISE
    assert (told(noise=edge * 0.99), told(noise=edge * 1.01)) == (Told.NOT_NOTICED, Told.NOTICED)


def test_a_channel_that_hears_next_to_nothing_tells_no_change_and_hides_none():
    """A loop that looks along the magnet: nothing, or what neighbours leave there by rounding."""
    ports, circuits = driven().ports, driven().circuits
    sound = received_channels(ports, circuits, as_case(RECEIVING, 3), received_open_v_per_t=OPEN_V_PER_T)
    case = replace(as_case(RECEIVING.with_faults(PartOff(part="C tune 4", factor=1.1)), 3), failed=(0,))

    def told(before, after):
        first, then = (replace(sound, signal_v_per_t=sound.signal_v_per_t * factors) for factors in (before, after))
        return by_prescan(case, sound=first, found=then, names=NAMES).told

    assert told(np.array([1, 0, 1]), np.array([1, 0, 0.5])) is Told.NOTICED
    assert told(np.array([1, 0, 1]), np.array([1, 0, 1])) is Told.NOT_NOTICED
    assert told(np.array([1, 1e-12, 1]), np.array([1, 1e-11, 1])) is Told.NOT_NOTICED
    assert told(np.array([1, 1, 1]), np.array([1, 1, 0])) is Told.NOTICED


def test_what_is_noticed_counts_before_what_cannot_be_told():
    one = {told: Finding(told=told, words="") for told in Told}
    assert surest([one[Told.NOT_NOTICED], one[Told.UNKNOWN], one[Told.NOTICED]]).told is Told.NOTICED
    assert surest([one[Told.NOT_NOTICED], one[Told.UNKNOWN]]).told is Told.UNKNOWN


def test_the_noise_of_the_sound_array_is_that_of_reception():
    received = wired().received
    found = received_channels(
        driven().ports, driven().circuits, as_case(RECEIVING, 3), received_open_v_per_t=OPEN_V_PER_T
    )
    assert found.noise_v == pytest.approx(np.sqrt(np.diagonal(received.total_v2_per_hz).real), rel=1e-10, abs=0)
