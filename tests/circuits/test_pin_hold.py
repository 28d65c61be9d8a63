"""PIN diodes against the charge that holds them: balance integrated in time, bounds, and the states of a loop."""

from dataclasses import replace

import numpy as np
import pytest

from brief.base_brief import INTERFACE, brief_with
from circuits.driven_loop import EMF_V_PER_T, LOOP_OHM, F, circuit
from loopwright.circuits import check_interface
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.bias.pin_charge import held_current_a, reverse_voltage_needed_v
from loopwright.circuits.parts import PinDiode
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
    CableBroken,
    Diodes,
    NoBias,
    PartShort,
    Plug,
)
from loopwright.circuits.under_field.pin_bias import PinBias, bias_of_line, bias_without_interface
from loopwright.circuits.under_field.pin_hold import (
    JUNCTION_V,
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


OWN = circuit(PinDiode(forward_resistance_ohm=0.35, reverse_resistance_ohm=5e3, reverse_capacitance_f=0.3e-12))
DETUNED = replace(ACTIVELY_DETUNED, plug=Plug.OUT)
UNBIASED = replace(BIAS, reverse_voltage_v=0.0)


def holds(state, bias=BIAS, field_t=20e-6):
    """The trap of a tuned loop, closed by a PIN diode, in a field."""
    solved = array_state(np.array([[LOOP_OHM]]), [OWN], [state], frequency_hz=F)
    found = stresses(solved, [EMF_V_PER_T * field_t])
    return pin_holds([OWN], [state], found, biases=[bias], frequency_hz=F), found


def test_a_diode_that_conducts_is_held_against_its_charge():
    (hold,), found = holds(DETUNED)
    (diode,) = (stress for stress in found if stress.part == "D")
    assert (hold.part, hold.unit, hold.diodes) == ("D", "A", Diodes.CONDUCT)
    assert hold.borne == diode.current_a
    # pi f I tau = 60 A: twenty and more times the ring current of the trap.
    assert hold.allowed == pytest.approx(np.pi * F * 0.1 * 1.5e-6)
    assert hold.margin == pytest.approx(hold.allowed / hold.borne)
    assert 20 < hold.margin < 60
    assert "margin" in hold.sentence


def test_at_the_bound_half_of_the_charge_is_left_and_at_twice_the_bound_none():
    """dQ/dt = I - Q/tau - A cos(wt), settled: Q swings by A / |jw + 1/tau|. From crest to crest the bound counts."""
    current, lifetime, f = 0.02, 0.5e-6, 30e6
    bound = float(held_current_a(current, carrier_lifetime_s=lifetime, frequency_hz=f))

    def least_share(amplitude):
        return 1 - amplitude / np.hypot(2 * np.pi * f, 1 / lifetime) / (current * lifetime)

    assert least_share(bound) == pytest.approx(0.5, abs=1e-3)
    assert least_share(2.001 * bound) < 0 < least_share(1.99 * bound)


@pytest.mark.parametrize("reverse_v", [0.0, 5.0, 30.0])
def test_the_voltage_withstood_asks_for_the_bias_that_is_there(reverse_v):
    withstood = float(voltage_withstood_v(reverse_v + JUNCTION_V, layer_m=50e-6, frequency_hz=F))
    assert withstood >= reverse_v + JUNCTION_V
    assert reverse_voltage_needed_v(withstood, layer_m=50e-6, frequency_hz=F) == pytest.approx(reverse_v + JUNCTION_V)


def test_a_wider_layer_and_a_higher_frequency_withstand_more():
    base = voltage_withstood_v(5.0, layer_m=20e-6, frequency_hz=64e6)
    assert voltage_withstood_v(5.0, layer_m=80e-6, frequency_hz=64e6) > base
    assert voltage_withstood_v(5.0, layer_m=20e-6, frequency_hz=300e6) > base


def test_without_bias_a_tuned_loop_turns_its_diode_on_and_enough_of_it_prevents_that():
    """Hundreds of volts stand across the trap of the tuned loop at 20 uT."""
    (unbiased,), found = holds(UNPLUGGED, UNBIASED)
    (diode,) = (stress for stress in found if stress.part == "D")
    assert (unbiased.unit, unbiased.borne) == ("V", diode.voltage_v)
    assert diode.voltage_v > 100
    assert unbiased.margin < 1
    assert "begins to conduct by itself" in unbiased.sentence
    (weak,), _ = holds(RECEIVING, UNBIASED, field_t=1e-8)
    assert weak.margin > 1
    assert weak.reverse_needed_v == 0
    enough = replace(BIAS, reverse_voltage_v=unbiased.reverse_needed_v)
    assert holds(UNPLUGGED, enough)[0][0].margin == pytest.approx(1, rel=1e-6)


def test_a_weak_bias_is_told_and_a_failed_diode_left_out():
    weak, _ = holds(DETUNED, replace(BIAS, forward_current_a=1e-3))
    assert weak[0].margin < 1
    assert "run empty in every half-wave" in weak[0].sentence
    assert holds(DETUNED.with_faults(PartShort(part="D")))[0] == ()


@pytest.mark.parametrize("fault", [CableBroken(), NoBias(part="D")])
@pytest.mark.parametrize("state", [DETUNED, UNPLUGGED])
def test_a_diode_that_no_bias_reaches_is_held_by_its_junction_alone(fault, state):
    """Neither the forward current nor the reverse voltage of the line counts."""
    (hold,), found = holds(state.with_faults(fault))
    (diode,) = (stress for stress in found if stress.part == "D")
    assert (hold.unit, hold.diodes, hold.borne) == ("V", Diodes.BLOCK, diode.voltage_v)
    assert hold.allowed == pytest.approx(float(voltage_withstood_v(JUNCTION_V, layer_m=50e-6, frequency_hz=F)))
    assert hold.margin < 1


def test_recovery_is_that_of_the_balance_without_bias():
    found = pin_recovery(BIAS)
    time_s = np.linspace(0, 5e-6, 200001)
    charge = (0.1 + 0.05) * 1.5e-6 * np.exp(-time_s / 1.5e-6) - 0.05 * 1.5e-6  # dQ/dt = -Q / tau - IR
    assert found.takes_s == pytest.approx(time_s[np.argmax(charge < 0)], rel=1e-3)
    assert found.margin == pytest.approx(20e-6 / found.takes_s)
    assert "margin" in found.sentence
    assert "begins on a detuned coil" in pin_recovery(replace(BIAS, turn_off_s=1e-6)).sentence


def test_a_bias_is_that_of_its_line_shared_by_branches_and_diodes():
    line = {"name": "B1", "branches": 4, "diodes": 2, "diode": {"carrier_lifetime": "2 us"}}
    asked = brief_with(interface={**INTERFACE, "bias_lines": [line]}).interface
    check = check_interface(asked, ("A1",), frequency_hz=F)
    (found,) = (bias_of_line(one, check.interface) for one in check.lines)
    assert found.forward_current_a == pytest.approx(check.lines[0].current_a / 4)
    assert found.reverse_voltage_v == pytest.approx(check.interface.reverse_voltage_v / 2)
    assert found.carrier_lifetime_s == 2e-6
    # The line tells the same time of recovery and the same held current.
    assert pin_recovery(found).takes_s == pytest.approx(check.lines[0].recovery_s)
    held = held_current_a(found.forward_current_a, carrier_lifetime_s=2e-6, frequency_hz=F)
    assert held == pytest.approx(check.lines[0].held_a)
    assert "B1" in str(found.source)


def test_without_an_interface_nothing_holds_a_diode_off_and_no_recovery_is_told():
    found = bias_without_interface(0.1)
    assert found.reverse_voltage_v == 0
    assert "was told" in pin_recovery(found).sentence
    assert "from memory" in holds(DETUNED, found)[0][0].sentence


def test_nothing_is_called_what_nobody_can_promise():
    (hold,), _ = holds(DETUNED)
    words = " ".join((hold.sentence, pin_recovery(BIAS).sentence, *pin_hold_limits()))
    assert "safe" not in words
    assert "factor of two" in words
