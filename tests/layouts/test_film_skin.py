"""Films on cylinders and cones: no strain, closing wraps, elements and tilings laid as on any skin."""

import numpy as np
import pytest

from film_bodies import cylinder, frustum, rectangle
from loopwright.brief.records import TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    Rulings,
    circle_outline_m,
    film_grid,
    film_strain,
    taut_over,
)
from loopwright.layouts.tilings import tiling_on
from loopwright.layouts.windings import bent_on_cylinder_m

UP = np.array([0.0, 0.0, 1.0])
AXIS = np.zeros(3)
REACH = (-0.13, 0.13)
STAND_OFF = 4e-3

TUBE = taut_over(cylinder(0.08), Rulings(through_m=AXIS, upwards=UP, narrowing_per_m=0.0), reach_m=REACH)
HALF = 0.2  # radius lost per height
CONE = taut_over(frustum(0.08, HALF), Rulings(through_m=AXIS, upwards=UP, narrowing_per_m=HALF / 0.08), reach_m=REACH)
SKINS = [TUBE, CONE]


@pytest.mark.parametrize("stand_off_m", [0.0, STAND_OFF])
@pytest.mark.parametrize("turned_rad", [0.0, 0.7])
@pytest.mark.parametrize("skin", SKINS, ids=["cylinder", "cone"])
def test_a_film_is_not_strained(skin, turned_rad, stand_off_m):
    """Below a thousandth in every triangle; what is left are chords: 5 mm on 60 mm of radius, (h / R)^2 / 24."""
    grid = film_grid(rectangle(0.25, 0.14), spacing_m=5e-3)
    foot = skin.foot_over(np.array([0.06, 0.05, 0.01]), turned_rad=turned_rad)
    laid = skin.wrapped_m(foot, grid.nodes_m, stand_off_m=np.array([stand_off_m]))[0]
    assert film_strain(grid, laid).largest < 1e-3


@pytest.mark.parametrize("skin", SKINS, ids=["cylinder", "cone"])
def test_lengths_along_fine_lines_are_those_of_the_flat_film(skin):
    """On the offset surface, which has no kinks, chords of a hundredth of a millimetre leave 1e-6."""
    rng = np.random.default_rng(3)
    ends = rng.uniform(-0.08, 0.08, (2, 12, 2))
    lines = ends[0][:, None] + np.linspace(0, 1, 2001)[None, :, None] * (ends[1] - ends[0])[:, None]
    foot = skin.foot_over(np.array([0.07, -0.02, 0.0]))
    laid = skin.wrapped_m(foot, lines.reshape(-1, 2), stand_off_m=np.array([STAND_OFF]))[0].reshape(12, -1, 3)
    lengths = np.linalg.norm(np.diff(laid, axis=1), axis=2).sum(axis=1)
    assert lengths == pytest.approx(np.linalg.norm(ends[1] - ends[0], axis=1), rel=3e-6)


def test_a_film_on_a_cylinder_lies_where_the_formula_says():
    """With 240 sides a foot on an edge takes the normal of one of them: half a turn of 1.5 degrees at the stand-off."""
    flat = circle_outline_m(0.08, segments=48)
    foot = TUBE.feet_towards(np.array([[0.0, -1.0, 0.0]]))
    laid = TUBE.wrapped_m(foot, flat, stand_off_m=np.array([STAND_OFF]))[0]
    bent = bent_on_cylinder_m(np.concatenate([flat, np.zeros((48, 1))], axis=1), 0.08 + STAND_OFF)
    wanted = np.stack([bent[:, 0], -(bent[:, 2] + 0.08 + STAND_OFF), bent[:, 1]], axis=1)
    assert laid == pytest.approx(wanted, abs=7e-5)


def test_a_film_on_a_cone_lies_on_the_cone():
    flat = film_grid(rectangle(0.2, 0.12), spacing_m=1e-2).nodes_m
    foot = CONE.foot_over(np.array([0.08, 0.0, 0.0]), turned_rad=0.3)
    feet = CONE.walked(foot, flat, stand_off_m=STAND_OFF)
    radius = np.linalg.norm(feet.points_m[:, :2], axis=1)
    assert radius == pytest.approx(0.08 - HALF * feet.points_m[:, 2], abs=2e-5)
    assert np.cross(feet.along, feet.across) == pytest.approx(feet.normal, abs=1e-12)
    assert feet.normal[:, 2] == pytest.approx(np.full(len(flat), HALF / np.hypot(1, HALF)), abs=1e-3)


def test_a_full_wrap_closes():
    round_m = TUBE.circumference_m(stand_off_m=STAND_OFF)
    assert round_m == pytest.approx(2 * np.pi * (0.08 + STAND_OFF), rel=1e-4)
    foot = TUBE.foot_over(np.array([0.03, 0.07, 0.0]))
    for way_m in (round_m, -round_m):
        ends = TUBE.wrapped_m(foot, np.array([[0.0, 0.02], [way_m, 0.02]]), stand_off_m=np.array([STAND_OFF]))
        assert np.ptp(ends[0], axis=0) == pytest.approx(np.zeros(3), abs=1e-12)
    with pytest.raises(OutsideModelError, match="more than once round"):
        TUBE.walked(foot, np.array([[-round_m / 2, 0.0], [0.52 * round_m, 0.0]]), stand_off_m=STAND_OFF)
    with pytest.raises(OutsideModelError, match="cone has no one circumference"):
        CONE.circumference_m(stand_off_m=0.0)


@pytest.mark.parametrize("skin", SKINS, ids=["cylinder", "cone"])
def test_distances_are_those_on_the_flat_film(skin):
    flat = np.random.default_rng(5).uniform(-0.06, 0.06, (8, 2))
    feet = skin.walked(skin.foot_over(np.array([0.0, 0.08, 0.0])), flat, stand_off_m=STAND_OFF)
    pairs = np.array([[i, j] for i in range(8) for j in range(i)])
    wanted = np.linalg.norm(flat[pairs[:, 0]] - flat[pairs[:, 1]], axis=1)
    assert skin.distances_m(feet, pairs, stand_off_m=STAND_OFF) == pytest.approx(wanted, rel=1e-9)


def test_the_shorter_way_round_counts():
    feet = TUBE.feet_towards(np.array([[np.cos(a), np.sin(a), 0.0] for a in (-3.0, 3.0, 0.1)]))
    found = TUBE.distances_m(feet, np.array([[0, 1], [1, 2]]), stand_off_m=0.0)
    assert found == pytest.approx(0.08 * np.array([2 * np.pi - 6.0, 2.9]), rel=1e-3)


@pytest.mark.parametrize("skin", SKINS, ids=["cylinder", "cone"])
def test_a_patch_is_tiled_as_on_any_skin(skin):
    request = TilingRequest(pattern="hexagonal", shape="circle", count=6, rows=2, size_m=0.05, overlap=0.75,
                            stand_off_m=STAND_OFF, gaps=4, span="patch")  # fmt: skip
    tiling = tiling_on(skin, request, segments=24)
    pairs = np.array([[0, 1], [1, 2], [3, 4], [0, 3]])
    assert skin.distances_m(tiling.feet, pairs, stand_off_m=STAND_OFF) == pytest.approx(np.full(4, 0.0375), rel=1e-6)


def test_what_no_film_does_is_refused():
    foot = CONE.foot_over(np.array([0.08, 0.0, 0.0]))
    with pytest.raises(OutsideModelError, match="over the tip"):
        CONE.walked(foot, np.array([[0.0, 0.35]]), stand_off_m=0.0)
    with pytest.raises(OutsideModelError, match="more than once round"):
        TUBE.walked(TUBE.foot_over(np.array([0.08, 0.0, 0.0])), np.array([[1.2, 0.0]]), stand_off_m=0.0)
    with pytest.raises(OutsideModelError, match="along the rulings"):
        TUBE.feet_towards(np.array([[0.0, 0.0, 1.0]]))
    with pytest.raises(OutsideModelError, match="too close to the tip"):
        taut_over(frustum(0.08, HALF), Rulings(through_m=AXIS, upwards=UP, narrowing_per_m=8.0), reach_m=REACH)
