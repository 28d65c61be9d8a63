"""Sets of plates that bridges choose from, and lumped parts."""

from itertools import product
from math import pi
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loopwright.conductors import (
    BridgedPlates,
    GivenQ,
    GivenResistance,
    lumped_q,
    lumped_resistance_ohm,
    setting_for,
    settings_of,
    widest_gap,
)
from loopwright.ground.errors import OutsideModelError

F0_HZ = 123.2e6
GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "flexible-variable-capacitor.md"


def plates(strings=3, in_series=3, **changes):
    one = {"plate_f": 30e-12, "plate_resistance_ohm": 0.02, "plate_loss_tangent": 0.006, "plate_v": 400.0}
    return BridgedPlates(strings=strings, in_series=in_series, **one | changes)


@given(strings=st.integers(1, 4), in_series=st.integers(1, 4))
def test_every_choice_of_bridges_is_there_once(strings, in_series):
    """Each string open or with 1 to n plates: as many values as there are multisets, less the empty one."""
    choices = {tuple(sorted(one)) for one in product(range(in_series + 1), repeat=strings)} - {(0,) * strings}
    found = settings_of(plates(strings, in_series), F0_HZ)
    assert len(found) == len(choices)
    assert found[0].capacitance_f == pytest.approx(30e-12 / in_series, rel=1e-12, abs=0)
    assert found[-1].capacitance_f == pytest.approx(30e-12 * strings, rel=1e-12, abs=0)
    assert [one.capacitance_f for one in found] == sorted(one.capacitance_f for one in found)


def test_equal_plates_keep_their_q_in_every_setting():
    """Strings scale capacitance and resistance alike: Q is that of one plate where all strings are alike or not."""
    w = 2 * pi * F0_HZ
    one = 1 / (0.006 + w * 30e-12 * 0.02)
    for setting in settings_of(plates(), F0_HZ):
        assert setting.quality_factor == pytest.approx(one, rel=1e-3)


def test_the_weakest_string_sets_the_voltage():
    by_use = {one.plates_in_use: one.withstand_v for one in settings_of(plates(), F0_HZ)}
    assert by_use[(3, 3, 3)] == 1200
    assert by_use[(3, 2, 1)] == 400
    assert by_use[(3, 2)] == 800


def test_the_nearest_setting_that_bears_the_voltage_is_found():
    assert setting_for(plates(), 46e-12, F0_HZ).plates_in_use == (2, 1)
    assert setting_for(plates(), 46e-12, F0_HZ, least_v=700).plates_in_use == (2, 2, 2)
    assert widest_gap(plates(), 20e-12, 90e-12) == pytest.approx(1 / 4)  # from 20 to 25 pF
    assert widest_gap(plates(), 26e-12, 90e-12) == pytest.approx(1 / 5)  # from 75 to 90 pF
    with pytest.raises(OutsideModelError, match="reaches nothing"):
        setting_for(plates(), 46e-12, F0_HZ, least_v=5000)
    with pytest.raises(OutsideModelError, match="more strings"):
        setting_for(plates(), 1e-9, F0_HZ)
    with pytest.raises(OutsideModelError, match="reaches from"):
        widest_gap(plates(), 1e-9, 2e-9)


@pytest.mark.parametrize("change", [{"strings": 0}, {"in_series": 7}, {"plate_f": 0.0}, {"plate_loss_tangent": -1.0}])
def test_sets_that_nobody_would_print_are_refused(change):
    with pytest.raises(OutsideModelError):
        plates(**change)


@given(c=st.floats(1e-12, 1e-9), f=st.floats(2e7, 5e8))
def test_q_and_resistance_of_lumped_parts_agree(c, f):
    for loss in (GivenQ(quality_factor=1500), GivenResistance(resistance_ohm=0.05, at_hz=128e6)):
        resistance = lumped_resistance_ohm(loss, c, f)
        assert 1 / (2 * pi * f * c * resistance) == pytest.approx(lumped_q(loss, c, f))


def test_resistance_grows_as_the_root_and_a_given_q_falls_with_value():
    given_r = GivenResistance(resistance_ohm=0.05, at_hz=128e6)
    assert lumped_resistance_ohm(given_r, 10e-12, 128e6) == 0.05
    assert lumped_resistance_ohm(given_r, 10e-12, 512e6) == pytest.approx(0.1)
    q = GivenQ(quality_factor=1500)
    assert lumped_resistance_ohm(q, 5e-12, 128e6) == pytest.approx(2 * lumped_resistance_ohm(q, 10e-12, 128e6))
    assert lumped_q(GivenResistance(resistance_ohm=0.0, at_hz=128e6), 1e-12, 1e8) == float("inf")


def test_lumped_parts_that_give_power_are_refused():
    with pytest.raises(OutsideModelError, match="quality_factor"):
        GivenQ(quality_factor=0.0)
    with pytest.raises(OutsideModelError, match="resistance_ohm"):
        GivenResistance(resistance_ohm=-0.1, at_hz=1e8)
    with pytest.raises(OutsideModelError, match="capacitance_f"):
        lumped_resistance_ohm(GivenQ(quality_factor=1.0), 0.0, 1e8)


def test_the_guide_tells_what_its_code_finds():
    text = GUIDE.read_text("utf-8")
    told = {}
    exec("\n".join(line[4:] for line in text.splitlines() if line.startswith("    ")), told)  # noqa: S102 - our own guide
    values, found, plates = told["values"], told["found"], told["plates"]
    assert f"One plate has {1e12 * plates.plate_f:.1f} pF and bears {plates.plate_v:.0f} V peak" in text
    ends = " to ".join(f"{1e12 * one.capacitance_f:.1f} pF" for one in (values[0], values[-1]))
    assert f"{len(values)} values from {ends},\nwith a Q of {values[0].quality_factor:.0f}" in text
    assert f"`plates_in_use == {found.plates_in_use}`: {1e12 * found.capacitance_f:.1f} pF" in text
    assert f"for {found.withstand_v:.0f} V." in text
    assert f"up to {100 * told['widest']:.0f} % apart" in text
