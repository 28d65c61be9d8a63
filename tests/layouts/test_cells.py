"""Cells on a closed surface: their number, and the barest spots against a search for them."""

import numpy as np
import pytest

from loopwright.layouts import EllipsoidSkin
from loopwright.layouts.cells import barest_m, cells_of
from loopwright.layouts.cover_grounds import random_directions

RADIUS_M = 0.1
SPHERE = EllipsoidSkin(semi_axes_m=(RADIUS_M,) * 3)


def _random_feet(count, *, least_z=-1.0):
    """Feet all over the sphere, or on a cap of it."""
    drawn = random_directions(40 * count, np.random.default_rng(count))
    return SPHERE.feet_towards(drawn[drawn[:, 2] >= least_z][:count])


@pytest.mark.parametrize("least_z", [-1.0, 0.5])
def test_edges_and_triangles_do_not_depend_on_where_elements_lie(least_z):
    cells = cells_of(_random_feet(11, least_z=least_z))
    assert len(cells.pairs) == 3 * 11 - 6
    assert cells.triangles.shape == (2 * 11 - 4, 3)


@pytest.mark.parametrize("least_z", [-1.0, 0.5])
def test_no_spot_of_a_sphere_is_barer_than_the_middle_of_the_barest_triangle(least_z):
    feet = _random_feet(9, least_z=least_z)
    found = barest_m(feet.points_m, cells_of(feet).triangles).max()
    spots = random_directions(40_000, np.random.default_rng(5))
    away = RADIUS_M * np.arccos(np.clip(spots @ feet.normal.T, -1, 1)).min(axis=1)
    assert away.max() <= found * (1 + 1e-9)
    assert away.max() == pytest.approx(found, rel=0.03)  # as near as so many spots come to it
    # On a cap the barest spot lies more than a quarter of the way round, on the far side.
    assert (found > RADIUS_M * np.pi / 2) == (least_z > 0)


def test_the_middle_of_an_octahedrons_faces():
    feet = SPHERE.feet_towards(np.concatenate([np.eye(3), -np.eye(3)]))
    barest = barest_m(feet.points_m, cells_of(feet).triangles)
    assert barest == pytest.approx([RADIUS_M * np.arccos(1 / np.sqrt(3))] * 8)
