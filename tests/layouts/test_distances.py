"""Distances between segments and polygons."""

import numpy as np
import pytest

from loopwright.layouts.crossings import layers_of, least_conductor_distance_m
from loopwright.layouts.distances import polygon_distance_m, segment_distances_m
from loopwright.layouts.outlines import circle_outline_m


def test_segments_against_dense_sampling():
    rng = np.random.default_rng(5)
    p, q, r, s = rng.uniform(-1, 1, (4, 300, 3))
    t = np.linspace(0, 1, 201)[:, None, None]
    first, second = p * (1 - t) + q * t, r * (1 - t) + s * t
    sampled = np.array([np.linalg.norm(first[:, None, k] - second[None, :, k], axis=2).min() for k in range(300)])
    found = segment_distances_m(p, q, r, s)
    assert np.all(found <= sampled + 1e-12)
    assert found == pytest.approx(sampled, abs=0.02)


def test_parallel_and_crossing_segments():
    def way(*points):
        return segment_distances_m(*(np.array(point, dtype=float) for point in points))

    assert way([0, 0, 0], [1, 0, 0], [0.5, 0.3, 0], [2, 0.3, 0]) == pytest.approx(0.3)
    assert way([0, 0, 0], [1, 0, 0], [2, 0, 0], [3, 0, 0]) == pytest.approx(1.0)
    assert way([-1, 0, 0], [1, 0, 0], [0, -1, 0.2], [0, 1, 0.2]) == pytest.approx(0.2)


def _circle_m(x, y, z=0.0):
    return np.pad(circle_outline_m(0.08, segments=24), ((0, 0), (0, 1))) + np.array([x, y, z])


def test_crossing_elements_get_different_layers_and_no_more_than_needed():
    chain = np.array([_circle_m(0.06 * k, 0) for k in range(5)])
    assert layers_of(chain, separation_m=1e-3) == (0, 1, 0, 1, 0)
    triangle = np.array([_circle_m(0, 0), _circle_m(0.06, 0), _circle_m(0.03, 0.052)])
    assert layers_of(triangle, separation_m=1e-3) == (0, 1, 2)
    apart = np.array([_circle_m(0.1 * k, 0) for k in range(3)])
    assert layers_of(apart, separation_m=1e-3) == (0, 0, 0)


def test_least_distance_names_the_two_elements():
    found = least_conductor_distance_m([_circle_m(0, 0), _circle_m(1, 0), _circle_m(0, 0, 0.003)])
    assert found == (pytest.approx(0.003), 0, 2)
    far = least_conductor_distance_m([_circle_m(0, 0), _circle_m(1, 0)])
    assert far == (pytest.approx(polygon_distance_m(_circle_m(0, 0), _circle_m(1, 0))), 0, 1)
    assert least_conductor_distance_m([_circle_m(0, 0)]) is None
