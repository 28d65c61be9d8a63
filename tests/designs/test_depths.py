"""Points at exactly one depth, and maps read there, against a sphere."""

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import layered_sphere, place, voxelise
from loopwright.brief import BoxRegion, WholeBodyRegion
from loopwright.brief.records import TrunkRequest
from loopwright.designs import judged_points, profile_points, sampled_at
from loopwright.designs.depths import axis_points_m
from loopwright.ground.errors import OutsideModelError

WHOLE = WholeBodyRegion(least_depth_m=0.0)
RADIUS_M = 0.08


@pytest.fixture(scope="module")
def ball():
    solid = layered_sphere(RADIUS_M, tissue_names=("gel",))
    return voxelise(solid, spacing_m=8e-3, tissues=(gel(60, 0.6),), frequency_hz=123e6)


def test_every_point_lies_at_the_depth(ball):
    at = judged_points(ball, WHOLE, 0.03)
    assert RADIUS_M - np.linalg.norm(at.points_m, axis=1) == pytest.approx(np.full(len(at.points_m), 0.03), abs=3e-4)


@pytest.mark.parametrize("depth_m", [0.04, 0.06, 0.07])
def test_points_of_a_trunk_lie_at_the_depth_or_are_left_out(depth_m):
    """Its nearest skin changes sides in the middle: one move leaves points 3 mm off at 70 mm."""
    request = TrunkRequest(age="5 years", voxel_m=10e-3)
    body = place(request, frequency_hz=123e6)
    at = judged_points(body, WHOLE, depth_m)
    assert np.abs(body.solid.depth_m(at.points_m) - depth_m).max() <= 1e-3
    shell = np.abs(body.depth_m() - depth_m) <= 5e-3
    assert len(at.points_m) > 0.6 * np.count_nonzero(shell)


def test_there_is_one_point_for_each_voxel_of_the_shell(ball):
    at = judged_points(ball, WHOLE, 0.03)
    area = 4 * np.pi * (RADIUS_M - 0.03) ** 2
    assert len(at.points_m) == pytest.approx(area / 8e-3**2, rel=0.15)


def test_points_stay_in_the_region(ball):
    region = BoxRegion(min_m=(-1.0, -1.0, 0.0), max_m=(1.0, 1.0, 1.0), least_depth_m=0.0)
    assert judged_points(ball, region, 0.03).points_m[:, 2].min() > -4e-3


def test_a_depth_without_points_is_refused(ball):
    region = BoxRegion(min_m=(-0.01, -0.01, -0.01), max_m=(0.01, 0.01, 0.01), least_depth_m=0.0)
    with pytest.raises(OutsideModelError, match="20 mm below the skin"):
        judged_points(ball, region, 0.02)


def test_the_profile_holds_the_depths_that_have_points(ball):
    depths = [at.depth_m for at in profile_points(ball, WHOLE)]
    assert depths[0] == pytest.approx(16e-3)
    assert np.diff(depths) == pytest.approx(np.full(len(depths) - 1, 8e-3))


def test_a_linear_map_is_read_exactly_and_unknown_voxels_are_left_out(ball):
    centres = ball.grid.centre_points_m()
    ramp = centres @ np.array([1.0, 2.0, -3.0])
    points = np.array([[0.011, -0.003, 0.02], [0.0, 0.0, 0.0]])
    assert sampled_at(points, ramp, grid=ball.grid) == pytest.approx(points @ np.array([1.0, 2.0, -3.0]))
    flat = np.where(centres[..., 0] > 0, 5.0, np.nan)
    assert sampled_at(np.array([[1e-3, 0.0, 0.0]]), flat, grid=ball.grid) == pytest.approx([5.0])
    assert np.isnan(sampled_at(np.array([[-0.03, 0.0, 0.0]]), flat, grid=ball.grid)).all()


def test_points_on_an_axis_lie_at_their_depth(ball):
    direction = np.array([0.6, 0.0, 0.8])
    points = axis_points_m(0.1 * direction, direction, np.array([0.02, 0.05, 0.09]), body=ball)
    assert points[:2] == pytest.approx(np.array([0.06, 0.03])[:, None] * direction, abs=1e-6)
    assert np.isnan(points[2]).all()  # nothing of the ball lies 90 mm deep


def test_an_axis_beside_the_body_reaches_no_depth(ball):
    points = axis_points_m(np.array([0.2, 0.0, 0.0]), np.array([0.0, -1.0, 0.0]), np.array([0.02]), body=ball)
    assert np.isnan(points).all()
