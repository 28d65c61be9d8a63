"""Tilings on the flat and over closed surfaces."""

import numpy as np
import pytest

from loopwright.layouts import from_first_m, lattice_m, spread_directions
from loopwright.layouts.crossings import nearest_ring
from loopwright.layouts.spreads import _repulsion, most_even_rows

UNIT = (1.0, 1.0, 1.0)


def _neighbour_counts(pairs, count):
    return np.bincount(np.array(pairs).ravel(), minlength=count)


def test_hexagonal_elements_have_six_equal_neighbours():
    flat = lattice_m("hexagonal", rows=5, columns=5, pitch_m=0.06)
    pairs = nearest_ring(np.pad(flat, ((0, 0), (0, 1))))
    distance = [np.linalg.norm(flat[i] - flat[j]) for i, j in pairs]
    assert distance == pytest.approx(np.full(len(pairs), 0.06), rel=1e-12)
    assert _neighbour_counts(pairs, 25)[12] == 6
    assert flat.mean(axis=0) == pytest.approx([0, 0], abs=0.06 / 4)


def test_rectangular_elements_have_four_equal_neighbours():
    flat = lattice_m("rectangular", rows=3, columns=4, pitch_m=0.06)
    pairs = nearest_ring(np.pad(flat, ((0, 0), (0, 1))))
    assert len(pairs) == 3 * 3 + 2 * 4
    assert flat.mean(axis=0) == pytest.approx([0, 0], abs=1e-15)


def test_rings_start_at_the_facing_direction_and_are_centred_in_height():
    flat = from_first_m(lattice_m("hexagonal", rows=2, columns=8, pitch_m=0.075))
    assert flat[0, 0] == 0
    assert flat[8, 0] == pytest.approx(0.075 / 2)
    assert flat[:, 1].mean() == pytest.approx(0, abs=1e-15)


@pytest.mark.parametrize(("count", "rows"), [(16, 4), (12, 3), (7, 1), (1, 1)])
def test_most_even_rows(count, rows):
    assert most_even_rows(count) == rows


def test_thirty_two_points_are_the_faces_of_a_football():
    """12 pentagons and 20 hexagons: neighbours 37.38 and 41.81 degrees apart (geometry of the icosahedron)."""
    points = spread_directions(32, semi_axes_m=UNIT)
    pairs = nearest_ring(points)
    angle = np.sort([np.degrees(np.arccos(points[i] @ points[j])) for i, j in pairs])
    assert len(pairs) == 90
    assert angle[:60] == pytest.approx(np.full(60, 37.3774), abs=1e-3)
    assert angle[60:] == pytest.approx(np.full(30, 41.8103), abs=1e-3)
    assert np.bincount(_neighbour_counts(pairs, 32)).tolist() == [0, 0, 0, 0, 0, 12, 20]


@pytest.mark.parametrize(("count", "degrees"), [(2, 180.0), (3, 120.0), (4, 109.4712), (6, 90.0), (12, 63.4349)])
def test_few_points_find_the_known_best_spread(count, degrees):
    """Antipodes, triangle, tetrahedron, octahedron, icosahedron."""
    points = spread_directions(count, semi_axes_m=UNIT)
    cosine = points @ points.T - 2 * np.eye(count)
    nearest = np.degrees(np.arccos(np.clip(cosine.max(axis=1), -1, 1)))
    assert nearest == pytest.approx(np.full(count, degrees), abs=0.05)


@pytest.mark.parametrize("axes", [UNIT, (0.8, 1.05, 1.15)])
@pytest.mark.parametrize("count", [16, 32, 48])
def test_spreads_are_even_and_cover_the_surface(count, axes):
    points = spread_directions(count, semi_axes_m=axes)
    assert np.sum((points / (np.asarray(axes) / np.mean(axes))) ** 2, axis=1) == pytest.approx(np.ones(count))
    distance = np.linalg.norm(points[:, None] - points[None], axis=2) + 9 * np.eye(count)
    nearest = distance.min(axis=1)
    assert nearest.max() / nearest.min() < 1.25
    probes = np.random.default_rng(3).normal(size=(3000, 3))
    probes *= np.asarray(axes) / np.mean(axes) / np.linalg.norm(probes, axis=1, keepdims=True)
    to_nearest = np.linalg.norm(probes[:, None] - points[None], axis=2).min(axis=1)
    assert to_nearest.max() < 0.8 * nearest.mean()  # no hole: the best cover of the plane has 1/sqrt(3)


def test_spreads_are_always_the_same():
    first, second = (spread_directions(20, semi_axes_m=(1.0, 1.1, 0.9)) for _ in range(2))
    assert np.array_equal(first, second)


def test_gradient_of_the_repulsion():
    axes = np.array([0.8, 1.05, 1.15])
    free = np.random.default_rng(4).normal(size=15)
    _, gradient = _repulsion(free, axes)
    step = 1e-6 * np.eye(15)
    numeric = [(_repulsion(free + s, axes)[0] - _repulsion(free - s, axes)[0]) / 2e-6 for s in step]
    assert gradient == pytest.approx(np.array(numeric), rel=1e-5, abs=1e-6)
