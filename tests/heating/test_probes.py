"""Probes see the hottest place of every state, lie apart, and say why they are where they are."""

import pytest

from loopwright.heating.probes import Expected, ProbePlace, probe_plan

DETUNED, OPEN, UNPLUGGED = "actively detuned", "E05: PIN diode open", "unplugged"


def place(name, x_mm, *temperatures_c, uncertainty_k=0.3):
    return ProbePlace(
        name=name,
        element="E05",
        part="capacitor 1111",
        position_m=(x_mm / 1e3, 0.0, 0.0),
        expected={
            state: Expected(temperature_c=temperature_c, uncertainty_k=uncertainty_k)
            for state, temperature_c in zip((DETUNED, OPEN, UNPLUGGED), temperatures_c, strict=True)
        },
    )


A = place("A", 0, 36, 52, 38)
B = place("B", 4, 36, 51, 38)
C = place("C", 8, 37, 40, 39)
D = place("D", 90, 36, 48, 38)
E = place("E", 150, 36, 45, 41)


def names(plan):
    return [probe.place.name for probe in plan.probes]


def test_the_hottest_of_every_state_is_seen_even_if_close():
    plan = probe_plan([A, B, C, D, E], count=4, apart_m=20e-3)
    assert names(plan) == ["A", "E", "C"]
    assert plan.unseen == ()
    assert "reference" in plan.reference


def test_what_is_left_goes_to_the_hottest_that_lies_apart():
    plan = probe_plan([A, B, C, D, E], count=5, apart_m=20e-3)
    assert names(plan) == ["A", "E", "C", "D"]
    assert names(probe_plan([A, B, C, D, E], count=6, apart_m=20e-3)) == ["A", "E", "C", "D"], "B is too close to A"
    assert names(probe_plan([A, B, C, D, E], count=6, apart_m=3e-3)) == ["A", "E", "C", "B", "D"]


def test_no_place_gets_two_probes():
    assert names(probe_plan([A, B], count=6, apart_m=0.0)) == ["A", "B"]


def test_each_probe_says_why():
    plan = probe_plan([A, B, C, D, E], count=5, apart_m=20e-3)
    assert plan.probes[0].reason == 'hottest of all in "E05: PIN diode open" (52.0 ± 0.3 °C)'
    assert plan.probes[3].reason == 'next hottest, in "E05: PIN diode open" (48.0 ± 0.3 °C)'


def test_one_place_can_stand_for_several_states():
    plan = probe_plan([place("A", 0, 40, 50, 45), D], count=2, apart_m=20e-3)
    assert plan.probes[0].reason.endswith(', and in "unplugged", and in "actively detuned"')


def test_with_too_few_probes_the_hottest_states_are_seen():
    plan = probe_plan([A, B, C, D, E], count=2, apart_m=20e-3)
    assert names(plan) == ["A"]
    assert plan.unseen == (UNPLUGGED, DETUNED)


def test_equals_do_not_depend_on_the_order_of_the_places():
    twins = [place(name, x, 36, 50, 36) for name, x in (("Z", 0), ("Y", 60), ("X", 120))]
    forwards, backwards = (probe_plan(order, count=3, apart_m=20e-3) for order in (twins, twins[::-1]))
    assert names(forwards) == names(backwards) == ["X", "Y"]


def test_close_calls_are_told():
    close = place("F", 2, 35, 51.6, 38)
    plan = probe_plan([A, close, E], count=3, apart_m=20e-3)
    assert plan.close_calls == ('E05 F has no probe and may be as hot as the hottest in "E05: PIN diode open"',)
    cooler = place("B", 4, 35, 51, 38)
    assert probe_plan([A, cooler, E], count=3, apart_m=20e-3).close_calls == ()


def test_a_plan_needs_places_and_a_probe_for_reference():
    with pytest.raises(ValueError, match="at least two probes"):
        probe_plan([A], count=1, apart_m=0.02)
    with pytest.raises(ValueError, match="at least one"):
        probe_plan([], count=4, apart_m=0.02)
