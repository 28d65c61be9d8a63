"""What the dossier says of the array while the scanner transmits, from an invented record."""

import re
from dataclasses import replace
from math import inf, nan

import pytest

from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.states import Diodes
from loopwright.dossier import compile_dossier
from loopwright.dossier.transmit_words import assessment_sentence, worst_percent
from loopwright.dossier.transmitting import transmit_sections
from loopwright.formats.tables import table_csv
from loopwright.heating.spot import Place
from loopwright.limits import CAUTIONS, LimitName, Verdict, assess, ranked
from made_transmit import EXPOSURE, REST_C, change, made_transmit, row_of, with_transmit, without_heat
from synthetic_evidence import synthetic_evidence

NAMES = tuple(f"E{k + 1:02d}" for k in range(6))
TOLD = made_transmit(NAMES)
ANCHORS = ("transmitting", "transmit_faults", "transmit_heat", "held_limits")


def section(anchor, told=TOLD):
    return next(one for one in transmit_sections(told) if one.anchor == anchor)


def table(anchor, name, told=TOLD):
    return next(one for one in section(anchor, told).tables if one.name == name)


def column(found, title):
    at = [one.title for one in found.columns].index(title)
    return [row[at] for row in found.rows]


def words(told):
    """Everything that the page prints of the chapter."""
    for one in transmit_sections(told):
        yield from (one.title, *one.prose, *one.cautions)
        yield from (text for answer in one.answers for text in (answer.question, answer.answer))
        yield from (text for finding in one.findings for text in (finding.label, finding.text))
        for found in one.tables:
            yield from (found.caption, *(head.heading for head in found.columns))
            yield from (head.text(cell) for row in found.rows for head, cell in zip(found.columns, row, strict=True))


def test_the_chapter_stands_in_the_dossier_only_where_it_was_asked_for():
    plain = synthetic_evidence(count=4)
    assert not set(ANCHORS) & {one.anchor for one in compile_dossier(plain).sections}
    dossier = compile_dossier(with_transmit(plain, made_transmit(plain.element_names)))
    assert [one.anchor for one in dossier.sections if one.anchor in ANCHORS] == list(ANCHORS)
    first = next(one for one in dossier.sections if one.anchor == "answers")
    asked = [one.question for one in first.answers]
    for question in ("Which single fault is worst, and why?", "What gets how hot?",
                     "Where do I put 4 temperature probes?", "Which limits are met?"):  # fmt: skip
        assert question in asked


def test_nothing_is_called_safe_and_nothing_is_printed_as_nan():
    empty = replace(
        TOLD.named(TOLD.ranked[0].row.name), local_sar_ratio_bound=nan, local_sar=None, hot_places=(), absorbed_w=nan
    )
    odd = replace(TOLD, faults=tuple(empty if one.case == empty.case else one for one in TOLD.faults),
                  diodes=(replace(TOLD.diodes[0], acts_t=inf, current_a=nan, b1_at_onset=nan),))  # fmt: skip
    for told in (TOLD, without_heat(TOLD), odd):
        for text in words(told):
            assert not re.search(r"\b(un)?safe(ly)?\b", text, re.IGNORECASE), text
            assert not re.search(r"\b(nan|inf)\b", text), text


def test_all_cautions_stand_at_the_head_of_the_chapter():
    printed = " ".join(transmit_sections(TOLD)[0].cautions)
    for caution in CAUTIONS:
        assert caution.sentence in printed
    assert "not limits for a child" in " ".join(section("transmit_heat").cautions)


def test_numbers_of_conditions_come_from_the_record():
    found = table("transmitting", "transmit_states")
    assert column(found, "condition") == [one.case.name for one in TOLD.conditions]
    assert column(found, "current, peak") == [one.largest_current_a for one in TOLD.conditions]
    rms = EXPOSURE.rms_b1_plus_t / EXPOSURE.peak_b1_plus_t / 2**0.5
    assert column(found, "current, rms")[0] == pytest.approx(0.55 * rms)
    assert column(found, "gap voltage, peak")[0] == pytest.approx(85 * 0.55)
    parts, traces = column(found, "power in parts"), column(found, "power in conductors")
    assert [a + b for a, b in zip(parts, traces, strict=True)] == pytest.approx([c.array_w for c in TOLD.conditions])
    weaker = replace(TOLD, exposure=replace(EXPOSURE, rms_b1_plus_t=EXPOSURE.rms_b1_plus_t / 2))
    assert column(table("transmitting", "transmit_states", weaker), "current, rms")[0] == pytest.approx(0.275 * rms)


def test_b1_is_told_as_driven_and_as_the_scanner_adjusts_it():
    found = table("transmitting", "transmit_states_b1")
    change = TOLD.conditions[0].b1
    row = found.rows[0]
    assert row[1:4] == pytest.approx((100 * (change.as_driven.mean - 1), -14.0, 15.0))
    assert row[4] == pytest.approx(100 * (1 / change.as_driven.mean - 1))
    assert row[-1] == "at most 1.39"  # 1 + 0.7 x 0.55 = 1.385, a bound rounds up


def test_a_bound_of_local_sar_is_never_printed_lower_than_it_is():
    case = replace(TOLD.conditions[0], local_sar_ratio_bound=2.0001)
    told = replace(TOLD, conditions=(case, *TOLD.conditions[1:]))
    assert table("transmitting", "transmit_states_b1", told).rows[0][-1] == "at most 2.01"


def test_faults_keep_the_order_of_the_record():
    found = table("transmit_faults", "transmit_faults")
    assert column(found, "rank") == [one.rank for one in TOLD.ranked]
    assert found.rows_on_page == 20 < len(found.rows) == len(TOLD.ranked)
    backwards = replace(TOLD, ranked=tuple(reversed(TOLD.ranked)))
    assert column(table("transmit_faults", "transmit_faults", backwards), "rank") == [
        one.rank for one in reversed(TOLD.ranked)
    ]


def test_a_row_tells_fault_condition_place_and_what_comes_of_it():
    found = table("transmit_faults", "transmit_faults")
    row = dict(zip([one.title for one in found.columns], found.rows[0], strict=True))
    assert (row["fault"], row["where"]) == ("trap diode open", "E01")
    assert row["condition"] == "actively and passively detuned"
    assert row["current, peak"] == pytest.approx(1.9)
    assert row["surface"] == pytest.approx(REST_C + 1.1 * 12.6)
    assert row["±"] == pytest.approx(0.12 * 12.6)
    assert row["B1+ worst 1 % [%]"] == pytest.approx(34.0)
    assert row["10 g ratio [1]"] == pytest.approx(1 + 0.4 * 1.9)
    assert row["ratings exceeded"] == 1
    assert row["fuse opens after"] == pytest.approx(2.3)
    assert row["noticed by"] == "bias monitor"
    assert row["used [%]"] == pytest.approx(100 * TOLD.ranked[0].used)


def test_folded_carriers_and_normal_conditions_have_their_place_too():
    found = table("transmit_faults", "transmit_faults")
    by_fault = dict(zip(column(found, "fault"), zip(column(found, "where"), column(found, "noticed by"), strict=True),
                        strict=True))  # fmt: skip
    assert by_fault["E01 folded over E02"] == ("carrier", "cannot be told")
    assert by_fault["nothing failed"] == ("all elements", "not applicable")


def test_several_failed_elements_are_named_and_counted():
    line = TOLD.faults[0]
    case = ArrayCase(name="bias line A: open (actively and passively detuned)", states=line.case.states,
                     failed=(0, 1, 2, 3, 4), family=line.case.family)  # fmt: skip
    told = replace(TOLD, faults=(replace(line, case=case),), ranked=(
        replace(TOLD.ranked[0], row=replace(TOLD.ranked[0].row, name=case.name)),
    ))  # fmt: skip
    row = table("transmit_faults", "transmit_faults", told).rows[0]
    assert row[1:4] == ("bias line A: open", "actively and passively detuned", "E01, E02, E03 and 2 more")


def test_the_worst_and_the_worst_unplugged_are_named_with_the_reason():
    by = {one.question: one.answer for one in section("transmit_faults").answers}
    worst = by["Which single fault is worst, and why?"]
    assert worst.startswith("E01: trap diode open (actively and passively detuned)")
    assert "48.1 ± 1.5 °C in the end" in worst
    assert f"{100 * TOLD.ranked[0].used:.0f} % of what “greatest local B1+” allows" in worst
    assert "unplugged" in by["Which unplugged state is worst?"]
    silent = tuple(replace(one, detection=TOLD.conditions[0].detection) for one in TOLD.faults)
    unseen = next(a for a in section("transmit_faults", replace(TOLD, faults=silent)).answers if "notice" in a.question)
    assert f"{len(silent)} of {len(silent)}" in unseen.answer


def test_heat_is_told_from_the_surface_at_rest_and_with_its_uncertainty():
    found = table("transmit_heat", "hot_spots")
    assert column(found, "after") == sorted(column(found, "after"), reverse=True)
    assert column(found, "start") == [REST_C] * len(found.rows)
    assert column(found, "allowed")[0] == pytest.approx(41 - REST_C)
    assert column(found, "rise after")[0] == pytest.approx(12.6)
    assert len(table("transmit_heat", "hot_spot_places").rows) == 5 * len(TOLD.hot_places)
    assert "6.8 K to the 41 °C" in section("transmit_heat").prose[0]


def test_the_plan_names_each_probe_its_place_and_its_reason_and_one_for_reference():
    found = table("transmit_heat", "probes")
    plan = TOLD.probes
    assert column(found, "probe") == [1, 2, 3, 4]
    assert column(found, "reason") == [*(one.reason for one in plan.probes), plan.reference]
    assert found.rows[0][3:6] == plan.probes[0].place.position_m
    prose = " ".join(section("transmit_heat").prose)
    for state in plan.unseen:
        assert f"“{state}”" in prose
    assert plan.unseen


def test_without_heat_in_the_brief_its_section_is_left_out_and_a_sentence_says_so():
    cold = without_heat(TOLD)
    assert "transmit_heat" not in [one.anchor for one in transmit_sections(cold)]
    assert any("write `heat` in the brief" in sentence for sentence in section("transmitting", cold).prose)
    assert not any("write `heat`" in sentence for sentence in section("transmitting").prose)
    found = table("transmit_faults", "transmit_faults", cold)
    assert set(column(found, "surface")) == {"–"}
    surface = table("held_limits", "limits", cold).rows[0]
    assert "not assessed" in surface


def test_verdicts_are_the_three_words_and_margins_count_from_the_near_end():
    found = table("held_limits", "limits")
    assert column(found, "limit") == [one.limit.name for one in TOLD.assessments]
    assert set(column(found, "verdict")) == {"met", "not met", "not assessed"} == {one.value for one in Verdict}
    first = TOLD.assessments[0]
    assert column(found, "margin")[0] == pytest.approx(41 - first.value - first.uncertainty)
    assert column(found, "edition")[0] == first.limit.edition
    assert column(found, "unit")[:2] == ["°C", "W/kg"]
    assert "conductor to patient" in column(found, "limit")
    changed = assess(first.limit, 36.0, uncertainty=0.5, why="in a made case")
    row = table("held_limits", "limits", replace(TOLD, assessments=(changed,))).rows[0]
    assert "met" in row
    assert row[6] == pytest.approx(4.5)


def test_a_limit_of_the_brief_is_shown_beside_the_packaged_one():
    packaged = TOLD.limit_set.named(LimitName.SURFACE)
    own = replace(packaged, value=39.0, edition="agreed with the ethics board")
    limits = replace(TOLD.limit_set, limits=(own, *TOLD.limit_set.limits[1:]), replaced=(packaged,))
    found = table("held_limits", "limits_replaced", replace(TOLD, limit_set=limits))
    assert found.rows == ((packaged.name, "41 °C", packaged.edition, "39 °C", own.edition),)


def test_an_assessment_in_words_carries_limit_edition_verdict_and_reason():
    told = assessment_sentence(TOLD.assessments[1])
    assert told.startswith("whole-body SAR in normal mode: 0.600 ± 0.020 W/kg, at most 2 W/kg (IEC 60601-2-33")
    assert "met, margin 1.4 W/kg; in “actively detuned”" in told
    assert "no value" not in told
    missing = assessment_sentence(TOLD.assessments[-2])
    assert "not assessed" in missing


def test_every_column_of_numbers_has_a_unit_or_counts():
    counts = {"rank", "ratings exceeded", "probe", "value", "at", "±", "margin", "bears, peak", "holds up to"}
    for one in transmit_sections(TOLD):
        for found in one.tables:
            for head, cell in zip(found.columns, found.rows[0], strict=True):
                if isinstance(cell, int | float):
                    assert "[" in head.heading or head.title in counts, f"{found.name}: {head.heading}"


def test_what_the_page_does_not_tell_depends_on_what_was_told():
    plain = synthetic_evidence(count=4)

    def left_out(evidence):
        return " ".join(next(one for one in compile_dossier(evidence).sections if one.anchor == "limits").prose)

    told = made_transmit(plain.element_names)
    assert "Nothing here tells about the transmit field" in left_out(plain)
    warm, cold = (left_out(with_transmit(plain, one)) for one in (told, without_heat(told)))
    assert "Nothing here tells" not in warm
    assert "While the scanner transmits" in warm
    assert "nor is any temperature" in cold
    assert "nor is any temperature" not in warm


def test_notes_and_limits_without_a_value_are_printed_in_words():
    first = TOLD.conditions[0]
    noted = replace(first, notes=("Crossed diodes taken as blocking, though the voltage opens them: E01.",))
    told = replace(TOLD, conditions=(noted, *TOLD.conditions[1:]))
    assert table("transmitting", "transmit_notes", told).rows == ((first.case.name, *noted.notes),)
    assert "transmit_notes" not in [one.name for one in section("transmitting").tables]
    unknown = assess(replace(TOLD.assessments[0].limit, value=nan, unit="uT"), None, uncertainty=None, why="not told")
    row = table("held_limits", "limits", replace(TOLD, assessments=(unknown,))).rows[0]
    assert (row[2], row[3]) == ("–", "µT")
    assert "no value" in assessment_sentence(unknown)


def test_without_a_passive_trap_the_unplugged_array_is_the_worst_unplugged_state():
    tuned = next(one for one in TOLD.conditions if one.case.name == "unplugged, no diode acting")
    rows = [row_of(one) for one in (tuned, *TOLD.faults)]
    bad = replace(TOLD, ranked=ranked(rows, TOLD.limit_set, surface_at_rest_c=REST_C))
    by = {one.question: one.answer for one in section("transmit_faults", bad).answers}
    assert by["Which unplugged state is worst?"] == "The worst of all: unplugged, no diode acting."
    assert "Without any fault" not in by["Which unplugged state is worst?"]
    good = {one.question: one.answer for one in section("transmit_faults").answers}
    assert "Without any fault, passively detuned, unplugged" in good["Which unplugged state is worst?"]


def test_the_hottest_spot_is_told_with_what_the_limit_came_to():
    by = {one.question: one.answer for one in section("transmit_heat").answers}
    assert "to 48.1 ± 1.5 °C in the end, from 34.2 °C, against 41 °C" in by["What gets how hot?"]
    assert "With a single fault, that limit is not met, margin −8.6 K" in by["What gets how hot?"]
    cool = replace(TOLD.assessments[0], why="in the case 'passively detuned, unplugged'")
    sound = replace(TOLD, assessments=(cool, *TOLD.assessments))
    by = {one.question: one.answer for one in section("transmit_heat", sound).answers}
    assert by["What gets how hot?"].count("that limit is not met") == 2
    assert "Nothing having failed, that limit is not met" in by["What gets how hot?"]
    unbiased = replace(cool, why="in the case 'plugged, no bias, crossed diodes conducting'")
    lost = next(one for one in TOLD.conditions if one.case.name == "passively detuned, unplugged")
    case = replace(lost.case, name="plugged, no bias, crossed diodes conducting")
    both = replace(TOLD, assessments=(cool, unbiased), conditions=(*TOLD.conditions, replace(lost, case=case)))
    by = {one.question: one.answer for one in section("transmit_heat", both).answers}
    assert by["What gets how hot?"].count("Nothing having failed") == 1
    assert "Without bias, that limit is not met" in by["What gets how hot?"]


def test_a_pin_diode_that_cannot_block_what_stands_across_it_is_named():
    worst = TOLD.named(TOLD.ranked[0].row.name)
    element = worst.answer.elements[1]
    hold = replace(TOLD.pin_holds[0], element=1, part=element.parts[0].name, state=worst.case.family,
                   diodes=Diodes.BLOCK, allowed=element.parts[0].voltage_v / 40, unit="V")  # fmt: skip

    def answer(one):
        answers = section("transmit_faults", replace(TOLD, pin_holds=(*TOLD.pin_holds, one))).answers
        return answers[0].answer

    assert f"{hold.part} of {element.name} would have to block" in answer(hold)
    for held in (
        replace(hold, allowed=1e6),
        replace(hold, diodes=Diodes.CONDUCT),
        replace(hold, state="another condition"),
    ):
        assert "would have to block" not in answer(held)


def test_each_limit_is_sourced_once_however_often_it_was_held():
    twice = replace(TOLD, assessments=(*TOLD.assessments, TOLD.assessments[0]))
    assert len(table("held_limits", "limits", twice).rows) == len(TOLD.assessments) + 1
    assert len(table("held_limits", "limits_sources", twice).rows) == len(TOLD.assessments)


def test_the_worst_one_per_cent_is_that_which_lies_farther_from_no_change():
    assert worst_percent(change(0.7, 1.1)) == pytest.approx(-30.0)
    assert worst_percent(change(0.9, 1.3)) == pytest.approx(30.0)


def test_where_no_part_has_a_rating_none_is_called_within_it():
    def unrated(told):
        elements = tuple(
            replace(one, parts=tuple(replace(part, share=nan) for part in one.parts)) for one in told.answer.elements
        )
        return replace(told, answer=replace(told.answer, elements=elements))

    bare = replace(TOLD, conditions=tuple(map(unrated, TOLD.conditions)), faults=tuple(map(unrated, TOLD.faults)))
    assert set(column(table("transmit_faults", "transmit_faults", bare), "ratings exceeded")) == {"–"}
    assert set(column(table("transmitting", "transmit_states", bare), "ratings exceeded")) == {"–"}
    worst = section("transmit_faults", bare).answers[0].answer
    assert "No part has a rating" in worst
    assert "rating" not in worst.replace("No part has a rating that it could be held against.", "")


def test_only_conditions_at_full_field_answer_for_b1():
    found = table("transmitting", "transmit_states")
    named = {one.row.name for one in TOLD.ranked}
    expected = ["yes" if one.case.name in named else "no" for one in TOLD.conditions]
    assert column(found, "at full field") == expected
    answer = section("transmitting").answers[0].answer
    assert "unplugged, no diode acting" not in answer
    assert "passively detuned, unplugged: 0.1 %, worst 2.0 %" in answer


def test_pairs_that_never_conduct_well_are_counted_and_not_printed_as_infinite():
    idle = replace(TOLD, diodes=(TOLD.diodes[0], replace(TOLD.diodes[1], acts_t=inf)))
    answer = section("transmitting", idle).answers[1].answer
    assert "In 1 of 2 rows of pair and condition the pair never conducts as well" in answer
    assert "∞" not in answer


def test_close_calls_stand_in_a_table_of_their_own():
    sure = replace(TOLD, probes=replace(TOLD.probes, close_calls=("A1 coil has no probe",)))
    assert table("transmit_heat", "probe_doubts", sure).rows == (("A1 coil has no probe.",),)
    none = replace(TOLD, probes=replace(TOLD.probes, close_calls=()))
    assert "probe_doubts" not in [one.name for one in section("transmit_heat", none).tables]


def burnt():
    """The same with a spot so hot that nothing there is what it was: 377 degC."""
    hot = TOLD.hot_places[0]
    heat = replace(hot.places[Place.APPLIED_SURFACE], after_c=361.0, settled_c=377.0, uncertainty_k=90.0)
    places = {**hot.places, Place.APPLIED_SURFACE: heat}
    first = replace(TOLD.ranked[0], row=replace(TOLD.ranked[0].row, surface_c=377.0, surface_uncertainty_c=90.0))
    limit = TOLD.limit_set.named(LimitName.SURFACE)
    return replace(
        TOLD,
        hot_places=(replace(hot, places=places), *TOLD.hot_places[1:]),
        ranked=(first, *TOLD.ranked[1:]),
        assessments=(assess(limit, 377.0, uncertainty=90.0, why="somewhere"), *TOLD.assessments[1:]),
    )


def test_temperatures_beyond_the_model_are_told_as_such_and_the_files_keep_the_numbers():
    told = burnt()
    page = " ".join(words(told))
    assert "> 150 °C" in page
    assert "377" not in page
    assert "361" not in page
    hot = table("transmit_heat", "hot_spots", told)
    at = next(place for place, one in enumerate(hot.columns) if one.title == "settled")
    assert hot.columns[at].text(hot.rows[0][at]) == "> 150"
    assert hot.columns[at].text(hot.rows[1][at]) != "> 150"
    assert b",377," in table_csv(hot)
    faults = table("transmit_faults", "transmit_faults", told)
    at = next(place for place, one in enumerate(faults.columns) if one.title == "surface")
    assert faults.columns[at].text(faults.rows[0][at]) == "> 150"
    sentence = assessment_sentence(told.assessments[0])
    assert "surface temperature: > 150 °C, at most" in sentence
    assert "margin" not in sentence
    (held,) = [row for row in table("held_limits", "limits", told).rows if row[-2] == "somewhere"]
    assert "> 150" in held
    assert 377.0 not in held


def test_the_page_prints_five_close_calls_and_names_the_file_of_the_rest():
    calls = tuple(f"A{number} coil has no probe and may be as hot" for number in range(12))
    found = table("transmit_heat", "probe_doubts", replace(TOLD, probes=replace(TOLD.probes, close_calls=calls)))
    assert found.rows_on_page == 5
    assert len(found.rows) == 12
    assert "And 7 more, in tables/probe_doubts.csv." in found.caption
    few = table("transmit_heat", "probe_doubts", replace(TOLD, probes=replace(TOLD.probes, close_calls=calls[:5])))
    assert "more, in" not in few.caption


def test_what_is_noticed_of_an_array_unplugged_is_noticed_once_it_is_plugged_in():
    faults = table("transmit_faults", "transmit_faults")
    noticed, condition = column(faults, "noticed by"), column(faults, "condition")
    assert {one for one, where in zip(noticed, condition, strict=True) if "once plugged in" in str(one)}
    for one, where in zip(noticed, condition, strict=True):
        said = str(one) in ("bias monitor", "prescan") or "once plugged in" in str(one)
        assert ("once plugged in" in str(one)) == (said and "unplugged" in str(where))


def test_scale_sense_and_electric_field_stand_in_lines_of_their_own():
    prose = section("transmitting").prose
    assert f"The field is scaled by: {TOLD.scaled_by}." in prose
    assert f"It turns {TOLD.sense}." in prose
    assert f"Its electric field is {TOLD.gauge}." in prose


def test_the_coil_as_a_whole_is_told_with_the_area_that_cools_it():
    prose = " ".join(section("transmit_heat").prose)
    assert "1200 cm², the outer face of the carrier" in prose
    assert "0.310 W in bias lines" in prose
    hot = replace(TOLD, whole_coil=replace(TOLD.whole_coil, rise_settled_k=300.0))
    assert "by > 120 K in the end" in " ".join(section("transmit_heat", hot).prose)


def test_lies_of_the_carrier_are_counted_among_the_faults():
    assert ", 2 of them of how the carrier lies," in section("transmit_faults").prose[0]
    nothing = tuple(replace(one, local_sar_ratio_bound=nan) for one in TOLD.faults[:1])
    told = replace(TOLD, faults=(*nothing, *TOLD.faults[1:]))
    assert "but for 1 whose body was not solved anew" in section("transmit_faults", told).prose[1]
    assert "but for" not in section("transmit_faults").prose[1]


def test_what_is_allowed_nothing_is_said_to_be_and_does_not_stand_as_not_computed():
    first = replace(TOLD.ranked[0], used=float("inf"))
    table = section("transmit_faults", replace(TOLD, ranked=(first, *TOLD.ranked[1:]))).tables[0]
    assert table.rows[0][-2:] == ("allows nothing", first.used_of)
    assert table.rows[1][-2] == pytest.approx(100 * TOLD.ranked[1].used)
