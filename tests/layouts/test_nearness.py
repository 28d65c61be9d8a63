"""Distances to a surface of triangles, held against those of another library and against an open surface."""

import igl
import numpy as np
import pytest

from geometry_files import ball
from loopwright.bodies.imported.checks import joined
from loopwright.ground.surface import Surface
from loopwright.layouts.nearness import distances_to_m, heights_over_m

BALL, _ = joined(ball(0.08))
POINTS = np.random.default_rng(5).uniform(-0.12, 0.12, (4000, 3))


def test_distances_are_those_of_another_library():
    squared, _, _ = igl.point_mesh_squared_distance(POINTS, BALL.vertices_m, BALL.triangles)
    assert distances_to_m(POINTS, BALL) == pytest.approx(np.sqrt(squared), rel=0, abs=1e-12)


def test_heights_are_negative_inside_alone():
    inside = np.linalg.norm(POINTS, axis=1) < 0.079
    outside = np.linalg.norm(POINTS, axis=1) > 0.08
    heights = heights_over_m(POINTS, BALL)
    assert np.all(heights[inside] < 0)
    assert np.all(heights[outside] > 0)


def test_an_open_surface_has_distances_too():
    upper = Surface(vertices_m=BALL.vertices_m, triangles=BALL.triangles[BALL.corners_m[:, :, 2].min(axis=1) > 0])
    squared, _, _ = igl.point_mesh_squared_distance(POINTS, upper.vertices_m, upper.triangles)
    assert distances_to_m(POINTS, upper) == pytest.approx(np.sqrt(squared), rel=0, abs=1e-12)
