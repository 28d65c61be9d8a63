"""Flat outlines: equal area, gaps evenly spaced, right-handed."""

from math import pi

import numpy as np
import pytest

from loopwright.layouts import circle_outline_m, gap_nodes, square_outline_m
from loopwright.layouts.outlines import outline_m, segments_that_fit


def _area_m2(flat):
    u, v = flat.T
    return np.sum(u * np.roll(v, -1) - np.roll(u, -1) * v) / 2  # positive when counter-clockwise


@pytest.mark.parametrize("segments", [8, 24, 48, 97])
def test_circle_has_the_area_of_the_circle_and_runs_counter_clockwise(segments):
    assert _area_m2(circle_outline_m(0.08, segments=segments)) == pytest.approx(pi * 0.04**2, rel=1e-12)


@pytest.mark.parametrize("segments", [8, 24, 40])
def test_square_has_its_corners_and_equal_segments(segments):
    flat = square_outline_m(0.1, segments=segments)
    assert len(flat) == segments
    assert _area_m2(flat) == pytest.approx(0.01, rel=1e-12)
    assert np.linalg.norm(flat - np.roll(flat, -1, axis=0), axis=1) == pytest.approx(np.full(segments, 0.4 / segments))
    assert sum(np.allclose(np.abs(node), 0.05) for node in flat) == 4
    assert flat[0] == pytest.approx([0, 0.05], abs=1e-15)


@pytest.mark.parametrize("gaps", [1, 2, 3, 4, 5, 6, 8])
@pytest.mark.parametrize("shape", ["circle", "square"])
def test_gaps_sit_on_nodes_evenly_spaced_from_the_top(shape, gaps):
    n = segments_that_fit(shape, segments=24, gaps=gaps)
    assert 24 <= n < 24 + 8 * gaps
    nodes = gap_nodes(segments=n, gaps=gaps)
    flat = outline_m(shape, size_m=0.08, segments=n)
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(flat, axis=0), axis=1))])
    whole = along[-1] + np.linalg.norm(flat[0] - flat[-1])
    assert along[list(nodes)] == pytest.approx(np.arange(gaps) / gaps * whole, abs=1e-12)
    assert flat[nodes[0], 1] == pytest.approx(flat[:, 1].max())


def test_four_gaps_of_a_square_are_in_the_middle_of_its_sides():
    flat = square_outline_m(0.1, segments=24)
    found = flat[list(gap_nodes(segments=24, gaps=4))]
    assert found == pytest.approx(np.array([[0, 0.05], [-0.05, 0], [0, -0.05], [0.05, 0]]), abs=1e-15)
