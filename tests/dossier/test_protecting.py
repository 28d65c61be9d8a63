"""States and faults in the dossier: figures where they were computed, sentences where something does not hold."""

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from brief.base_brief import INTERFACE, brief_with
from loopwright.circuits import check_interface, held_current_a
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, UNPLUGGED
from loopwright.circuits.under_field.array_under_field import array_under_field
from loopwright.dossier import compile_dossier
from loopwright.dossier.gap_evidence import LumpedEvidence, PrintedEvidence
from loopwright.dossier.protecting import states_section
from loopwright.dossier.protection import capacitor_stress_v, protection_of, worst_fault
from loopwright.dossier.protection_answers import protection_answers
from loopwright.dossier.protection_tables import practice_word
from loopwright.formats.html import dossier_html
from loopwright.formats.pictures.states import state_bars, states_picture
from synthetic_evidence import synthetic_evidence
from wired_rings import TRAPS, emf_v, in_field, wired


def evidence(wiring=TRAPS, *, gaps=4, changes=None, **keys):
    """Three elements with a circuit, in its field; ``changes`` are of the evidence."""
    return dataclasses.replace(
        synthetic_evidence(count=3),
        **{
            "circuit": wired(wiring, gaps=gaps, **keys),
            "under_field": in_field(wiring, gaps=gaps, **keys),
            **(changes or {}),
        },
    )


@pytest.fixture(scope="module")
def told():
    return protection_of(evidence())


def table(section, name):
    return next(found for found in section.tables if found.name == name)


def values(section):
    return {finding.key: finding.value for finding in section.findings}


def test_it_follows_the_circuit_and_needs_one():
    anchors = [section.anchor for section in compile_dossier(evidence()).sections]
    assert anchors[anchors.index("circuit") + 1] == "states"
    assert protection_of(synthetic_evidence(count=3)) is None


def test_figures_are_those_of_the_array_in_the_field(told):
    found, section = in_field(), values(states_section(told))
    assert section["states.transmit_field_t"] == 20e-6
    assert section["states.tuned_current_a"] == pytest.approx(found.tuned_a)
    assert section["states.actively_detuned_current_a"] == pytest.approx(
        [element.mean_current_a for element in found.state(ACTIVELY_DETUNED.name).elements]
    )
    below = 20 * np.log10(found.tuned_a / np.array(section["states.passively_detuned_current_a"]))
    assert section["states.passively_detuned_below_tuned_db"] == pytest.approx(below)
    assert section["states.diodes_act_from_t"] == pytest.approx([own[0].acts_t for own in found.onsets])
    held = held_current_a(0.1, carrier_lifetime_s=1.5e-6, frequency_hz=123.2e6)
    assert section["states.pin_held_margin"] == pytest.approx(held / max(found.pin_current_a["D trap 2"]))


def test_faults_are_ranked_and_the_worst_one_is_named(told):
    rows = table(states_section(told), "faults").rows
    currents = [max(row[2::2]) for row in rows]
    assert currents == sorted(currents, reverse=True)
    assert rows[0][0] == "nothing acts in this element"
    assert rows[0][3::2] == pytest.approx((0.0,) * 3)
    words, current_a = worst_fault(told)
    assert words.startswith(f"{rows[1][0]}, {PASSIVELY_DETUNED.name}, A")
    assert rows[1][0] in ("D trap 3 open", "L trap 3 open")
    assert current_a == max(rows[1][2::2])
    assert words.endswith(str(rows[1][1]))


def test_traps_are_held_against_the_practice_in_two_words_only(told):
    rows = {row[0]: row for row in table(states_section(told), "traps").rows}
    assert rows["D trap 2"][1] == pytest.approx(in_field().traps[0].isolation_db.min())
    assert {row[4] for row in rows.values()} == {"inside the practice"}
    assert [practice_word(db) for db in (29.9, 30.0, 55.0)] == [
        "outside the practice", "inside the practice", "inside the practice",
    ]  # fmt: skip
    answers = " ".join(answer.answer for answer in protection_answers(told))
    assert "One trap reaches the practice" in answers
    weak = dataclasses.replace(in_field().traps[0], isolation_db=np.array([20.0, 35.0, 40.0]))
    two = dataclasses.replace(told, found=dataclasses.replace(told.found, traps=(weak, in_field().traps[1])))
    answers = " ".join(answer.answer for answer in protection_answers(two))
    assert "D trap 2 20.0 dB, outside the practice" in answers
    assert "a second trap in the loop is the usual remedy" in answers
    assert "safe" not in answers
    alike = dataclasses.replace(told.found, faults=tuple(
        dataclasses.replace(fault, current_a=np.full(3, 2.0)) for fault in told.found.faults))  # fmt: skip
    answers = " ".join(answer.answer for answer in protection_answers(dataclasses.replace(told, found=alike)))
    assert "would carry 2.00 A." in answers


def test_what_crossed_diodes_do_is_answered(told):
    answer = next(a.answer for a in protection_answers(told) if "crossed diodes" in a.question)
    assert "Below it the loop stays tuned" in answer
    acts = [own[0].acts_t for own in in_field().onsets]
    assert f"{float(f'{1e9 * min(acts):.2g}'):g} nT" in answer
    (row, *_) = table(states_section(told), "diode_onset").rows
    assert row[2] == pytest.approx(1e6 * acts[0])


def test_a_wiring_that_nothing_detunes_is_a_caution():
    section = states_section(protection_of(evidence("capacitive match", gaps=2)))
    assert "Nothing in this wiring detunes it" in section.cautions[0]
    assert {"traps", "diode_onset", "pin_diodes"}.isdisjoint(found.name for found in section.tables)
    answers = protection_answers(protection_of(evidence("capacitive match", gaps=2)))
    assert [answer.question for answer in answers] == ["What does a single failed part do in the transmit field?"]


def test_heating_and_tests_on_the_coil_are_always_told(told):
    section = states_section(told)
    assert "tested on the built coil" in section.cautions[-1]
    assert "heating" in section.prose[0]
    assert "electric field is along z" in section.prose[1]


def test_a_rating_below_twice_the_stress_is_a_caution():
    cautions = " ".join(states_section(protection_of(evidence(capacitor_rating="20 V"))).cautions)
    assert "actively detuned: element" in cautions
    assert "rated 20 V" in cautions
    assert "a factor of 2 is common practice" in cautions


def test_the_rating_of_the_gaps_serves_where_the_circuit_has_none(told):
    stress_v, where = capacitor_stress_v(told)
    assert where.startswith("C trap")
    voltages = [part.voltage_v for name in in_field().detuned for element in in_field().state(name).elements
                for part in element.parts if part.name.startswith("C ")]  # fmt: skip
    assert stress_v == max(voltages)
    parts = LumpedEvidence(lines=(), rating_v=1.9 * stress_v, tolerance=0.05, series="E24", network_q=1500.0)
    cautions = " ".join(states_section(protection_of(evidence(changes={"capacitors": parts}))).cautions)
    assert "the rating in `capacitors`" in cautions
    enough = dataclasses.replace(parts, rating_v=2.1 * stress_v)
    cautions = " ".join(states_section(protection_of(evidence(changes={"capacitors": enough}))).cautions)
    assert "the rating in `capacitors`" not in cautions


def test_printed_plates_are_held_against_what_the_weakest_withstands(told):
    stress_v, _ = capacitor_stress_v(told)
    plates = [SimpleNamespace(withstand_v=times * stress_v) for times in (3.0, 1.5)]
    made = PrintedEvidence(lines=(), gaps=plates, unprinted=(), sentences=(), margin_m=1e-3, gap_between_m=1e-3,
                           asked_step=0.01, derating=0.05, network_q=300.0)  # fmt: skip
    known = protection_of(evidence(changes={"capacitors": made}))
    assert known.rating_v == pytest.approx(1.5 * stress_v)
    # The section of the plates themselves needs real ones; the sentence here does not.
    assert "weakest of the printed plates withstands" in " ".join(states_section(known).cautions)


def test_bias_that_holds_too_little_is_a_caution():
    written = {**INTERFACE, "bias_lines": [{"name": "B1", "diode": {"carrier_lifetime": "20 ns"}}]}
    check = check_interface(brief_with(interface=written).interface, ("A1", "A2", "A3"), frequency_hz=123.2e6)
    told = protection_of(evidence(changes={"interface": check}))
    assert told.held_a["D trap 2"] == pytest.approx([check.lines[0].held_a] * 3)
    cautions = " ".join(states_section(told).cautions)
    carried = max(in_field().pin_current_a["D trap 2"])
    assert f"the bias holds {check.lines[0].held_a / carried:.2g} times" in cautions


@pytest.mark.parametrize(("branches", "said"), [("8", True), ("1", False)])
def test_a_bias_that_divides_is_held_against_the_diode_of_the_circuit(branches, said):
    """Resistance goes with the current to the power of -0.9."""
    written = {**INTERFACE, "bias_lines": [{"name": "B1", "branches": branches}]}
    check = check_interface(brief_with(interface=written).interface, ("A1", "A2", "A3"), frequency_hz=123.2e6)
    cautions = " ".join(states_section(protection_of(evidence(changes={"interface": check}))).cautions)
    given_a = check.lines[0].current_a / int(branches)
    assert ("D trap 2 is taken at 0.350 Ω under 100 mA" in cautions) is said
    assert (
        f"give it {1e3 * given_a:.2g} mA, at which it may have {0.35 * (given_a / 0.1) ** -0.9:.2g} Ω" in cautions
    ) is said


def test_diodes_that_the_field_does_not_reach_are_a_caution():
    weak = array_under_field(wired(), emf_v=1e-4 * emf_v(3, 4), b1_plus_t=2e-9)
    told = protection_of(evidence(changes={"under_field": weak}))
    assert "In 3 elements no crossed diodes act" in " ".join(states_section(told).cautions)


def test_the_picture_has_a_bar_for_every_state_and_the_page_takes_it():
    picture = states_picture(in_field())
    assert picture.png.startswith(b"\x89PNG")
    assert "20 µT" in picture.caption
    bars = dict(state_bars(in_field()))
    assert len(bars) == len(in_field().states) + 2
    assert bars[UNPLUGGED.name] == pytest.approx(in_field().tuned_a)
    assert [current.max() for current in bars.values()] == sorted(current.max() for current in bars.values())
    dossier = compile_dossier(evidence())
    page = dossier_html(dossier, pictures=(picture,), references=())
    assert "States and faults" in page
    assert "data:image/png" in page


def test_the_fuse_window_takes_the_currents_of_the_circuits():
    check = check_interface(brief_with(interface=INTERFACE).interface, ("A1", "A2", "A3"), frequency_hz=123.2e6)
    section = next(s for s in compile_dossier(evidence(changes={"interface": check})).sections
                   if s.anchor == "interface")  # fmt: skip
    rows, found = table(section, "fuses").rows, in_field()
    for row, intact_a, detuned_a in zip(rows, found.least_intact_a, found.detuned_a, strict=True):
        assert row[2:4] == pytest.approx((intact_a * 3.2 / 20, detuned_a * 3.2 / 20))
        assert row[4:6] == pytest.approx((3 * row[3], row[2] / (2 * np.sqrt(5))))
        assert row[6] == "open"
    narrow = dataclasses.replace(found, faults=tuple(
        dataclasses.replace(fault, current_a=10 * found.detuned_a) if fault.fault is None else fault
        for fault in found.faults))  # fmt: skip
    section = next(s for s in compile_dossier(evidence(changes={"interface": check, "under_field": narrow})).sections
                   if s.anchor == "interface")  # fmt: skip
    assert {row[6] for row in table(section, "fuses").rows} == {"empty"}
    assert "For 3 of 3 elements no rating does both" in " ".join(section.prose)


def test_diodes_that_do_not_act_in_the_field_are_told_and_have_no_field(told):
    late = tuple(tuple(dataclasses.replace(one, acts_t=float("inf")) for one in own) for own in told.found.onsets)
    weak = dataclasses.replace(told, found=dataclasses.replace(told.found, onsets=late))
    (answer,) = (a.answer for a in protection_answers(weak) if "crossed diodes" in a.question)
    assert answer == "None acts up to 20 µT peak B1+: the loops stay tuned."
    section = states_section(weak)
    assert "In 3 elements no crossed diodes act" in " ".join(section.cautions)
    assert np.isnan(values(section)["states.diodes_act_from_t"]).all()
    assert np.isnan(table(section, "diode_onset").rows[0][2])
