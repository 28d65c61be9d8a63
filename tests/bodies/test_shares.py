"""Regions that poke out of the one they lie in, or overlap: shares that add up and are never negative."""

import numpy as np
import pytest

from loopwright.bodies import AIR, Block, Ellipsoid, Region, Solid, grid_around, voxel_fractions
from loopwright.bodies.shares import shares_of_cells, shares_of_faces

TRUNK = Block(semi_axes_m=(0.06, 0.04, 0.05))
# the first organ pokes out on the right, the second overlaps it, the third lies inside the second and pokes out of it
ORGANS = (
    Block(semi_axes_m=(0.03, 0.02, 0.02), centre_m=(0.05, 0.0, 0.0)),
    Block(semi_axes_m=(0.03, 0.02, 0.02), centre_m=(0.01, 0.0, 0.0)),
    Block(semi_axes_m=(0.01, 0.01, 0.01), centre_m=(-0.02, 0.0, 0.0)),
)
POKING = Solid(
    name="poking",
    regions=(
        Region(shape=TRUNK, tissue=0, within=None),
        Region(shape=ORGANS[0], tissue=1, within=0),
        Region(shape=ORGANS[1], tissue=2, within=0),
        Region(shape=ORGANS[2], tissue=3, within=2),
    ),
    tissue_names=("rest", "first", "second", "inside the second"),
)
# by hand, of boxes: 40 x 40 x 40 mm of the first, 40 x 40 x 40 of the second to x = 20 less half of the third
VOLUMES_M3 = (120 * 80 * 100e-9 - 2 * 64e-6, 64e-6, 64e-6 - 4e-6, 4e-6)


@pytest.mark.parametrize("spacing_m", [10e-3, 5e-3])
def test_a_region_counts_only_what_the_one_around_it_leaves(spacing_m):
    grid = grid_around(POKING, spacing_m)
    found = voxel_fractions(POKING, grid).sum(axis=(1, 2, 3)) * grid.voxel_volume_m3
    assert found == pytest.approx(VOLUMES_M3, rel=1e-9)


def test_labels_of_points_follow_the_same_order():
    middles = np.array([[0.055, 0, 0], [0.065, 0, 0], [0.025, 0, 0], [0.015, 0, 0], [-0.015, 0, 0], [-0.025, 0, 0]])
    assert POKING.label(middles).tolist() == [1, AIR, 1, 2, 3, 0]
    points = np.random.default_rng(5).uniform(-0.07, 0.07, (200_000, 3))
    counted = np.bincount(POKING.label(points) + 1, minlength=5)[1:] / len(points) * 0.14**3
    assert counted == pytest.approx(VOLUMES_M3, rel=0.1)


def test_shares_of_ellipsoids_that_poke_out_add_up_to_the_body():
    rng = np.random.default_rng(11)
    organs = [
        Ellipsoid(semi_axes_m=tuple(rng.uniform(0.01, 0.05, 3)), centre_m=tuple(rng.uniform(-0.06, 0.06, 3)))
        for _ in range(12)
    ]
    within = [0, 0, 0, 0, 1, 2, 3, 4, 5, 5, 1, 2]
    regions = [Region(shape=Ellipsoid(semi_axes_m=(0.07, 0.06, 0.08)), tissue=0, within=None)]
    regions += [
        Region(shape=organ, tissue=1 + i % 4, within=into)
        for i, (organ, into) in enumerate(zip(organs, within, strict=True))
    ]
    solid = Solid(name="crowded", regions=tuple(regions), tissue_names=("a", "b", "c", "d", "e"))
    alone = Solid(name="alone", regions=solid.regions[:1], tissue_names=("a",))
    nodes = [grid_around(solid, 7e-3).nodes_m(axis) for axis in range(3)]
    pairs = [(shares_of_cells(solid, nodes, np.float64), shares_of_cells(alone, nodes, np.float64))]
    pairs += [
        (shares_of_faces(solid, nodes, axis, np.float64), shares_of_faces(alone, nodes, axis, np.float64))
        for axis in range(3)
    ]
    for shares, whole in pairs:
        assert shares.min() >= 0
        assert shares.sum(axis=0) == pytest.approx(whole[0], abs=1e-8)
        assert np.all(shares.sum(axis=(1, 2, 3)) > 0)
