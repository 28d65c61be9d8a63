import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import pi

from loopwright.conductors import (
    FlatStrip,
    PrintedStrip,
    RoundWire,
    capacitor_series_resistance_ohm,
    equivalent_radius_m,
    limits,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.ground.errors import OutsideModelError

COPPER = 5.80e7
WIRE = RoundWire(diameter_m=1e-3, conductivity_s_per_m=COPPER)
FOIL = FlatStrip(width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=COPPER)
INK = PrintedStrip(width_m=5e-3, thickness_m=20e-6, conductivity_s_per_m=COPPER / 7)


def test_loss_of_the_three_conductors_at_3_t():
    """Round wire 0.944, copper foil 0.609, printed silver 2.37 ohm/m: the two-dimensional table."""
    found = [resistance_ohm_per_m(section, 127.7e6) for section in (WIRE, FOIL, INK)]
    assert found == pytest.approx([0.944, 0.609, 2.37], rel=0.01)


def test_equivalent_radius():
    assert equivalent_radius_m(WIRE) == 0.5e-3
    assert equivalent_radius_m(FOIL) == equivalent_radius_m(INK) == 1.25e-3
    assert [outline_width_m(section) for section in (WIRE, FOIL, INK)] == [1e-3, 5e-3, 5e-3]


@given(scale=st.floats(0.2, 5), section=st.sampled_from([WIRE, FOIL, INK]))
def test_loss_scales_as_the_eddy_current_equation_does(scale, section):
    """All lengths times s, frequency over s^2: same current pattern, resistance per metre over s^2."""
    lengths = {
        name: scale * getattr(section, name)
        for name in ("diameter_m", "width_m", "thickness_m")
        if hasattr(section, name)
    }
    scaled = type(section)(**lengths, conductivity_s_per_m=section.conductivity_s_per_m)
    expected = resistance_ohm_per_m(section, 100e6) / scale**2
    assert resistance_ohm_per_m(scaled, 100e6 / scale**2) == pytest.approx(expected, rel=1e-9)


def test_usual_conductors_lie_inside_the_limits():
    assert [limits(section, 127.7e6) for section in (WIRE, FOIL, INK)] == [(), (), ()]


@pytest.mark.parametrize(
    ("section", "frequency_hz", "words"),
    [
        (FlatStrip(width_m=1e-3, thickness_m=0.1e-3, conductivity_s_per_m=COPPER), 127.7e6, "10 times as wide"),
        (FlatStrip(width_m=15e-3, thickness_m=35e-6, conductivity_s_per_m=COPPER), 127.7e6, "15 mm wide"),
        (PrintedStrip(width_m=1e-3, thickness_m=20e-6, conductivity_s_per_m=1e4), 63.9e6, "skin depth"),
        (WIRE, 2e9, "1 GHz"),
    ],
)
def test_limits_say_what_lies_outside(section, frequency_hz, words):
    (sentence,) = limits(section, frequency_hz)
    assert words in sentence


@pytest.mark.parametrize(
    ("kind", "shape"),
    [
        (RoundWire, {"diameter_m": 0.0}),
        (FlatStrip, {"width_m": 5e-3, "thickness_m": -1e-6}),
        (PrintedStrip, {"width_m": 1e-3, "thickness_m": 2e-3}),
    ],
)
def test_impossible_conductors_are_refused(kind, shape):
    with pytest.raises(OutsideModelError):
        kind(**shape, conductivity_s_per_m=COPPER)


def test_capacitor_resistance_is_reactance_over_quality():
    """27.4 pF at 127.7 MHz with Q 1500: 45.5 ohm of reactance, 30 milliohm."""
    found = capacitor_series_resistance_ohm(27.4e-12, 127.7e6, quality_factor=1500)
    assert found == pytest.approx(1 / (2 * pi * 127.7e6 * 27.4e-12) / 1500)
    assert found == pytest.approx(30.3e-3, rel=2e-3)
