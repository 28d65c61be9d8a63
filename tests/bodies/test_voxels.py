"""Bodies on their grids: nothing lost, nothing doubled, symmetric, and the face rule's permittivity."""

import numpy as np
import pytest

from loopwright.bodies import (
    AIR,
    Tissue,
    child_trunk,
    face_fractions,
    grid_around,
    layered_ellipsoid,
    layered_elliptic_cylinder,
    layered_sphere,
    voxel_fractions,
    voxelise,
)
from loopwright.ground.errors import OutsideModelError

SKIN_FAT_MUSCLE = {"tissue_names": ("skin", "fat", "muscle"), "thicknesses_m": (0.66e-3, 6e-3)}
SOLIDS = [
    layered_sphere(0.1, **SKIN_FAT_MUSCLE),
    layered_ellipsoid((0.07, 0.09, 0.11), **SKIN_FAT_MUSCLE),
    layered_elliptic_cylinder((0.097, 0.0735), 0.4, **SKIN_FAT_MUSCLE),
    child_trunk("5 years"),
]


@pytest.mark.parametrize("spacing_m", [10e-3, 6e-3])
@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_every_tissue_keeps_its_volume(solid, spacing_m):
    grid = grid_around(solid, spacing_m)
    found = voxel_fractions(solid, grid).sum(axis=(1, 2, 3)) * grid.voxel_volume_m3
    assert found == pytest.approx(np.array(solid.volumes_m3), rel=1e-8)  # skin: 1/10 of a voxel


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_fractions_are_shares(solid):
    grid = grid_around(solid, 6e-3)
    for share in (voxel_fractions(solid, grid), *face_fractions(solid, grid)):
        assert share.min() >= 0
        assert share.sum(axis=0).max() <= 1 + 1e-9


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_fractions_agree_with_labels_of_points(solid):
    grid = grid_around(solid, 10e-3)
    rng = np.random.default_rng(7)
    points = rng.uniform(-1, 1, (300_000, 3)) * np.asarray(grid.shape) * grid.spacing_m / 2
    voxel = tuple(((points - grid.origin_m) / grid.spacing_m).astype(int).T)
    label = solid.label(points)
    counted = np.zeros((len(solid.tissue_names), *grid.shape))
    for tissue in range(len(solid.tissue_names)):
        np.add.at(counted[tissue], tuple(part[label == tissue] for part in voxel), 1)
    share = voxel_fractions(solid, grid)
    expected = share * len(points) / np.prod(grid.shape)
    # Poisson counts: the sum of squared deviations over the variance is about the number of cells
    spread = (counted - expected)[expected > 5]
    assert np.mean(spread**2 / expected[expected > 5]) < 1.1
    assert np.all(counted[share < 1e-12] == 0)


def test_disc_areas_add_up_on_every_plane():
    solid = layered_sphere(0.1, tissue_names=("muscle",))
    grid = grid_around(solid, 5e-3)
    for axis, share in enumerate(face_fractions(solid, grid)):
        others = tuple(other + 1 for other in range(3) if other != axis)
        found = share.sum(axis=others)[0] * grid.spacing_m**2
        assert found == pytest.approx(np.pi * (0.1**2 - grid.nodes_m(axis) ** 2), abs=1e-12)


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_a_mirrored_body_gives_mirrored_fractions(solid):
    grid = grid_around(solid, 6e-3)
    mirrored = (1, 2) if solid is SOLIDS[-1] else (1, 2, 3)  # the lungs lie in the upper half
    for share in (voxel_fractions(solid, grid), *face_fractions(solid, grid)):
        for axis in mirrored:
            assert np.abs(share - np.flip(share, axis)).max() < 1e-9


def test_the_grid_is_the_smallest_that_holds_the_body_and_is_centred():
    grid = grid_around(layered_sphere(0.1, tissue_names=("muscle",)), 5e-3)
    assert grid.shape == (40, 40, 40)
    assert grid_around(layered_sphere(0.1, tissue_names=("muscle",)), 6e-3).shape == (34, 34, 34)
    for axis in range(3):
        assert grid.nodes_m(axis) == pytest.approx(-grid.nodes_m(axis)[::-1], abs=1e-15)
        assert grid.centres_m(axis) == pytest.approx(grid.nodes_m(axis)[:-1] + 2.5e-3, abs=1e-15)
    assert grid.centre_points_m()[3, 5, 7] == pytest.approx([grid.centres_m(a)[i] for a, i in enumerate((3, 5, 7))])


def test_cut_ends_on_the_border_of_the_grid_carry_nothing():
    solid = layered_elliptic_cylinder((0.06, 0.06), 0.12, tissue_names=("muscle",))
    _, _, ends = face_fractions(solid, grid_around(solid, 6e-3))
    assert ends[..., [0, -1]].max() == 0
    assert ends[0, 10, 10, 1:-1].min() == 1


def test_face_permittivity_is_the_area_mean_with_air_as_one():
    inside = Tissue(name="inside", eps_r=50.0, sigma_s_per_m=0.7)
    solid = layered_sphere(0.05, tissue_names=("inside",))
    body = voxelise(solid, spacing_m=5e-3, tissues=(inside,), frequency_hz=128e6)
    cover = body.face_cover()
    assert body.face_permittivity(128e6)[1] == pytest.approx(1 + cover[1] * (inside.permittivity(128e6) - 1), rel=1e-6)
    assert inside.permittivity(128e6) == pytest.approx(50 - 98.30135j, rel=1e-6)  # 0.7 / (2 pi 128e6 eps_0)
    with pytest.raises(OutsideModelError, match="placed at 128 MHz"):
        body.face_permittivity(64e6)


def test_depth_counts_from_the_skin_and_from_cut_ends():
    solid = layered_elliptic_cylinder((0.1, 0.1), 0.4, tissue_names=("muscle",))
    points = np.array([[0.0, 0.0, 0.0], [0.07, 0.0, 0.0], [0.0, 0.0, 0.19], [0.0, 0.11, 0.0]])
    assert solid.depth_m(points) == pytest.approx([0.1, 0.03, 0.01, -0.01], abs=1e-9)


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_no_label_changes_within_the_clearance(solid):
    rng = np.random.default_rng(8)
    points = rng.uniform(-1, 1, (20_000, 3)) * np.asarray(solid.box_m[1]) * 1.1
    step = rng.normal(size=points.shape)
    step *= 0.999 * solid.clearance_m(points)[:, None] / np.linalg.norm(step, axis=1, keepdims=True)
    assert np.array_equal(solid.label(points), solid.label(points + step))


def test_layers_are_counted_from_outside_inwards():
    points = np.array([[0.1003, 0, 0], [0.0997, 0, 0], [0.097, 0, 0], [0.0, 0, 0.05]])
    assert SOLIDS[0].label(points).tolist() == [AIR, 0, 1, 2]


def test_layers_that_leave_no_core_are_refused():
    with pytest.raises(OutsideModelError, match="leave no core"):
        layered_sphere(0.01, tissue_names=("a", "b"), thicknesses_m=(0.01,))


@pytest.mark.parametrize("solid", SOLIDS, ids=lambda solid: solid.name)
def test_voxels_that_the_body_does_not_reach_hold_exactly_none_of_it(solid):
    grid = grid_around(solid, 6e-3)
    cover = voxel_fractions(solid, grid).sum(axis=0)
    centres = grid.centre_points_m().reshape(-1, 3)
    outside = solid.depth_m(centres).reshape(grid.shape) < -0.9 * np.sqrt(3) / 2 * grid.spacing_m * 1.2
    assert outside.any()
    assert np.all(cover[outside] == 0)
