"""PIN diodes against the charge that holds them: balance integrated in time, bounds, and the states of a loop."""

from dataclasses import replace

import numpy as np
import pytest

from circuits.one_loop import F, circuit, loop
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.bias.pin_charge import held_current_a, reverse_voltage_needed_v
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED, Diodes, PartShort
from loopwright.circuits.under_field.pin_hold import (
    JUNCTION_V,
    PinBias,
    pin_hold_limits,
    pin_holds,
    pin_recovery,
    voltage_withstood_v,
)
from loopwright.circuits.under_field.stresses import stresses
from loopwright.ground.sources import Flag, Source

BIAS = PinBias(
    forward_current_a=0.1,
    reverse_voltage_v=15.0,
    reverse_current_a=0.05,
    carrier_lifetime_s=1.5e-6,
    layer_m=50e-6,
    turn_off_s=20e-6,
    source=Source(key="", where="invented", flag=Flag.COMPUTED),
)


def holds(state, bias=BIAS, share=1.0):
    solved = array_state(loop().ports(8.0).at_operation_ohm, [circuit()], [state], frequency_hz=F)
    found = stresses(solved, share * loop().emf_v())
    return pin_holds([circuit()], [state], found, biases=[bias], frequency_hz=F), found


def test_a_diode_that_conducts_is_held_against_its_charge():
    (hold,), found = holds(ACTIVELY_DETUNED)
    (diode,) = (stress for stress in found if stress.part == "D trap 3")
    assert (hold.part, hold.unit, hold.diodes) == ("D trap 3", "A", Diodes.CONDUCT)
    assert hold.borne == diode.current_a
    # pi f I tau = 60 A: twenty and more times the ring current of the trap.
    assert hold.allowed == pytest.approx(np.pi * F * 0.1 * 1.5e-6)
    assert hold.margin == pytest.approx(hold.allowed / hold.borne)
    assert 20 < hold.margin < 60
    assert "margin" in hold.sentence


def test_the_charge_of_the_bias_runs_out_just_at_the_bound():
    """dQ/dt = I - Q/tau - A cos(wt), integrated over settled periods: the least charge passes nought near the bound."""
    current, lifetime, f = 0.02, 0.5e-6, 30e6
    bound = float(held_current_a(current, carrier_lifetime_s=lifetime, frequency_hz=f))
    angle = np.linspace(0, 2 * np.pi, 1001)
    swing = lambda a: a / np.hypot(2 * np.pi * f, 1 / lifetime)  # noqa: E731 - of the settled linear balance
    for amplitude, runs_out in ((0.49 * bound, False), (2.05 * bound, True)):
        charge = current * lifetime - swing(amplitude) * np.cos(angle)
        assert (charge.min() < 0) == runs_out


@pytest.mark.parametrize("reverse_v", [0.0, 5.0, 30.0])
def test_the_voltage_withstood_asks_for_the_bias_that_is_there(reverse_v):
    withstood = float(voltage_withstood_v(reverse_v + JUNCTION_V, layer_m=50e-6, frequency_hz=F))
    assert withstood >= reverse_v + JUNCTION_V
    assert reverse_voltage_needed_v(withstood, layer_m=50e-6, frequency_hz=F) == pytest.approx(reverse_v + JUNCTION_V)


def test_a_wider_layer_and_a_higher_frequency_withstand_more():
    base = voltage_withstood_v(5.0, layer_m=20e-6, frequency_hz=64e6)
    assert voltage_withstood_v(5.0, layer_m=80e-6, frequency_hz=64e6) > base
    assert voltage_withstood_v(5.0, layer_m=20e-6, frequency_hz=300e6) > base


def test_without_bias_a_tuned_loop_turns_its_diode_on_and_with_it_may_not():
    """193 V stand across the trap of the tuned loop at 20 uT; nothing holds them, and no bias of a coil does."""
    unbiased, _ = holds(UNPLUGGED, replace(BIAS, reverse_voltage_v=0.0))
    assert unbiased[0].unit == "V"
    assert unbiased[0].margin < 1
    assert "begins to conduct by itself" in unbiased[0].sentence
    assert unbiased[0].reverse_needed_v > 10
    preamplifier, _ = holds(RECEIVING, share=0.01)
    assert preamplifier[0].margin > 1
    enough = replace(BIAS, reverse_voltage_v=unbiased[0].reverse_needed_v * 1.001)
    held, _ = holds(UNPLUGGED, enough)
    assert held[0].margin == pytest.approx(1, abs=0.01)


def test_a_weak_bias_is_told_and_a_failed_diode_left_out():
    weak, _ = holds(ACTIVELY_DETUNED, replace(BIAS, forward_current_a=1e-3))
    assert weak[0].margin < 1
    assert "run empty in every half-wave" in weak[0].sentence
    assert holds(ACTIVELY_DETUNED.with_faults(PartShort(part="D trap 3")))[0] == ()


def test_recovery_is_that_of_the_balance_without_bias():
    found = pin_recovery(BIAS)
    time_s = np.linspace(0, 5e-6, 200001)
    charge = (0.1 + 0.05) * 1.5e-6 * np.exp(-time_s / 1.5e-6) - 0.05 * 1.5e-6  # dQ/dt = -Q / tau - IR
    assert found.takes_s == pytest.approx(time_s[np.argmax(charge < 0)], rel=1e-3)
    assert found.margin == pytest.approx(20e-6 / found.takes_s)
    assert "margin" in found.sentence
    assert "begins on a detuned coil" in pin_recovery(replace(BIAS, turn_off_s=1e-6)).sentence


def test_nothing_is_called_what_nobody_can_promise():
    (hold,), _ = holds(ACTIVELY_DETUNED)
    words = " ".join((hold.sentence, pin_recovery(BIAS).sentence, *pin_hold_limits()))
    assert "safe" not in words
    assert "factor of two" in words
