"""Bias lines: exact roots, a driver on record, and what a scanner would not notice."""

import numpy as np
import pytest
from scipy.optimize import brentq

from brief.base_brief import brief_with
from loopwright.circuits import check_interface
from loopwright.circuits.bias.bias_strings import (
    Branches,
    CurrentDriver,
    VoltageDriver,
    branch_current_a,
    driver_reading,
)
from loopwright.circuits.bias.pin_diode import forward_voltage_v

NAMES = tuple(f"E{number:02d}" for number in range(1, 17))
ONE = {"name": "B1", "cable_resistance": "0 ohm", "chokes": "0"}


def checked(*lines, **keys):
    interface = {"channels_per_plug": "16", "bias_lines": list(lines), **keys}
    return check_interface(brief_with(interface=interface).interface, NAMES, frequency_hz=127.7e6)


def branches(count=1, diodes=1, resistance_ohm=2.0, diode_v=0.85):
    return Branches(count=count, diodes=diodes, resistance_ohm=resistance_ohm, diode_v=diode_v, at_current_a=0.1)


@pytest.mark.parametrize("diodes", [1, 3])
@pytest.mark.parametrize("resistance_ohm", [0.0, 0.01, 20.0, 1e4])
def test_the_current_of_a_branch_is_the_root_of_its_equation(diodes, resistance_ohm):
    part = branches(diodes=diodes, resistance_ohm=resistance_ohm)
    for voltage_v in (0.01, 0.8 * diodes, 0.95 * diodes):
        root = brentq(
            lambda i, v=voltage_v: (
                diodes * float(forward_voltage_v(i, voltage_v=0.85, at_current_a=0.1)) + i * resistance_ohm - v
            ),
            0,
            100,
            xtol=1e-18,
            rtol=1e-13,
        )
        assert branch_current_a(voltage_v, part) == pytest.approx(root, rel=1e-6)


def test_what_a_line_takes_is_found_in_diodes_chokes_and_cable():
    line = {"name": "B1", "branches": "4", "diodes": "2", "chokes": "2", "choke_resistance": "3 ohm",
            "cable_resistance": "4 ohm"}  # fmt: skip
    (found,) = checked(line).lines
    assert found.diode_w < 0.1 / 4 * 0.85  # less current makes less voltage as well
    assert found.line_w == pytest.approx(4 * 2 * (found.diode_w + found.choke_w) + 4 * found.current_a**2)


def test_a_held_current_gives_diodes_chokes_and_cable():
    line = checked(
        {"name": "B1", "diodes": "2", "chokes": "2", "choke_resistance": "3 ohm", "cable_resistance": "4 ohm"}
    )
    (found,) = line.lines
    assert found.forward_v == pytest.approx(2 * 0.85 + 0.1 * (6 + 4))
    assert found.greatest_v - found.forward_v == pytest.approx(0.2)
    assert found.window_margin_v == pytest.approx(2.6 - 2.9)
    assert found.verdict == "outside"
    assert found.choke_w == pytest.approx(0.1**2 * 3)
    assert found.line_w == pytest.approx(0.1 * 2.7)
    assert found.diode_w == pytest.approx(0.1 * 0.85)


def test_a_driver_on_record_spreads_as_it_was_measured():
    """Laboratory notes: 82 mA into 1.2 V and 10 ohm of chokes, 127 mA into 0.7 V and none.

    Two points fix the two values of the driver, so what is tested is that the solution gives them back.
    """
    line = checked(
        {**ONE, "chokes": "1", "choke_resistance": "10 ohm", "diode": {"voltage": "1.2 V"}},
        {**ONE, "name": "B2", "diode": {"voltage": "0.7 V"}},
        driver_voltage="4.43 V",
        driver_resistance="29.3 ohm",
    )
    first, second = line.lines
    assert first.current_a == pytest.approx(0.082, abs=0.001)
    assert second.current_a == pytest.approx(0.127, abs=0.001)


def test_a_voltage_driver_meets_kirchhoff():
    driver = VoltageDriver(open_v=np.array([3.0, 5.0, 8.0]), resistance_ohm=30.0)
    part = branches(count=3, diodes=2)
    found = driver_reading(driver, (part,), series_ohm=1.5)
    np.testing.assert_allclose(found.voltage_v, driver.open_v - 30.0 * found.current_a, rtol=1e-12)
    across_v = found.voltage_v - 1.5 * found.current_a
    np.testing.assert_allclose(3 * branch_current_a(across_v, part), found.current_a, rtol=1e-9)


def test_ten_thousand_draws_are_one_call():
    spread_v = 0.85 + 0.05 * np.random.default_rng(1).normal(size=10_000)
    found = driver_reading(CurrentDriver(current_a=0.1), (branches(count=4, diode_v=spread_v),), series_ohm=1.0)
    assert found.voltage_v.shape == (10_000,)
    one = driver_reading(CurrentDriver(current_a=0.1), (branches(count=4, diode_v=spread_v[7]),), series_ohm=1.0)
    assert found.voltage_v[7] == pytest.approx(float(one.voltage_v), rel=1e-12)


def faults_of(found):
    return {fault.what: fault for fault in found.faults}


def test_one_of_several_branches_that_opens_is_not_noticed():
    """The engineer's trap: a shared line reads well within its window with a dead trap on it."""
    (found,) = checked({"name": "B1", "branches": "4"}, sense_current="60 mA", trip_current="300 mA").lines
    fault = faults_of(found)["one diode or choke open"]
    assert not fault.noticed_by
    assert fault.sound_branch_a == pytest.approx(0.1 / 3)
    assert fault in found.unnoticed


def test_a_short_diode_starves_the_branches_beside_it():
    (found,) = checked({"name": "B1", "branches": "4", "chokes": "1", "choke_resistance": "1 ohm"}).lines
    fault = faults_of(found)["one diode short"]
    # Almost all goes through 1 ohm of choke: 0.1 V, under which a diode carries next to nothing.
    assert fault.voltage_v == pytest.approx(0.1 * (1 + 1), rel=1e-3)
    assert fault.sound_branch_a < 1e-6
    assert "below the window" in fault.noticed_by


def test_a_single_string_that_opens_or_shorts():
    (found,) = checked({**ONE, "diodes": "2"}, sense_current="60 mA").lines
    faults = faults_of(found)
    assert faults["one diode or choke open"].voltage_v == np.inf
    assert "sense" in faults["one diode or choke open"].noticed_by
    assert faults["one diode short"].voltage_v == pytest.approx(0.85)
    assert not faults["one diode short"].noticed_by
    assert "below the window" in faults["line short at the array's end of the cable"].noticed_by


def test_margins_are_to_the_worse_end_of_the_spread():
    (found,) = checked(
        ONE, driver_voltage="4 V", driver_resistance="30 ohm", sense_current="60 mA", trip_current="120 mA"
    ).lines
    high, low = (
        float(
            driver_reading(
                VoltageDriver(open_v=4.0, resistance_ohm=30.0), (branches(resistance_ohm=0, diode_v=v),), series_ohm=0
            ).current_a
        )
        for v in (0.75, 0.95)
    )
    assert found.sense_margin_a == pytest.approx(low - 0.06)
    assert found.trip_margin_a == pytest.approx(0.12 - high)
    (silent,) = checked(ONE).lines
    assert silent.sense_margin_a is None
    assert silent.trip_margin_a is None


def test_recovery_and_hold_of_a_shared_line_are_those_of_one_branch():
    (alone,), (shared,) = checked(ONE).lines, checked({**ONE, "branches": "4"}).lines
    assert shared.held_a == pytest.approx(alone.held_a / 4)
    assert shared.recovery_s == pytest.approx(alone.recovery_s)
    assert alone.recovery_s == pytest.approx(1.5e-6 * np.log(3))


def test_channels_are_filled_in_order_and_the_rest_is_free():
    found = checked(ONE, plugs="2", channels_per_plug="10")
    assert [(use.plug, use.channel, use.element) for use in found.channels[9:12]] == [
        (1, 10, "E10"),
        (2, 1, "E11"),
        (2, 2, "E12"),
    ]
    assert [(use.plug, use.channel) for use in found.unused] == [(2, 7), (2, 8), (2, 9), (2, 10)]
    short = checked(ONE, channels_per_plug="14")
    assert short.without_channel == ("E15", "E16")
    assert not short.unused


def test_elements_without_a_line_and_lines_without_an_element():
    found = checked({**ONE, "elements": ["E01", "E99"]})
    assert found.strangers == ("E99",)
    assert found.without_line == NAMES[1:]
    assert not checked(ONE).without_line


def test_supply_is_counted():
    assert checked(ONE).supply_w is None
    assert checked(ONE, preamplifier_draw="12 mA").supply_w == pytest.approx(16 * 0.012 * 10)
