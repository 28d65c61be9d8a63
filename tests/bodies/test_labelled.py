"""Bodies of labels: shares, apertures, depths and volumes against sums over their voxels."""

from itertools import product

import numpy as np
import pytest

from loopwright.bodies import VoxelGrid, face_fractions, grid_around, voxel_fractions
from loopwright.bodies.imported.labelled import LabelShape, labelled_solid
from loopwright.ground.labels import LabelVolume

SPACING_M = np.array([1.0e-3, 1.2e-3, 2.0e-3])
ORIGIN_M = np.array([-31e-3, -29e-3, -40e-3])


def volume_of(labels, spacing_m=SPACING_M, origin_m=ORIGIN_M):
    return LabelVolume(labels=labels, spacing_m=tuple(spacing_m), origin_m=tuple(origin_m))


def two_tissues(labels, **where):
    return labelled_solid(volume_of(labels, **where), labels=[(1, 3), (2,)], tissue_names=("Fat", "Muscle"), name="two")


@pytest.fixture(scope="module")
def balls():
    """A ball of 2 in a ball of 1, with a stray piece of 3, on voxels that are no cubes."""
    at = (
        np.stack(np.meshgrid(*(np.arange(n) + 0.5 for n in (62, 50, 40)), indexing="ij"), axis=-1) * SPACING_M
        + ORIGIN_M
    )
    radius = np.linalg.norm(at, axis=-1)
    labels = np.select([radius < 18e-3, radius < 24e-3], [2, 1]).astype(np.uint16)
    labels[2:5, 3:9, 4:6] = 3
    return two_tissues(labels)


@pytest.mark.parametrize("spacing_m", [1e-3, 3.7e-3, 11e-3])
def test_shares_hold_the_volume_of_every_tissue_on_any_grid(spacing_m, balls):
    labels = balls.skin.volume.labels
    counted = np.array([np.isin(labels, one).sum() for one in ((1, 3), (2,))]) * np.prod(SPACING_M)
    shares = voxel_fractions(balls, grid_around(balls, spacing_m))
    assert shares.sum(axis=(1, 2, 3)) * spacing_m**3 == pytest.approx(counted, rel=1e-12, abs=0)
    assert balls.volumes_m3 == pytest.approx(counted, rel=1e-12, abs=0)
    assert shares.min() >= 0
    assert shares.sum(axis=0).max() <= 1 + 1e-12


def test_shares_of_a_voxel_are_those_of_the_boxes_in_it(balls):
    grid = VoxelGrid(origin_m=(-20.3e-3, -20.1e-3, -20.7e-3), spacing_m=7.3e-3, shape=(5, 5, 5))
    shares = voxel_fractions(balls, grid)
    labels, expected = balls.skin.volume.labels, np.zeros((2, 5, 5, 5))
    for cell in product(range(5), repeat=3):
        low = np.array(grid.origin_m) + grid.spacing_m * np.array(cell)
        lengths = []
        for axis in range(3):
            own = ORIGIN_M[axis] + SPACING_M[axis] * np.arange(labels.shape[axis])
            inside = np.minimum(own + SPACING_M[axis], low[axis] + grid.spacing_m) - np.maximum(own, low[axis])
            lengths.append(np.maximum(inside, 0))
        boxes = np.einsum("i,j,k->ijk", *lengths) / grid.spacing_m**3
        for tissue, of_tissue in enumerate(((1, 3), (2,))):
            expected[(tissue, *cell)] = boxes[np.isin(labels, of_tissue)].sum()
    assert shares == pytest.approx(expected, abs=1e-12)


def test_apertures_within_voxels_are_the_area_of_the_layer_they_cut(balls):
    grid = VoxelGrid(origin_m=(-30.3e-3, -28.4e-3, -39.1e-3), spacing_m=6e-3, shape=(10, 10, 13))
    labels = balls.skin.volume.labels
    for axis, faces in enumerate(face_fractions(balls, grid)):
        across = [other for other in range(3) if other != axis]
        for number in (1, 5, 8):
            layer = int((grid.origin_m[axis] + number * grid.spacing_m - ORIGIN_M[axis]) // SPACING_M[axis])
            inside = np.isin(np.take(labels, layer, axis=axis), (2,)).sum() * np.prod(SPACING_M[across])
            found = np.take(faces[1], number, axis=axis).sum() * grid.spacing_m**2
            assert found == pytest.approx(inside, rel=1e-12, abs=1e-15)


def test_on_the_image_s_own_grid_no_current_crosses_the_ends():
    labels = np.ones((4, 5, 6), dtype=np.uint16)
    labels[2:] = 2
    solid = two_tissues(labels, spacing_m=(1e-3,) * 3, origin_m=(0.0, 0.0, 0.0))
    x, y, z = face_fractions(solid, VoxelGrid(origin_m=(0.0, 0.0, 0.0), spacing_m=1e-3, shape=(4, 5, 6)))
    assert np.all(x[:, [0, -1]] == 0)
    assert np.all(y[:, :, [0, -1]] == 0)
    assert np.all(z[:, :, :, [0, -1]] == 0)
    assert np.all(x[:, 2] == 0.5)  # between the two tissues
    assert np.all(x[0, 1] == 1)
    assert np.all(x[1, 3] == 1)
    assert np.all(z[:, :, :, 1:-1].sum(axis=0) == 1)


def boxes_to_m(points, indices):
    low = indices * SPACING_M + ORIGIN_M
    beyond = np.maximum(np.maximum(low - points[:, None], points[:, None] - low - SPACING_M), 0)
    return np.linalg.norm(beyond, axis=2).min(axis=1)


def test_depth_is_the_distance_to_the_stairs(balls):
    points = np.random.default_rng(4).uniform(-27e-3, 27e-3, (150, 3)) * [1, 1, 1.8]
    labels = balls.skin.volume.labels
    body, air = np.argwhere(labels > 0), np.argwhere(np.pad(labels, 1) == 0) - 1
    inside = balls.skin.contains(points)
    exact = np.where(inside, boxes_to_m(points, air), -boxes_to_m(points, body))
    found = balls.skin.depth_m(points)
    assert 20 < inside.sum() < 130  # and some beyond the image's own box
    assert found == pytest.approx(exact, abs=1e-15)
    assert balls.skin.clearance_m(points) == pytest.approx(np.abs(exact), abs=1e-15)


def test_a_point_has_the_tissue_of_its_voxel(balls):
    labels = balls.skin.volume.labels
    points = np.argwhere(labels >= 0) * SPACING_M + ORIGIN_M + SPACING_M * [0.3, 0.6, 0.9]
    assert np.array_equal(balls.label(points), np.array([-1, 0, 1, 0])[labels.ravel()])


def test_the_box_is_that_of_its_own_voxels(balls):
    core = LabelShape(volume=balls.skin.volume, labels=(3,))
    lower, upper = core.box_m
    assert lower == pytest.approx(ORIGIN_M + SPACING_M * [2, 3, 4], abs=1e-12)
    assert upper == pytest.approx(ORIGIN_M + SPACING_M * [5, 9, 6], abs=1e-12)
