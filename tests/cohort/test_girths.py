"""How large patients are round: sections of triangles against those of formulas."""

from math import pi

import numpy as np
import pytest

from loopwright.bodies import layered_elliptic_cylinder, layered_surface
from loopwright.cohort import circumference_m, spanned_share
from loopwright.cohort.bearing import waist_radius_m
from loopwright.layouts import Element, Layout
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


def arc(*turns, radius_m=0.11):
    """Conductors over these azimuths [rad], as one element."""
    vertices = np.stack([radius_m * np.cos(turns), radius_m * np.sin(turns), np.zeros(len(turns))], axis=1)
    return Layout(
        elements=(Element(name="E1", shape="circle", size_m=0.1, centre_m=(0.0, 0.0, 0.0), normal=(0.0, 0.0, 1.0),
                          vertices_m=vertices, gap_nodes=(0,)),),
        neighbours=(), neighbour_distance_m=(), least_skin_distance_m=0.0, least_conductor_distance_m=None, notes=(),
    )  # fmt: skip


def test_an_array_spans_all_but_the_widest_piece_that_is_left_free():
    quarter = arc(*np.linspace(-3 * pi / 4, -pi / 4, 30))
    for body in (
        of(ball(0.10, 4)),
        layered_elliptic_cylinder((0.1, 0.1), 0.4, tissue_names=["Muscle"], thicknesses_m=[]),
    ):
        assert spanned_share(quarter, body) == pytest.approx(0.25, abs=4e-3)
    two = arc(*np.linspace(-3 * pi / 4, -pi / 4, 30), *np.linspace(0, pi / 4, 30))
    assert spanned_share(two, of(ball(0.10, 4))) == pytest.approx(0.5, abs=4e-3)


def test_of_a_flat_chest_a_front_spans_as_much_as_a_tape_reads_over_it():
    wide = layered_elliptic_cylinder((0.2, 0.1), 0.4, tissue_names=["Muscle"], thicknesses_m=[])
    half = arc(*np.linspace(-pi, 0, 60))
    assert spanned_share(half, wide) == pytest.approx(0.5, abs=2e-3)
    side = arc(*np.linspace(-pi / 6, pi / 6, 60))
    turns = np.linspace(0, np.arctan(2 * np.tan(pi / 6)), 2001)  # of the ellipse's own angle
    steps = np.hypot(0.2 * np.diff(np.cos(turns)), 0.1 * np.diff(np.sin(turns)))
    assert spanned_share(side, wide) == pytest.approx(2 * steps.sum() / circumference_m(wide), abs=2e-3)
