"""Distances and windings of surfaces of triangles, against plain reckonings of every pair of point and triangle."""

import numpy as np
import pytest

from loopwright.bodies import Ellipsoid, MeshShape
from triangle_cases import ball, cube, inside_out, rough, together, torus

POINTS_M = np.random.default_rng(8).uniform(-0.11, 0.11, (400, 3))


def turns(surface, points_m):
    """How often a surface winds around points: solid angles of its triangles over 4 pi (van Oosterom and Strackee)."""
    a, b, c = np.moveaxis(surface.corners_m[None] - points_m[:, None, None], 2, 0)
    la, lb, lc = (np.linalg.norm(way, axis=-1) for way in (a, b, c))
    above = np.sum(a * np.cross(b, c), axis=-1)
    below = la * lb * lc + np.sum(a * b, axis=-1) * lc + np.sum(b * c, axis=-1) * la + np.sum(c * a, axis=-1) * lb
    return np.arctan2(above, below).sum(axis=1) / (2 * np.pi)


def to_triangles_m(surface, points_m):
    """Least distance to finely sampled triangles: a little too long, never too short."""
    share = np.array([(i, j, 20 - i - j) for i in range(21) for j in range(21 - i)]) / 20
    best = np.full(len(points_m), np.inf)
    for corners in surface.corners_m:
        samples = share @ corners
        best = np.minimum(best, np.linalg.norm(points_m[:, None] - samples, axis=2).min(axis=1))
    return best


@pytest.mark.parametrize(
    "surface",
    [
        rough(0.08, 3),
        torus(0.07, 0.025),
        together(ball(0.06, 2, centre_m=(-0.03, 0, 0)), ball(0.06, 2, centre_m=(0.03, 0, 0))),
        together(ball(0.09, 2), inside_out(ball(0.05, 2))),
        together(ball(0.05, 2), inside_out(ball(0.03, 2, centre_m=(0.07, 0, 0)))),
    ],
    ids=["rough", "torus", "overlapping", "hollow", "partly inside out"],
)
def test_inside_is_what_solid_angles_wind_round_once_or_more(surface):
    found = MeshShape(surface=surface).contains(POINTS_M)
    assert 20 < found.sum() < 380
    assert np.array_equal(found, turns(surface, POINTS_M) > 0.5)


@pytest.mark.parametrize("surface", [rough(0.08, 2), torus(0.07, 0.025, around=16, across=8), cube(0.06)])
def test_depth_is_the_distance_to_the_closest_triangle(surface):
    points_m = POINTS_M[:60]
    shape = MeshShape(surface=surface)
    found, sampled = shape.depth_m(points_m), to_triangles_m(surface, points_m)
    assert np.array_equal(found > 0, shape.contains(points_m))
    assert np.all(np.abs(found) <= sampled + 1e-12)
    spacing_m = np.linalg.norm(np.diff(surface.corners_m, axis=1), axis=2).max() / 20
    assert sampled**2 - found**2 == pytest.approx(np.zeros(60), abs=spacing_m**2)
    assert np.array_equal(shape.clearance_m(points_m), np.abs(found))


def test_depth_in_a_ball_of_triangles_is_that_in_the_sphere():
    found, sphere = MeshShape(surface=ball(0.09, 5)), Ellipsoid(semi_axes_m=(0.09,) * 3)
    assert found.depth_m(POINTS_M) == pytest.approx(sphere.depth_m(POINTS_M), abs=1e-4)


def test_depth_does_not_depend_on_the_order_of_points():
    shape = MeshShape(surface=rough(0.08, 4))
    line = np.linspace([-0.11, 0.003, 0.002], [0.11, 0.001, 0.004], 5000)
    order = np.random.default_rng(4).permutation(len(line))
    assert shape.depth_m(line[order]) == pytest.approx(shape.depth_m(line)[order], abs=1e-15)
    assert np.count_nonzero(np.diff(shape.depth_m(line) > 0)) == 2
    assert shape.depth_m(np.empty((0, 3))).shape == (0,)


def test_walls_inside_other_parts_do_not_count():
    one, other = ball(0.05, 4, centre_m=(-0.03, 0, 0)), ball(0.05, 4, centre_m=(0.03, 0, 0))
    shape = MeshShape(surface=together(one, other))
    found = shape.depth_m(np.array([[0.0, 0.0, 0.0], [0.03, 0.0, 0.0]]))
    # the walls of each ball inside the other one are 20 mm and 10 mm away; the outer surface this far:
    outer = np.array([0.04, 0.05])
    assert np.all(found < outer + 1e-4)
    assert np.all(found > outer - 7e-3)  # the length of a triangle: one that lies partly inside counts as a whole


def test_cuts_count_as_surface():
    shape = MeshShape(surface=ball(0.09, 4), lower_m=(-np.inf, -np.inf, -0.03))
    points_m = np.array([[0, 0, -0.02], [0, 0, -0.04], [0, 0, 0.08], [0.0, 0.0, 0.1], [0.085, 0, -0.02]])
    assert shape.depth_m(points_m) == pytest.approx([0.01, -0.01, 0.01, -0.01, 0.09 - np.hypot(0.085, 0.02)], abs=3e-4)
    assert shape.contains(points_m).tolist() == [True, False, True, False, True]
