"""Verdicts claim no more than is known: intervals of all places, estimates, bias that nobody told of."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from limits.limit_cases import row
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.states import BIAS_MISSING, DETUNED_BY_BOTH, Diodes
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Source
from loopwright.heating.spot import Place
from loopwright.limits import Verdict, packaged_limits, ranked
from loopwright.limits.hot_places import HeatOfCases
from loopwright.limits.judged import JudgedSar, bias_assessments, sar_assessments, worst_over_cases
from loopwright.limits.taken_for_granted import not_described
from loopwright.transmission import outcome, question
from loopwright.transmission.closer import Found
from loopwright.transmit import GlobalSar
from transmission.array_on_ball import TRAPS, once, prepared, told

WEAK = ", level: {kind: b1 rms, b1_rms: 0.3 uT, peak_b1: 3 uT}"
STRANGE = "heat: {probes: 4, part_sizes: [{part: C trap 9, size: '0402'}]}"
LOST = f"A1: D trap 2 open; trap lost ({DETUNED_BY_BOTH.name})"


def test_the_surface_reaches_as_far_as_that_of_the_place_known_least():
    """A part at 40 +- 0.5 degC beside one at 39.5 +- 4: the surface may come to 43.5."""
    heat = HeatOfCases(
        heat=SimpleNamespace(start_c=lambda _: 33.0), names=("A1",), cases=("one",), after_k={},
        after_uncertainty_k={}, settled_k={Place.APPLIED_SURFACE: np.array([[7.0], [6.5]])},
        settled_uncertainty_k={Place.APPLIED_SURFACE: np.array([[0.5], [4.0]])}, duration_s=1.0,
    )  # fmt: skip
    assert heat.surface(0) == pytest.approx((40.0, 3.5))


def test_estimates_meet_no_limit_and_may_fail_it():
    rows = [
        row("sure", mean_b1_change_percent=1.0, least_local_b1=0.99, greatest_local_b1=1.01, rating_over_stress=9.0),
        row("estimate", mean_b1_change_percent=1.0, least_local_b1=0.99, greatest_local_b1=9.0, rating_over_stress=9.0,
            estimated_because="a guess"),
    ]  # fmt: skip
    found = {one.row.name: one.assessments for one in ranked(rows, packaged_limits(), surface_at_rest_c=33.0)}
    kept, not_told, passed = Verdict.MET, Verdict.NOT_ASSESSED, Verdict.NOT_MET
    assert [one.verdict for one in found["sure"]] == [not_told, kept, kept, kept, kept]
    assert [one.verdict for one in found["estimate"]] == [not_told, not_told, not_told, passed, kept]
    assert found["estimate"][1].why.endswith("; a guess")


def test_power_that_is_an_estimate_meets_no_limit_of_sar():
    for absorbed_w, verdict in ((3.0, Verdict.NOT_ASSESSED), (90.0, Verdict.NOT_MET)):
        sar = GlobalSar(absorbed_w=absorbed_w, model_mass_kg=20.0, exposed_mass_kg=20.0, patient_mass_kg=20.0)
        judged = JudgedSar(case="folded", sar=sar, uncertainty=0.01, estimated_because="a guess")
        found = [*sar_assessments(packaged_limits(), judged, mode="normal", ambient_temperature_c=22.0)]
        assert {one.verdict for one in found[:2]} == {verdict}


def test_probes_look_at_the_hottest_cases_that_have_a_temperature_whatever_their_rank():
    lies = {"folded": Wearing.FOLDED, "first": Wearing.AS_DESIGNED, "wet": Wearing.WET, "last": Wearing.AS_DESIGNED}
    surface_c = {0: 90.0, 1: 40.0, 2: 41.0, 3: 50.0}
    cases = [
        SimpleNamespace(
            case=SimpleNamespace(name=name, wearing=lie, family="unplugged"),
            answer=SimpleNamespace(port_current_a_per_t=np.array([number + 1.0])),
        )
        for number, (name, lie) in enumerate(lies.items())
    ]
    ranks = tuple(SimpleNamespace(row=row(name)) for name in lies)
    heat = SimpleNamespace(surface=lambda number: (surface_c[number], 1.0))
    found = Found(told=tuple(cases), ranked=ranks, worst=(0, 1), heat=heat, bound_left_w_per_kg=0.0, maps=())
    assert found.with_temperature == (1, 2, 3)
    assert found.hottest == (3, 2)
    cold = replace(found, heat=None)
    assert (cold.with_temperature, cold.hottest) == ((), ())


def test_a_case_without_temperature_is_named_beside_the_worst_that_has_one():
    """It keeps the limit from being met and does not hide what was found."""
    some = {"surface_uncertainty_c": 1.0}
    rows = [row("plugged", surface_c=35.0, **some), row("open", surface_c=36.0, **some), row("worn inside out")]
    held = ranked(rows, packaged_limits(), surface_at_rest_c=33.0)
    found = [*worst_over_cases(held, ["plugged"], duration_s=900.0, limits=packaged_limits())]
    for normal, faulty in (found[:2], found[-2:]):
        assert (normal.verdict, faulty.verdict) == (Verdict.MET, Verdict.NOT_ASSESSED)
        assert faulty.value == 36.0
        assert faulty.why == "in the case 'open'; not computed in the case 'worn inside out'"
    hot = [replace(one, surface_c=one.surface_c and 60.0) for one in rows]
    held = ranked(hot, packaged_limits(), surface_at_rest_c=33.0)
    found = [*worst_over_cases(held, ["plugged"], duration_s=900.0, limits=packaged_limits())]
    assert found[1].verdict is Verdict.NOT_MET


def test_diodes_that_bear_nothing_and_recovery_that_nobody_told_are_no_reason_to_stop():
    idle = PinHold(
        element=0, part="D", state="unplugged", diodes=Diodes.BLOCK, borne=0.0, allowed=4.0, unit="V",
        reverse_needed_v=0.0, source=Source(key="", where="invented", flag=Flag.COMMON_PRACTICE),
    )  # fmt: skip
    never = PinRecovery(takes_s=np.inf, allowed_s=1e-5)
    held, recovers = bias_assessments(packaged_limits(), (idle,), (), (never,))
    assert held.verdict is Verdict.MET
    assert (recovers.verdict, recovers.value) == (Verdict.NOT_ASSESSED, None)
    assert "no current that empties" in recovers.why


def test_bias_that_is_missing_everywhere_is_among_the_faults_whose_sar_is_judged():
    found = once(TRAPS)
    closer = SimpleNamespace(told=found.cases, ranked=found.ranked)
    normal, faulty = outcome._normal_and_faulty(closer, [DETUNED_BY_BOTH.name, "passively detuned, unplugged"])
    assert len(normal) == 2
    assert BIAS_MISSING.name in {one.case.name for one in faulty}
    assert {one.case.name for one in (*normal, *faulty)} == {one.row.name for one in found.ranked}


def test_where_a_trap_is_lost_in_a_weak_field_the_crossed_diodes_of_the_element_act_all_the_same():
    """Nearly all pairs are idle in this field, and that of the undetuned loop is not: it is followed by itself."""
    found = once(TRAPS, "", WEAK)
    sound, lost = found.named(DETUNED_BY_BOTH.name), found.named(LOST)
    assert any("carry too little to conduct" in note for note in sound.notes)
    a1 = sound.case.states[0].pairs[0], lost.case.states[0].pairs[0]
    assert a1[0].resistance_ohm > 10 * a1[1].resistance_ohm
    assert [one.conducts_at_peak for one in found.diodes if one.condition == "plugged in"] == [False] * 3


@pytest.mark.parametrize(
    ("heat", "mass_kg", "words"), [(STRANGE, 12.0, "no part is called C trap 9"), ("", 1.0, "alone weighs")]
)
def test_what_cannot_be_told_is_refused_before_any_field_is_solved(monkeypatch, heat, mass_kg, words):
    def no_time(*_, **__):
        raise AssertionError("a field was solved")

    monkeypatch.setattr(question, "transmit_reply", no_time)
    monkeypatch.setattr(question, "patient_mass_kg", lambda *_: mass_kg)
    with pytest.raises(OutsideModelError, match=words):
        told(TRAPS, heat)


@pytest.mark.parametrize("told_by", ["transmit", "interface", "nobody"])
def test_a_largest_field_that_either_part_of_the_brief_tells_is_not_missed(told_by):
    brief, *_ = prepared(TRAPS)
    scanner = brief.transmit.scanner_limits
    own_t, plug_t = (4e-6 if told_by == one else None for one in ("transmit", "interface"))
    transmit = brief.transmit.model_copy(
        update={"scanner_limits": scanner.model_copy(update={"largest_b1_rms_t": own_t})}
    )
    interface = brief.interface.model_copy(update={"largest_b1_rms_t": plug_t})
    changed = brief.model_copy(update={"transmit": transmit, "interface": interface})
    missed = [one for one in not_described(changed, None) if "largest B1+ rms" in one]
    assert len(missed) == (told_by == "nobody")
