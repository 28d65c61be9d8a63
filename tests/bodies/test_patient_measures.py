"""The tape against bodies whose girths are known exactly, and girths that change as they are told to."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.bodies.patients.family import Points, blended, part_shares
from loopwright.bodies.patients.girths import Girths, with_girths
from loopwright.bodies.patients.measures import girth_m, head_ends_m, measured
from loopwright.ground.body_shapes import body_shapes


def ten_years():
    return blended("female", length_m=1.386, fatness=0.0)


def test_a_body_wrapped_on_a_cylinder_has_its_girth():
    body = ten_years()
    round_z = np.arctan2(body.points_m[:, 1], body.points_m[:, 0])
    radius_m = 0.15
    on_cylinder = np.stack([radius_m * np.cos(round_z), radius_m * np.sin(round_z), body.points_m[:, 2]], axis=1)
    found = girth_m(Points(points_m=on_cylinder), "trunk", body.mark_m("navel"), np.array([0.0, 0.0, 1.0]))
    # The edges are chords of a circle cut into some forty pieces.
    assert found == pytest.approx(2 * np.pi * radius_m, rel=0.01)
    assert found < 2 * np.pi * radius_m


def test_an_oblique_tape_round_a_cylinder_is_an_ellipse():
    body = ten_years()
    round_z = np.arctan2(body.points_m[:, 1], body.points_m[:, 0])
    on_cylinder = np.stack([0.15 * np.cos(round_z), 0.15 * np.sin(round_z), body.points_m[:, 2]], axis=1)
    slope = 0.3
    found = girth_m(Points(points_m=on_cylinder), "trunk", body.mark_m("navel"), np.array([0.0, -slope, 1.0]))
    a, b = 0.15 * np.hypot(1, slope), 0.15
    t = np.linspace(0, 2 * np.pi, 2001)
    assert found == pytest.approx(np.hypot(np.diff(a * np.cos(t)), np.diff(b * np.sin(t))).sum(), rel=0.01)


def test_measures_grow_with_the_body():
    body = ten_years()
    small, large = measured(body), measured(Points(points_m=1.3 * body.points_m))
    for name, value in small.items():
        power = {"mass": 3, "surface area": 2, "head breadth over length": 0}.get(name, 1)
        assert large[name] == pytest.approx(1.3**power * value, rel=1e-9), name


def test_ears_do_not_count_for_the_head():
    body = ten_years()
    pulled = body.points_m.copy()
    pulled[np.flatnonzero(body_shapes().ears), 0] *= 1.2
    before, after = measured(body), measured(Points(points_m=pulled))
    for name in ("head circumference", "head breadth", "head length"):
        assert after[name] == before[name], name


def test_the_head_is_longest_between_glabella_and_back():
    body = ten_years()
    front, back = head_ends_m(body)
    assert back[1] - front[1] > 0.9 * np.linalg.norm(back - front)
    assert abs(back[0]) < 0.02


def test_no_girth_leaves_the_body_as_it_is():
    body = ten_years()
    assert with_girths(body, Girths()).points_m == pytest.approx(body.points_m, abs=1e-15)


@pytest.mark.parametrize(
    ("girth", "measure"),
    [
        ("chest", "chest circumference"),
        ("abdomen", "abdomen circumference"),
        ("thigh", "thigh circumference"),
        ("knee", "knee circumference"),
        ("wrist", "wrist circumference"),
        ("head_breadth", "head breadth"),
        ("head_depth", "head length"),
    ],
)
def test_a_girth_changes_its_own_measure(girth, measure):
    body = ten_years()
    before, after = measured(body), measured(with_girths(body, replace(Girths(), **{girth: 0.1})))
    assert 0.05 < np.log(after[measure] / before[measure]) < 0.12
    if not girth.startswith("head"):
        for name in ("length", "head circumference"):
            assert after[name] == pytest.approx(before[name], rel=0.005), name


def test_fatness_adds_mass_and_leaves_the_length():
    lean, fat = (measured(blended("male", length_m=1.76, fatness=fatness)) for fatness in (-0.5, 0.5))
    assert fat["mass"] > 1.05 * lean["mass"]
    assert fat["length"] == pytest.approx(lean["length"], rel=0.01)


def test_shares_of_parts_add_up_at_every_point():
    assert part_shares().sum(axis=1) == pytest.approx(np.ones(len(part_shares())))
    assert part_shares().min() >= 0
