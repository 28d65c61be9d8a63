"""The ladder brings what it can reach into the band, never below it, and its yield falls with the spread."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conductors.test_printed_capacitor import spreads, stack
from loopwright.conductors import (
    LadderRequest,
    Stage,
    TabKind,
    capacitance_from_resonance_f,
    cutting_plan,
    cutting_plan_for_resonance,
    design_ladder,
    finest_printable_step,
    plate_capacitance_f,
    resonance_from_capacitance_hz,
    trim_draws,
)
from loopwright.ground.errors import OutsideModelError

TARGET_F = 60e-12


def asked(**changes):
    request = {
        "target_f": TARGET_F, "finest_step": 0.01, "measurement_error": 0.001, "smallest_tab_m": 0.3e-3,
        "narrowest_m": 1e-3, "widest_m": 8e-3,
    }  # fmt: skip
    return LadderRequest(**request | changes)


LADDER = design_ladder(stack(), spreads(), asked())


@pytest.mark.parametrize("change", [{}, {"finest_step": 0.02}, {"fine_tabs": 4}, {"measurement_error": 0.003}])
def test_ten_thousand_prints_reach_the_target_within_half_a_step(change):
    ladder = design_ladder(stack(), spreads(), asked(**change))
    found = trim_draws(ladder, stack(), spreads(), generator=np.random.default_rng(1), draws=10_000)
    reached = (found.start_f >= ladder.floor_f) & (found.start_f <= ladder.floor_f + ladder.reach_f)
    assert reached.mean() > 0.9
    assert np.all(np.abs(found.final_f[reached] - ladder.target_f) <= ladder.step_f / 2)
    assert found.yield_fraction > 0.99
    assert found.yield_by_cutting <= found.yield_fraction


def test_no_cut_goes_below_the_band():
    found = trim_draws(LADDER, stack(), spreads(), generator=np.random.default_rng(2), draws=10_000)
    cut = found.cut.any(axis=1)
    assert cut.mean() > 0.9
    assert np.all(found.final_f[cut] >= LADDER.floor_f)


def test_the_finest_tab_is_no_larger_than_the_step():
    fine = LADDER.to_cut[-1]
    assert fine.high_f + 2 * LADDER.measurement_error_f <= LADDER.step_f
    assert fine.low_f < fine.nominal_f < fine.high_f
    assert plate_capacitance_f(stack(), fine.plate) == pytest.approx(fine.nominal_f, rel=1e-6, abs=0)


def test_every_tab_can_be_made_up_by_the_smaller_ones():
    """Whatever is left when a tab may not be cut, the smaller ones can remove; and each enlarges the reach."""
    reach_f = LADDER.step_f
    for tab in reversed(LADDER.to_cut):
        assert tab.high_f + 2 * LADDER.measurement_error_f <= reach_f * (1 + 1e-9)
        reach_f += tab.low_f
    assert reach_f == pytest.approx(LADDER.reach_f, rel=1e-9, abs=0)
    assert all(one.high_f + LADDER.measurement_error_f <= reach_f * (1 + 1e-9) for one in LADDER.to_bridge)


def test_yield_falls_as_prints_spread():
    """One ladder, prints ever less even; and without bridges fewer are saved."""

    def yield_at(factor):
        vary = spreads(thickness=0.05 * factor, eps_r=0.03 * factor)
        return trim_draws(LADDER, stack(), vary, generator=np.random.default_rng(3), draws=4000)

    found = [yield_at(factor) for factor in (1.0, 1.5, 2.0, 3.0)]
    assert all(a.yield_fraction > b.yield_fraction for a, b in pairwise(found))
    assert all(one.yield_by_cutting < one.yield_fraction for one in found)


def test_a_perfect_print_ends_where_it_was_meant_to():
    exact = spreads(thickness=0, eps_r=0, edge_m=0, registration_m=0)
    ladder = design_ladder(stack(), exact, asked(measurement_error=0.0, excess=0.0))
    found = trim_draws(ladder, stack(), exact, generator=np.random.default_rng(4), draws=1)
    assert found.final_f[0] == pytest.approx(TARGET_F, abs=ladder.step_f / 2)
    assert found.in_band.all()


@settings(max_examples=60, deadline=None)
@given(
    start=st.floats(0.0, 1.0),
    tabs=st.lists(st.floats(0.0, 1.0), min_size=len(LADDER.tabs), max_size=len(LADDER.tabs)),
    errors=st.lists(st.floats(-1.0, 1.0), min_size=40, max_size=40),
)
def test_following_the_plan_ends_in_the_band(start, tabs, errors):
    """Any print in reach, any tabs within their limits, any readings within theirs."""
    true_f = LADDER.floor_f + start * LADDER.reach_f
    worth = {tab.name: tab.low_f + w * (tab.high_f - tab.low_f) for tab, w in zip(LADDER.tabs, tabs, strict=True)}
    done, readings = frozenset(), iter(errors)
    while True:
        plan = cutting_plan(LADDER, true_f + next(readings) * LADDER.measurement_error_f, done=done)
        assert plan.stage in (Stage.CUT, Stage.IN_BAND)
        if plan.stage is Stage.IN_BAND:
            break
        true_f -= sum(worth[name] for name in plan.tabs)
        assert true_f >= LADDER.floor_f * (1 - 1e-12)
        done |= set(plan.tabs)
    assert true_f <= LADDER.ceiling_f * (1 + 1e-12)


def test_a_low_print_and_a_cut_too_many_are_bridged():
    low = cutting_plan(LADDER, 0.95 * TARGET_F)
    assert (low.stage, low.tabs) == (Stage.BRIDGE, ("B1",))
    slip = cutting_plan(LADDER, LADDER.floor_f - 2 * LADDER.measurement_error_f, done=frozenset({"T1"}))
    assert (slip.stage, slip.tabs) == (Stage.BRIDGE, ("B2",))
    every = frozenset(tab.name for tab in LADDER.tabs)
    assert cutting_plan(LADDER, 0.95 * TARGET_F, done=every).stage is Stage.TOO_LOW
    assert cutting_plan(LADDER, 1.2 * TARGET_F, done=every).stage is Stage.TOO_HIGH


def test_instructions_name_the_tabs_and_what_to_expect():
    plan = cutting_plan(LADDER, LADDER.floor_f + LADDER.reach_f)
    assert plan.stage is Stage.CUT
    assert plan.tabs[0] == "T1"
    assert plan.instruction.startswith("Cut tab")
    assert "measure again" in plan.instruction
    assert cutting_plan(LADDER, TARGET_F).instruction == "60 pF is within half a step of the target: leave it."
    assert cutting_plan(LADDER, 0.95 * TARGET_F).instruction.startswith("Bridge tab B1; expect ")


def test_a_resonance_below_its_target_is_raised_by_cutting():
    """1 % low with one of four capacitors: that one is 8.65 % high; cutting raises the resonance towards the target."""
    there = {"target_hz": 123.2e6, "participation": 0.25}
    plan = cutting_plan_for_resonance(LADDER, 0.99 * 123.2e6, **there)
    as_measured = cutting_plan(LADDER, TARGET_F * 0.25 / (0.25 - 0.0199))
    assert plan.tabs == as_measured.tabs
    assert plan.expected_f == pytest.approx(as_measured.expected_f, rel=1e-12, abs=0)
    assert plan.stage is Stage.CUT
    assert 0.99 * 123.2e6 < plan.expected_hz <= 123.2e6 * (1 + 0.25 / 4 * 0.01)
    assert "MHz (" in plan.instruction
    high = cutting_plan_for_resonance(LADDER, 1.01 * 123.2e6, **there)
    assert high.stage is Stage.BRIDGE
    assert high.expected_hz < 1.01 * 123.2e6


@given(off=st.floats(-0.3, 0.3), p=st.floats(0.05, 1.0))
def test_resonance_tells_the_capacitance(off, p):
    """A loop with an inductance and the rest of its elastance fixed: w^2 = (1/C + 1/C_rest) / L."""
    there = {"target_hz": 123.2e6, "target_f": TARGET_F, "participation": p}
    exact_hz = 123.2e6 * np.sqrt(p / (1 + off) + 1 - p)
    found = capacitance_from_resonance_f(exact_hz, **there)
    assert found == pytest.approx(TARGET_F * (1 + off), rel=1e-12, abs=0)
    back = resonance_from_capacitance_hz(found, **there)
    assert back == pytest.approx(exact_hz, rel=1e-12)


def test_tabs_to_bridge_stand_apart_and_the_rest_is_the_plate():
    nominal = plate_capacitance_f(stack(), LADDER.body) + sum(tab.nominal_f for tab in LADDER.to_cut)
    assert nominal == pytest.approx(TARGET_F * (1 + LADDER.spread), rel=1e-6, abs=0)
    assert [tab.kind for tab in LADDER.to_bridge] == [TabKind.BRIDGE] * 2
    assert [tab.name for tab in LADDER.to_cut] == [f"T{n}" for n in range(1, len(LADDER.to_cut) + 1)]
    sizes = [tab.nominal_f for tab in LADDER.to_cut]
    assert sizes == sorted(sizes, reverse=True)


def test_a_step_too_fine_for_the_process_is_refused_with_one_that_can_be_printed():
    fine = asked(finest_step=0.003, smallest_tab_m=0.6e-3)
    with pytest.raises(OutsideModelError, match="Ask for a step of"):
        design_ladder(stack(), spreads(), fine)
    step = finest_printable_step(stack(), spreads(), fine)
    assert design_ladder(stack(), spreads(), replace(fine, finest_step=step)).to_cut[-1].plate.width_m == pytest.approx(
        0.6e-3, rel=1e-3
    )


@pytest.mark.parametrize(
    "change",
    [
        {"target_f": 0.0}, {"target_f": float("nan")}, {"finest_step": 0.3}, {"measurement_error": 0.005},
        {"measurement_error": -0.1}, {"fine_tabs": 0}, {"bridges": 9},
    ],
)  # fmt: skip
def test_what_no_ladder_can_do_is_refused(change):
    with pytest.raises(OutsideModelError):
        asked(**change)


def test_slips_in_the_workshop_are_refused():
    with pytest.raises(OutsideModelError, match="T99"):
        cutting_plan(LADDER, TARGET_F, done=frozenset({"T99"}))
    with pytest.raises(OutsideModelError, match="measured_f"):
        cutting_plan(LADDER, -1.0)
    with pytest.raises(OutsideModelError, match="participation"):
        capacitance_from_resonance_f(1e8, target_hz=1e8, target_f=TARGET_F, participation=0.0)
    with pytest.raises(OutsideModelError, match="cannot move the resonance"):
        capacitance_from_resonance_f(0.85e8, target_hz=1e8, target_f=TARGET_F, participation=0.25)
    with pytest.raises(OutsideModelError, match="draws"):
        trim_draws(LADDER, stack(), spreads(), generator=np.random.default_rng(0), draws=0)


@pytest.mark.parametrize("least_or_most", ["low_f", "high_f"])
def test_cutting_several_at_once_cuts_the_same_tabs_as_one_by_one(least_or_most):
    worth = {tab.name: getattr(tab, least_or_most) for tab in LADDER.tabs}
    for start in np.linspace(0.0, 1.0, 400):
        true_f = one_by_one_f = LADDER.floor_f + start * LADDER.reach_f
        alone = set()
        for tab in LADDER.to_cut:
            if one_by_one_f - tab.high_f - LADDER.measurement_error_f >= LADDER.floor_f:
                alone, one_by_one_f = alone | {tab.name}, one_by_one_f - worth[tab.name]
        done = frozenset()
        while (plan := cutting_plan(LADDER, true_f, done=done)).stage is Stage.CUT:
            done, true_f = done | set(plan.tabs), true_f - sum(worth[name] for name in plan.tabs)
        assert done == alone
