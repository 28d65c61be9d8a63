"""How large patients are round: sections of triangles against those of formulas."""

from math import pi

import pytest

from loopwright.bodies import layered_elliptic_cylinder, layered_surface
from loopwright.cohort import circumference_m
from loopwright.cohort.bearing import waist_radius_m
from triangle_cases import ball, together


def of(*balls):
    return layered_surface(together(*balls), tissue_names=["Muscle"], thicknesses_m=[])


def test_a_body_that_widens_further_down_is_measured_at_its_origin():
    both = of(ball(0.06, 4), ball(0.15, 4, centre_m=(0.0, 0.0, -0.3)))
    assert circumference_m(both) == pytest.approx(2 * pi * 0.06, rel=5e-3)
    assert waist_radius_m(both) == pytest.approx(0.06, rel=5e-3)


def test_the_tape_goes_round_the_largest_part_and_leaves_the_arms_out():
    arms = [ball(0.03, 3, centre_m=(side * 0.15, 0.0, 0.0)) for side in (-1, 1)]
    assert circumference_m(of(ball(0.10, 4), *arms)) == pytest.approx(2 * pi * 0.10, rel=5e-3)


def test_a_formula_is_measured_by_its_own_section():
    waist = layered_elliptic_cylinder((0.15, 0.15), 0.4, tissue_names=["Muscle"], thicknesses_m=[])
    assert circumference_m(waist) == pytest.approx(2 * pi * 0.15)
