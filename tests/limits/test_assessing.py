"""A value is met or not met only where the limit lies outside its uncertainty."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limits.limit_cases import limit
from loopwright.ground.errors import OutsideModelError
from loopwright.limits import Limit, LimitKind, Verdict, assess, margin_of, worst_of

NUMBERS = st.floats(-1e6, 1e6)
WIDTHS = st.floats(0, 1e6)
KINDS = st.sampled_from(LimitKind)


def keeps(held: Limit, value: float) -> bool:
    return value <= held.value if held.kind is LimitKind.AT_MOST else value >= held.value


@given(value=NUMBERS, width=WIDTHS, bound=NUMBERS, kind=KINDS)
def test_the_verdict_is_that_of_both_ends_of_the_interval(value, width, bound, kind):
    held = limit(bound, kind)
    ends = {keeps(held, value - width), keeps(held, value + width)}
    told = assess(held, value, uncertainty=width, why="somewhere")
    room = bound - value if kind is LimitKind.AT_MOST else value - bound
    if abs(abs(room) - width) > 1e-9 * (abs(value) + abs(bound) + width):  # apart from rounding at an end
        expected = Verdict.NOT_ASSESSED if len(ends) == 2 else Verdict.MET if ends == {True} else Verdict.NOT_MET
        assert told.verdict is expected
    assert ("inside the uncertainty" in told.why) == (told.verdict is Verdict.NOT_ASSESSED)


@given(value=NUMBERS, narrow=WIDTHS, more=WIDTHS, bound=NUMBERS, kind=KINDS)
def test_a_wider_interval_never_turns_one_verdict_into_the_other(value, narrow, more, bound, kind):
    first = assess(limit(bound, kind), value, uncertainty=narrow, why="").verdict
    wider = assess(limit(bound, kind), value, uncertainty=narrow + more, why="").verdict
    assert wider in (first, Verdict.NOT_ASSESSED)


@given(value=NUMBERS, width=WIDTHS, bound=NUMBERS)
def test_the_two_kinds_mirror_each_other(value, width, bound):
    below = assess(limit(bound, LimitKind.AT_MOST), value, uncertainty=width, why="")
    above = assess(limit(-bound, LimitKind.AT_LEAST), -value, uncertainty=width, why="")
    assert below.verdict is above.verdict
    assert margin_of(below) == margin_of(above)


@given(value=NUMBERS, width=WIDTHS, bound=NUMBERS, kind=KINDS)
def test_the_margin_is_positive_where_it_is_met_and_negative_where_it_is_not(value, width, bound, kind):
    told = assess(limit(bound, kind), value, uncertainty=width, why="")
    assert (margin_of(told) >= 0) == (told.verdict is Verdict.MET)


def test_the_limit_itself_keeps_it():
    assert assess(limit(41.0), 41.0, uncertainty=0.0, why="").verdict is Verdict.MET
    assert assess(limit(4.0, LimitKind.AT_LEAST), 4.0, uncertainty=0.0, why="").verdict is Verdict.MET
    assert assess(limit(41.0), math.nextafter(41.0, 99), uncertainty=0.0, why="").verdict is Verdict.NOT_MET
    assert assess(limit(41.0), 41.0, uncertainty=0.1, why="").verdict is Verdict.NOT_ASSESSED


@pytest.mark.parametrize("nothing", [None, math.nan])
def test_what_was_not_computed_is_not_assessed(nothing):
    told = assess(limit(), nothing, uncertainty=0.1, why="no heat was asked for")
    assert (told.verdict, told.value, told.uncertainty) == (Verdict.NOT_ASSESSED, None, None)
    assert told.why == "no heat was asked for"
    assert margin_of(told) is None


def test_without_an_uncertainty_the_value_counts_and_that_is_said():
    told = assess(limit(10.0), 9.9, uncertainty=None, why="unplugged")
    assert (told.verdict, told.uncertainty) == (Verdict.MET, None)
    assert told.why == "unplugged; no uncertainty is known"


def test_an_endless_value_passes_every_upper_limit():
    assert assess(limit(10.0), math.inf, uncertainty=0.0, why="").verdict is Verdict.NOT_MET
    assert assess(limit(10.0, LimitKind.AT_LEAST), math.inf, uncertainty=0.0, why="").verdict is Verdict.MET


@pytest.mark.parametrize("width", [-0.1, math.inf, math.nan])
def test_an_uncertainty_is_a_width(width):
    with pytest.raises(OutsideModelError, match="uncertainty"):
        assess(limit(), 1.0, uncertainty=width, why="")


def test_the_worst_speaks_for_all():
    values = ((9.0, 0.1), (11.0, 0.1), (10.0, 0.5), (12.0, 0.1), (None, None))
    several = [assess(limit(), value, uncertainty=width, why=str(value)) for value, width in values]
    assert worst_of(several).value == 12.0
    assert worst_of(several[:1] + several[2:3]).verdict is Verdict.NOT_ASSESSED
    assert worst_of(several[:1] + several[4:]).value is None
    assert worst_of(several[:1]).value == 9.0


def test_several_limits_have_no_worst():
    one = assess(limit(), 1.0, uncertainty=None, why="")
    with pytest.raises(OutsideModelError, match="one limit"):
        worst_of([one, replace(one, limit=limit(11.0))])
    with pytest.raises(OutsideModelError, match="at least one"):
        worst_of([])


def test_no_verdict_says_more_than_that():
    assert {verdict.value for verdict in Verdict} == {"met", "not met", "not assessed"}
