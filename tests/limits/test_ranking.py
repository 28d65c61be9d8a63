"""The table of faults has the worst first, by rules that are told, and always in the same order."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limits.limit_cases import row
from loopwright.limits import LimitName, Verdict, packaged_limits, ranked

SET = packaged_limits()
MAYBE = st.none() | st.floats(0, 100)
ROWS = st.lists(
    st.builds(
        row,
        name=st.text("abc", min_size=1, max_size=3),
        surface_c=MAYBE,
        surface_uncertainty_c=st.none() | st.floats(0, 5),
        mean_b1_change_percent=st.none() | st.floats(-30, 30),
        least_local_b1=st.none() | st.floats(0, 1),
        greatest_local_b1=st.none() | st.floats(1, 3),
        rating_over_stress=st.none() | st.floats(0, 10),
        ratings_exceeded=st.integers(0, 3),
        noticed_by=st.sampled_from([(), ("bias monitor",)]),
        largest_current_a=st.floats(0, 5),
    ),
    unique_by=lambda one: one.name,
    max_size=8,
)


def names(*rows):
    return [one.row.name for one in ranked(rows, SET, surface_at_rest_c=34.0)]


def test_what_is_furthest_beyond_a_limit_comes_first():
    hot = row("hot", surface_c=44.5)  # 10.5 of 7 kelvin: 1.5
    hotter = row("hotter", surface_c=48.0)  # 2.0
    dark = row("dark", surface_c=36.0, least_local_b1=0.83)  # 0.17 of 0.1: 1.7
    worn = row("worn", surface_c=40.9, rating_over_stress=1.9)
    warm = row("warm", surface_c=40.9)
    assert names(warm, worn, dark, hotter, hot) == ["hotter", "dark", "hot", "worn", "warm"]


def test_parts_of_allowances_are_told_with_the_limit_that_they_are_of():
    found = ranked([row("dark", surface_c=36.0, least_local_b1=0.83)], SET, surface_at_rest_c=34.0)[0]
    assert found.used == pytest.approx(1.7)
    assert found.used_of == LimitName.LEAST_B1
    assert [one.verdict for one in found.assessments] == [
        Verdict.MET,
        Verdict.NOT_ASSESSED,
        Verdict.NOT_MET,
        Verdict.NOT_ASSESSED,
        Verdict.NOT_ASSESSED,
    ]
    assert "not computed" in found.assessments[1].why


def test_within_the_limits_the_warmest_comes_first_and_the_unknown_last():
    cool, warm = row("cool", surface_c=36.0, mean_b1_change_percent=4.9), row("warm", surface_c=38.0)
    unknown = row("unknown", largest_current_a=9.0)
    assert names(unknown, cool, warm) == ["warm", "cool", "unknown"]


def test_the_far_end_of_an_interval_counts():
    sure, vague = row("sure", surface_c=40.0, surface_uncertainty_c=0.1), row("vague", surface_c=39.0)
    assert names(sure, vague) == ["sure", "vague"]
    wide = row("wide", surface_c=39.0, surface_uncertainty_c=3.0)
    assert names(sure, wide) == ["wide", "sure"]
    assert ranked([wide], SET, surface_at_rest_c=34.0)[0].used == pytest.approx(8 / 7)


def test_a_mean_change_counts_either_way():
    assert names(row("less", mean_b1_change_percent=-8.0), row("more", mean_b1_change_percent=7.0)) == ["less", "more"]


def test_equal_cases_go_by_ratings_then_by_notice_then_by_current_then_by_name():
    rows = [
        row("b", noticed_by=("prescan",)),
        row("a", noticed_by=("prescan",)),
        row("c", noticed_by=("prescan",), largest_current_a=0.2),
        row("unnoticed"),
        row("burnt", ratings_exceeded=1, noticed_by=("prescan",)),
    ]
    assert names(*rows) == ["burnt", "unnoticed", "c", "a", "b"]


def test_nothing_assessed_uses_nothing():
    found = ranked([row("bare")], SET, surface_at_rest_c=34.0)[0]
    assert (found.used, found.used_of, found.rank) == (0.0, "", 1)


@pytest.mark.parametrize("field", ["surface_c", "mean_b1_change_percent", "least_local_b1", "rating_over_stress"])
def test_what_is_not_a_number_was_not_computed_and_hides_nothing(field):
    """Neither ranks a case nor takes the place of what was found."""
    unknown = row("unknown", greatest_local_b1=1.3, **{field: math.nan})
    told = ranked([unknown], SET, surface_at_rest_c=34.0)[0]
    assert (told.used, told.used_of) == (pytest.approx(3.0), LimitName.GREATEST_B1)
    assert names(unknown, row("hot", surface_c=60.0)) == ["hot", "unknown"]


def test_a_rest_at_the_limit_leaves_no_allowance():
    found = ranked([row("warm", surface_c=41.5)], SET, surface_at_rest_c=41.0)[0]
    assert found.used == math.inf


@given(rows=ROWS, turn=st.randoms())
def test_the_order_does_not_depend_on_the_order_before(rows, turn):
    before = names(*rows)
    turn.shuffle(rows)
    assert names(*rows) == before


@given(rows=ROWS)
def test_no_case_within_its_limits_stands_before_one_beyond(rows):
    found = ranked(rows, SET, surface_at_rest_c=34.0)
    beyond = [any(one.verdict is Verdict.NOT_MET for one in fault.assessments) for fault in found]
    within = [all(one.verdict in (Verdict.MET, Verdict.NOT_ASSESSED) and one.uncertainty is None for one in
                  fault.assessments) for fault in found]  # fmt: skip
    first_within = within.index(True) if True in within else len(found)
    assert not any(beyond[first_within:])
    assert [fault.rank for fault in found] == list(range(1, len(found) + 1))
