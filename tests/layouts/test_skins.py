"""Laying flat outlines on skins: stand-off, isometry, shortest lines."""

import numpy as np
import pytest
from scipy.integrate import quad

from loopwright.bodies.closest import depth_in_ellipsoid_m
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import ColumnSkin, DomeSkin, EllipsoidSkin, Feet, circle_outline_m, square_outline_m

COLUMN = ColumnSkin(semi_axes_m=(0.097, 0.0735), height_m=0.4)
SPHERE = EllipsoidSkin(semi_axes_m=(0.09, 0.09, 0.09))
HEAD = EllipsoidSkin(semi_axes_m=(0.075, 0.095, 0.085))
DOME = DomeSkin(semi_axes_m=(0.075, 0.095, 0.068), height_m=0.11)
DIRECTIONS = np.array([[1.0, 0.2, 0.1], [0.1, -1.0, 0.4], [-0.6, 0.5, -0.3]])
OUTLINES = [circle_outline_m(0.08, segments=24), square_outline_m(0.07, segments=24)]


@pytest.mark.parametrize("flat", OUTLINES)
@pytest.mark.parametrize("skin", [COLUMN, SPHERE, HEAD])
def test_every_node_stands_off_the_skin_by_what_was_asked(skin, flat):
    stand_off = np.array([0.01, 0.012, 0.005])
    nodes = skin.wrapped_m(skin.feet_towards(DIRECTIONS), flat, stand_off_m=stand_off)
    for outline, expected in zip(nodes, stand_off, strict=True):
        depth = depth_in_ellipsoid_m(outline[:, : len(skin.semi_axes_m)], skin.semi_axes_m)
        assert -depth == pytest.approx(np.full(24, expected), abs=1e-12)


@pytest.mark.parametrize("flat", OUTLINES)
@pytest.mark.parametrize("skin", [COLUMN, SPHERE, HEAD])
def test_outlines_run_right_handed_about_the_outward_normal(skin, flat):
    feet = skin.feet_towards(DIRECTIONS)
    nodes = skin.wrapped_m(feet, flat, stand_off_m=np.full(3, 0.01))
    area = np.sum(np.cross(nodes, np.roll(nodes, -1, axis=1)), axis=1) / 2
    assert np.all(np.sum(area * feet.normal, axis=1) > 0.9 * np.linalg.norm(area, axis=1))
    assert np.all(np.sum(feet.normal * feet.points_m, axis=1) > 0)
    assert np.cross(feet.along, feet.across) == pytest.approx(feet.normal, abs=1e-14)
    first = nodes[:, 0] - feet.points_m - 0.01 * feet.normal  # towards the uppermost node
    assert np.all(first[:, 2] > 0)


def test_circumference_of_the_offset_curve():
    """Against the integral of its speed, and Steiner: a curve at distance d is 2 pi d longer."""
    a, b = COLUMN.semi_axes_m
    ellipse, _ = quad(lambda t: np.hypot(a * np.sin(t), b * np.cos(t)), 0, 2 * np.pi, epsabs=1e-13)
    assert COLUMN.circumference_m(stand_off_m=0.0) == pytest.approx(ellipse, rel=1e-10)
    assert COLUMN.circumference_m(stand_off_m=0.01) == pytest.approx(ellipse + 2 * np.pi * 0.01, rel=1e-10)


@pytest.mark.parametrize("axes", [(0.097, 0.0735), (0.06, 0.11)])
def test_the_film_round_a_column_is_not_stretched(axes):
    """Lengths along fine lines on the film are the same flat and wrapped, in every direction."""
    skin = ColumnSkin(semi_axes_m=axes, height_m=0.4)
    corner = np.random.default_rng(1).uniform(-0.1, 0.1, (20, 2))
    goal = np.random.default_rng(2).uniform(-0.1, 0.1, (20, 2))
    lines = corner[:, None] + np.linspace(0, 1, 2001)[None, :, None] * (goal - corner)[:, None]
    nodes = skin.wrapped_m(
        skin.feet_towards(DIRECTIONS[:1]), lines.reshape(-1, 2), stand_off_m=np.array([0.01])
    ).reshape(20, 2001, 3)
    wrapped = np.linalg.norm(np.diff(nodes, axis=1), axis=2).sum(axis=1)
    assert wrapped == pytest.approx(np.linalg.norm(goal - corner, axis=1), rel=1e-6)


def test_on_a_sphere_nodes_lie_on_great_circles_through_the_centre():
    feet = SPHERE.feet_towards(DIRECTIONS)
    flat = OUTLINES[1]
    nodes = SPHERE.wrapped_m(feet, flat, stand_off_m=np.full(3, 0.01))
    turn = np.arccos(np.sum(nodes / 0.1 * feet.normal[:, None], axis=2))
    assert turn * 0.1 == pytest.approx(np.tile(np.linalg.norm(flat, axis=1), (3, 1)), abs=1e-12)
    u, v = (np.sum(nodes * axis[:, None], axis=2) for axis in (feet.along, feet.across))
    bearing = (u + 1j * v) / np.hypot(u, v)
    expected = (flat[:, 0] + 1j * flat[:, 1]) / np.linalg.norm(flat, axis=1)
    assert np.abs(bearing - expected).max() < 1e-10


def test_shortest_lines_on_an_ellipsoid_converge():
    """Halving the step must not move the ends: the same way in two legs, each with as many steps."""
    feet = HEAD.feet_towards(DIRECTIONS)
    flat = OUTLINES[0]
    ends = HEAD.wrapped_m(feet, flat, stand_off_m=np.full(3, 0.01))
    for k in range(3):
        foot = type(feet)(
            points_m=feet.points_m[k : k + 1],
            along=feet.along[k : k + 1],
            across=feet.across[k : k + 1],
            normal=feet.normal[k : k + 1],
        )
        there = HEAD.walked(foot, flat / 2, stand_off_m=0.01)
        for n in range(0, 24, 6):
            half = type(feet)(
                points_m=there.points_m[n : n + 1],
                along=there.along[n : n + 1],
                across=there.across[n : n + 1],
                normal=there.normal[n : n + 1],
            )
            end = HEAD.walked(half, flat[n : n + 1] / 2, stand_off_m=0.01)
            assert end.points_m + 0.01 * end.normal == pytest.approx(ends[k, n : n + 1], abs=3e-6)


def test_no_detour_is_shorter_than_the_shortest_line_on_an_ellipsoid():
    """A line that the walk calls 40 mm long may not be beaten by the projected chord between its ends."""
    feet = HEAD.feet_towards(DIRECTIONS[:1])
    there = HEAD.walked(feet, np.array([[0.04, 0.0], [0.0, 0.04], [0.03, -0.02]]), stand_off_m=0.01)
    both = type(feet)(
        points_m=np.vstack([feet.points_m, there.points_m]),
        along=np.vstack([feet.along, there.along]),
        across=np.vstack([feet.across, there.across]),
        normal=np.vstack([feet.normal, there.normal]),
    )
    found = HEAD.distances_m(both, np.array([[0, 1], [0, 2], [0, 3]]), stand_off_m=0.01)
    assert found == pytest.approx([0.04, 0.04, np.hypot(0.03, 0.02)], rel=2e-4)


def test_distances_along_sphere_and_column():
    feet = SPHERE.feet_towards(np.eye(3))
    pairs = np.array([[0, 1], [1, 2]])
    assert SPHERE.distances_m(feet, pairs, stand_off_m=0.01) == pytest.approx([0.05 * np.pi] * 2, rel=1e-9)
    round_column = ColumnSkin(semi_axes_m=(0.09, 0.09), height_m=0.4)
    middle = round_column.feet_towards(np.array([[0.0, -1.0, 0.0]]))
    there = round_column.walked(middle, np.array([[0.0, 0.0], [0.35, 0.0], [0.05, 0.12]]), stand_off_m=0.01)
    expected = [0.2 * np.pi - 0.35, 0.13]  # the short way round
    pairs = np.array([[0, 1], [0, 2]])
    assert round_column.distances_m(there, pairs, stand_off_m=0.01) == pytest.approx(expected, rel=1e-9)


def test_nodes_stand_off_a_dome_above_and_below_the_base_of_its_cap():
    """A head's skin: the ellipsoid above z = 0, the column below; the outlines cross from one to the other."""
    towards = np.array([[0.0, -1.0, 0.0], [0.7, 0.3, 0.25], [-1.0, 0.2, -0.7]])
    nodes = DOME.wrapped_m(DOME.feet_towards(towards), OUTLINES[0], stand_off_m=np.full(3, 0.01))
    up = nodes[..., 2] > 0
    assert 10 < up.sum() < 62
    a = DOME.semi_axes_m
    assert -depth_in_ellipsoid_m(nodes[up], a) == pytest.approx(np.full(up.sum(), 0.01), abs=1e-12)
    assert -depth_in_ellipsoid_m(nodes[~up][:, :2], a[:2]) == pytest.approx(np.full((~up).sum(), 0.01), abs=1e-12)


def test_a_dome_is_laid_like_the_ellipsoid_above_and_like_the_column_below():
    """The same outlines, where they stay on one of its two parts; on the column the walk is the film's own."""
    flat = circle_outline_m(0.04, segments=24)
    stand_off = np.array([0.01])
    vertex = np.array([[0.1, -0.1, 1.0]])
    ellipsoid = EllipsoidSkin(semi_axes_m=DOME.semi_axes_m)
    on_cap = DOME.wrapped_m(DOME.feet_towards(vertex), flat, stand_off_m=stand_off)
    expected = ellipsoid.wrapped_m(ellipsoid.feet_towards(vertex), flat, stand_off_m=stand_off)
    assert on_cap == pytest.approx(expected, abs=1e-12)
    column = ColumnSkin(semi_axes_m=DOME.semi_axes_m[:2], height_m=0.3)
    side = DOME.feet_towards(np.array([[0.4, -1.0, -0.5]]))
    assert side.points_m[0, 2] < -0.03
    on_column = DOME.wrapped_m(side, flat, stand_off_m=stand_off)
    assert on_column == pytest.approx(column.wrapped_m(side, flat, stand_off_m=stand_off), abs=5e-6)


def test_shortest_lines_over_the_edge_of_a_dome_converge():
    """From forehead over the widest level and down: the same way in two legs, each with as many steps."""
    foot = DOME.feet_towards(np.array([[0.2, -1.0, 0.3]]))
    way = np.array([[0.0, -0.06], [0.02, -0.05], [-0.03, -0.04]])
    there = DOME.walked(foot, way / 2, stand_off_m=0.01)
    ends = DOME.walked(foot, way, stand_off_m=0.01)
    assert there.points_m[:, 2].max() > 0 > ends.points_m[:, 2].max()
    for n in range(3):
        half = Feet(**{name: getattr(there, name)[n : n + 1] for name in ("points_m", "along", "across", "normal")})
        end = DOME.walked(half, way[n : n + 1] / 2, stand_off_m=0.01)
        assert end.points_m == pytest.approx(ends.points_m[n : n + 1], abs=2e-4)


def test_no_element_is_laid_below_the_chin_of_a_dome():
    with pytest.raises(OutsideModelError, match="below the chin"):
        DOME.feet_towards(np.array([[0.0, -0.5, -1.0]]))
    with pytest.raises(OutsideModelError, match="below the chin"):
        DOME.feet_towards(np.array([[0.0, 0.0, -1.0]]))
    foot = DOME.feet_towards(np.array([[0.0, -1.0, -0.5]]))
    with pytest.raises(OutsideModelError, match="Use fewer rows"):
        DOME.walked(foot, np.array([[0.0, 0.0], [0.0, -0.08]]), stand_off_m=0.01)
