"""Resonance of elements bent with a film, against the wires' own currents on the same hull."""

from dataclasses import replace

import numpy as np
import pytest
from test_flexed_frequency import GAPS, WIRE_RADIUS_M, capacitance_f, solved_hz

from film_bodies import cylinder
from loopwright.fields import bending_shift
from loopwright.layouts import Rulings, elements_at, elements_laid_flat, flat_element, pattern_of, taut_over
from wire_arrays import dressed

FREQUENCY_HZ = 127.74e6
STAND_OFF = 3e-3
AXIS = Rulings(through_m=np.zeros(3), upwards=np.array([0.0, 0.0, 1.0]), narrowing_per_m=0.0)


def laid(radius_m, *, turned_rad=0.0, shape="circle"):
    """One element flat and on a film about a cylinder, its centre-line at this radius."""
    element = flat_element("E01", shape, size_m=0.08, centre_m=(0.0, 0.0), segments=24, gaps=GAPS)
    pattern = pattern_of([element], margin_m=0.01, conductor_width_m=2e-3)
    skin = taut_over(cylinder(radius_m - STAND_OFF), AXIS, reach_m=(-0.1, 0.1))
    foot = skin.foot_over(np.array([0.0, -radius_m, 0.0]) / 2, turned_rad=turned_rad)
    return elements_laid_flat(pattern), elements_at(pattern, skin, foot, stand_off_m=STAND_OFF)


@pytest.mark.parametrize(
    ("radius_m", "shape", "turned_rad"), [(0.05, "circle", 0.0), (0.03, "circle", 0.0), (0.05, "square", np.pi / 4)]
)
def test_the_shift_is_that_of_the_wires_solved_directly(radius_m, shape, turned_rad):
    flat, bent = laid(radius_m, shape=shape, turned_rad=turned_rad)
    array = dressed([flat[0].vertices_m], gaps=GAPS)
    shift = bending_shift(flat, bent, conductor_radius_m=WIRE_RADIUS_M, frequency_hz=FREQUENCY_HZ)
    solved = solved_hz(array, bent, capacitance_f(array, FREQUENCY_HZ), shift.laid_hz[0])
    assert shift.laid_hz[0] - FREQUENCY_HZ == pytest.approx(solved - FREQUENCY_HZ, rel=0.01)
    assert shift.relative[0] > 2e-3
    assert np.sqrt(shift.flat_h / shift.laid_h)[0] - 1 == pytest.approx(shift.relative[0], rel=0.03)


@pytest.mark.parametrize(("radius_m", "percent"), [(0.1, 0.2), (0.07, 0.4), (0.05, 0.8), (0.03, 2.2)])
def test_the_shift_of_an_80_mm_loop_is_the_trades(radius_m, percent):
    """The trade's own table of bends; common practice, the conductor is not told."""
    flat, bent = laid(radius_m)
    shift = bending_shift(flat, bent, conductor_radius_m=WIRE_RADIUS_M, frequency_hz=FREQUENCY_HZ)
    assert 100 * shift.relative[0] == pytest.approx(percent, rel=0.1, abs=0.05)


def test_what_lies_flat_is_not_shifted():
    flat, _ = laid(0.05)
    moved = [replace(element, vertices_m=element.vertices_m + np.array([0.1, 0.0, 0.2])) for element in flat]
    shift = bending_shift(flat, moved, conductor_radius_m=WIRE_RADIUS_M, frequency_hz=FREQUENCY_HZ)
    assert shift.relative == pytest.approx([0.0], abs=1e-9)
    assert shift.names == ("E01",)
