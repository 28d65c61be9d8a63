"""The whole job of a transmitting scanner on a small array: power, order of faults, limits, verdicts."""

import re
from dataclasses import fields, is_dataclass
from enum import Enum

import numpy as np
import pytest

from loopwright.circuits.states import UNPLUGGED
from loopwright.limits import Verdict
from transmission.array_on_ball import HEAT, PIN_ONLY, TRAPS, once, told

PASSIVE = "passively detuned, unplugged"


def sentences(value):
    """Every text in a record, wherever it is."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Enum):
        yield str(value.value)
    elif is_dataclass(value):
        for field in fields(value):
            yield from sentences(getattr(value, field.name))
    elif isinstance(value, tuple | list | frozenset):
        for one in value:
            yield from sentences(one)
    elif isinstance(value, dict):
        yield from sentences((*value.keys(), *value.values()))


@pytest.mark.parametrize("protection", [TRAPS, PIN_ONLY])
def test_what_the_field_gives_every_case_is_found_again(protection):
    for case in once(protection).cases:
        balance = case.answer.balance
        assert abs(balance.left_w) < 1e-4 * balance.given_w, case.case.name


@pytest.mark.parametrize("protection", [TRAPS, PIN_ONLY])
def test_every_part_of_the_circuits_fails_in_some_case(protection):
    found = once(protection)
    names = " ".join(fault.case.name for fault in found.faults)
    for element in found.conditions[0].answer.elements:
        for part in element.parts:
            assert f"{element.name}: {part.name}" in names


def test_without_a_passive_trap_the_unplugged_array_is_far_worse():
    with_trap, without = once(TRAPS), once(PIN_ONLY)
    caught, loose = with_trap.named(PASSIVE), without.named(UNPLUGGED.name)
    assert loose.largest_current_a > 100 * caught.largest_current_a
    assert loose.absorbed_w > 5 * caught.absorbed_w
    assert caught.b1.as_driven.mean == pytest.approx(1, abs=0.01)
    assert loose.b1.as_driven.mean > 1.5
    assert loose.local_sar.ratio > 10
    assert caught.local_sar.ratio == pytest.approx(1, abs=0.02)


def test_a_bad_design_stands_in_the_table_as_such():
    """No passive trap: the sound array is beyond limits as soon as it is unplugged, and met while it is plugged in."""
    found = once(PIN_ONLY)
    (unplugged,) = (one for one in found.ranked if one.row.name == UNPLUGGED.name)
    (plugged,) = (one for one in found.ranked if one.row.name == "actively detuned")
    assert unplugged.used > 1 > plugged.used
    assert Verdict.NOT_MET in {one.verdict for one in unplugged.assessments}
    sound = [one for one in found.assessments if repr(UNPLUGGED.name) in one.why]
    assert "mean change of B1+" in {one.limit.name for one in sound if one.verdict is Verdict.NOT_MET}


def test_a_plugged_array_is_worst_where_neither_bias_nor_preamplifier_holds_an_element():
    """A lost PIN trap leaves the low input of the preamplifier, a broken cable nothing."""
    found = once(PIN_ONLY)
    plugged = [one.row for one in found.ranked if one.row.family == "actively detuned"]
    assert all("cable to the element broken" in row.name for row in plugged[:3])
    lost, broken = (
        next(row.largest_current_a for row in plugged if words in row.name)
        for words in ("A1: D trap 2 open; trap lost", "A1: cable to the element broken")
    )
    sound = next(row.largest_current_a for row in plugged if row.name == "actively detuned")
    assert broken > 10 * lost > 100 * sound


@pytest.mark.parametrize("protection", [TRAPS, PIN_ONLY])
def test_the_table_goes_from_the_worst_down(protection):
    ranked = once(protection).ranked
    assert [one.rank for one in ranked] == list(range(1, len(ranked) + 1))
    beyond = [one.used for one in ranked if one.used > 1]
    assert beyond == sorted(beyond, reverse=True)
    assert len(beyond) == sum(one.used > 1 for one in ranked[: len(beyond)])


@pytest.mark.parametrize("protection", [TRAPS, PIN_ONLY])
def test_no_average_exceeds_its_bound_and_none_is_left_out_above_the_one_told(protection):
    found = once(protection)
    averaged = [case for case in found.cases if case.local_sar is not None]
    assert len(averaged) >= 4
    for case in averaged:
        assert case.local_sar.ratio <= case.local_sar_ratio_bound * (1 + 1e-5), case.case.name
    ranked = {one.row.name for one in found.ranked}
    left = [case for case in found.cases if case.local_sar is None and case.case.name in ranked]
    highest = max(case.local_sar_ratio_bound for case in left) * found.body_alone.peak_local_w_per_kg
    assert highest == pytest.approx(found.worst_sure_w_per_kg)


def test_currents_that_the_diodes_follow_are_those_of_the_states_they_end_in():
    """Far above onset a pair is what the condition takes it for, below it the open one."""
    found = once(TRAPS)
    own = [one for one in found.diodes if one.condition == "unplugged"]
    assert all(one.conducts_at_peak and one.acts_t < 1e-6 for one in own)
    assert own[0].b1_below == pytest.approx(found.named(UNPLUGGED.name).b1.as_driven.mean, abs=0.02)
    assert own[0].b1_at_peak == pytest.approx(found.named(PASSIVE).b1.as_driven.mean, abs=1e-5)
    assert own[0].b1_below > own[0].b1_at_onset > own[0].b1_at_peak


def test_an_inductive_loop_keeps_flux_out():
    """With one of its capacitors bridged an element resonates below the field, and its current opposes it."""
    found = once(TRAPS)
    own = [fault for fault in found.faults if fault.case.name.endswith(f"C trap 3 short ({PASSIVE})")]
    assert len(own) == 3
    for fault in own:
        assert fault.b1.as_driven.mean < 0.98
        assert fault.b1.as_driven.lowest < 0.85


@pytest.mark.long
def test_heat_starts_on_warm_skin_and_rises_from_there():
    found = once(TRAPS, HEAT)
    assert 32 < found.surface_at_rest_c < 37.5
    for place in found.hot_places:
        for heat in place.places.values():
            assert heat.start_c <= heat.after_c <= heat.settled_c + 1e-6
            assert heat.uncertainty_k >= 0.3 * (heat.settled_c - heat.start_c) * (1 - 1e-9)
    tops = [place.places for place in found.hot_places]
    surface = [next(h for p, h in places.items() if p.name == "APPLIED_SURFACE").settled_c for places in tops]
    assert surface == sorted(surface, reverse=True)
    assert len(found.probes.probes) == 3
    (normal, faulty) = (one for one in found.assessments if one.limit.name == "surface temperature")
    assert normal.value < faulty.value
    assert normal.verdict is Verdict.MET
    cold = once(TRAPS)
    assert cold.probes is None
    assert cold.hot_places == ()
    assert np.isnan(cold.surface_at_rest_c)
    unknown = [one for one in cold.assessments if one.limit.name.startswith("surface temperature")]
    assert {one.verdict for one in unknown} == {Verdict.NOT_ASSESSED}


def test_verdicts_stand_only_where_the_uncertainty_lets_them():
    for protection in (TRAPS, PIN_ONLY):
        for one in once(protection).assessments:
            assert one.why
            if one.value is None or (
                one.uncertainty is not None and abs(one.value - one.limit.value) < one.uncertainty
            ):
                assert one.verdict is Verdict.NOT_ASSESSED
    met = {one.limit.name for one in once(TRAPS).assessments if one.verdict is Verdict.MET}
    assert "whole-body SAR in normal mode" not in met  # the ball is a part of the patient of 12 kg


def test_nothing_is_called_safe():
    for text in sentences(once(TRAPS)):
        assert not re.search(r"\b(un)?safe(ly)?\b|\bharmless\b|\bno risk\b", text, re.IGNORECASE), text


def test_the_same_brief_gives_the_same_figures():
    one, two = once(PIN_ONLY), told(PIN_ONLY)
    assert one.ranked == two.ranked
    assert one.assessments == two.assessments
    for first, second in zip(one.maps, two.maps, strict=True):
        np.testing.assert_array_equal(first.values, second.values)
