"""Outer layer and centre of a region on a grid."""

import numpy as np
import pytest

from loopwright.cohort.images import centre_of, outer_of

SPACING_M = 2e-3


def ball(radius_m):
    n = 60
    at = (np.arange(n) - n / 2 + 0.5) * SPACING_M
    points = np.stack(np.meshgrid(at, at, at, indexing="ij"), axis=-1)
    return np.linalg.norm(points, axis=-1) <= radius_m, points


def test_the_outer_layer_of_a_ball_has_the_volume_of_the_shell():
    region, _ = ball(0.05)
    outer = outer_of(region, spacing_m=SPACING_M, layer_m=0.02)
    assert outer.sum() / region.sum() == pytest.approx(1 - 0.6**3, abs=0.025)
    assert not outer[30, 30, 30]
    assert np.all(region[outer])


def test_a_region_at_the_edge_of_its_grid_has_an_edge_there():
    region = np.ones((20, 20, 20), dtype=bool)
    outer = outer_of(region, spacing_m=SPACING_M, layer_m=3.1e-3)
    assert outer.sum() == 20**3 - 16**3


def test_the_centre_is_a_ball_about_the_centroid():
    region, points = ball(0.05)
    region &= points[..., 0] > 0
    centre = centre_of(region, points, radius_m=0.01)
    middle = points[centre].mean(axis=0)
    np.testing.assert_allclose(middle, [3 / 8 * 0.05, 0, 0], atol=1e-3)
    assert centre.sum() * SPACING_M**3 == pytest.approx(4 / 3 * np.pi * 0.01**3, rel=0.05)


def test_a_hollow_region_takes_its_nearest_voxels():
    region, points = ball(0.05)
    hollow = region & (np.linalg.norm(points, axis=-1) > 0.03)
    centre = centre_of(hollow, points, radius_m=0.01)
    assert centre.any()
    assert np.all(hollow[centre])
