import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loopwright.fields.wires.closeness import (
    CLOSE_RATIO,
    conductor_distances_m,
    kernel_radii_m,
    parallel_distances_m,
)
from wire_cases import equal_area_polygon, mesh, square


def distances(polygons, measure=conductor_distances_m):
    found = mesh(polygons, 1e-3)
    return measure(found.vertices_m, found.steps_m, found.first_node)


def test_distance_of_stacked_rings_is_their_height():
    found = distances([equal_area_polygon(0.04, 24), equal_area_polygon(0.04, 24, centre_m=(0, 0, 3e-3))])
    assert found[0, 1] == found[1, 0] == pytest.approx(3e-3)
    assert np.all(np.isinf(np.diag(found)))


def test_distance_at_a_crossing_is_the_height_there():
    found = distances([equal_area_polygon(0.04, 24), equal_area_polygon(0.04, 24, centre_m=(0.061, 0, 0.2e-3))])
    assert found[0, 1] == pytest.approx(0.2e-3)


@settings(max_examples=25, derandomize=True, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_distance_equals_a_dense_search(seed):
    rng = np.random.default_rng(seed)
    triangles = [rng.normal(size=(3, 3)) + np.array([2 * i, 0, 0]) for i in range(2)]
    s = np.linspace(0, 1, 101)[:, None, None]
    dense = [(a + s * (np.roll(a, -1, axis=0) - a)).reshape(-1, 3) for a in triangles]
    searched = np.linalg.norm(dense[0][:, None] - dense[1][None], axis=-1).min()
    found = distances(triangles)[0, 1]
    assert found <= searched * (1 + 1e-12)
    assert searched - found < 0.05


def test_side_by_side_runs_are_told_from_crossings():
    crossing = [equal_area_polygon(0.04, 24), equal_area_polygon(0.04, 24, centre_m=(0.061, 0, 0.2e-3))]
    assert distances(crossing, parallel_distances_m)[:24, 1].min() > 10e-3
    stacked = [square(0.08, 6), square(0.08, 6, centre_m=(0.0, 0.073, 1e-3))]
    found = distances(stacked, parallel_distances_m)
    assert found.shape == (48, 2)
    assert np.all(np.isinf(found[:24, 0]))
    assert found[:24, 1].min() == pytest.approx(1e-3)


def test_radius_rule():
    """Self pairs take their own radius; others none in the magnetic part, and the larger in the electric if close."""
    radius = np.array([1e-3, 0.5e-3, 1e-3])
    close, apart = 0.99 * CLOSE_RATIO * 1e-3, 1.01 * CLOSE_RATIO * 1e-3
    distance = np.array([[np.inf, close, apart], [close, np.inf, apart], [apart, apart, np.inf]])
    magnetic, electric = kernel_radii_m(radius, distance)
    np.testing.assert_array_equal(magnetic, np.diag(radius))
    np.testing.assert_array_equal(electric, [[1e-3, 1e-3, 0], [1e-3, 0.5e-3, 0], [0, 0, 1e-3]])
