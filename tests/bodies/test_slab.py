"""A slab: layers on its front face alone, and depth from its nearest face."""

import numpy as np
import pytest

from loopwright.bodies import Block, face_fractions, grid_around, layered_slab, place, voxel_fractions
from loopwright.brief.records import ExplicitMaterial, LayerRequest, SlabRequest, TissueByName
from loopwright.ground.errors import OutsideModelError

SIZE_M = (0.2, 0.1, 0.16)
LAYERED = layered_slab(SIZE_M, tissue_names=("skin", "fat", "muscle"), thicknesses_m=(0.7e-3, 5e-3))


def test_layers_lie_on_the_front_face_and_reach_to_the_others():
    points = np.array(
        [[0, -0.0499, 0], [0, -0.048, 0], [0, -0.044, 0], [0, 0.0499, 0], [0.0999, 0, 0], [0, 0, -0.0799]]
    )
    assert LAYERED.label(points).tolist() == [0, 1, 2, 2, 2, 2]
    assert LAYERED.label(np.array([[0.0999, -0.0499, 0.0799], [0, -0.0501, 0]])).tolist() == [0, -1]


@pytest.mark.parametrize("spacing_m", [10e-3, 7e-3, 3e-3])
def test_every_layer_keeps_its_volume_and_its_face(spacing_m):
    grid = grid_around(LAYERED, spacing_m)
    found = voxel_fractions(LAYERED, grid).sum(axis=(1, 2, 3)) * spacing_m**3
    expected = 0.2 * 0.16 * np.array([0.7e-3, 5e-3, 0.1 - 5.7e-3])
    assert found == pytest.approx(expected, rel=1e-9)
    assert LAYERED.volumes_m3 == pytest.approx(expected, rel=1e-12)
    across = face_fractions(LAYERED, grid)[0].sum(axis=(2, 3)) * spacing_m**2  # normal to x: each layer's section
    assert across[:, grid.shape[0] // 2] == pytest.approx(expected / 0.2, rel=1e-9)


def test_depth_is_that_of_the_nearest_face():
    points = np.array([[0, -0.04, 0], [0, 0.045, 0], [0.098, 0, 0], [0, -0.06, 0]])
    assert LAYERED.depth_m(points) == pytest.approx([0.01, 0.005, 0.002, -0.01], abs=1e-12)


def test_a_slab_of_the_brief():
    core = ExplicitMaterial(name="gel", eps_r=60.0, sigma_s_per_m=0.6)
    skin = LayerRequest(thickness_m=2e-3, material=TissueByName(tissue="Skin (Dry)"))
    body = place(SlabRequest(size_m=SIZE_M, voxel_m=10e-3, material=core, layers=(skin,)), frequency_hz=64e6)
    assert isinstance(body.solid.skin, Block)
    assert body.grid.shape == (20, 10, 16)
    assert body.voxel_fraction[:, 5, 0, 5] == pytest.approx([0.2, 0.8])
    assert body.voxel_fraction[:, 5, 9, 5] == pytest.approx([0, 1])


def test_layers_that_leave_no_core_are_refused():
    with pytest.raises(OutsideModelError, match="no core"):
        layered_slab(SIZE_M, tissue_names=("fat", "muscle"), thicknesses_m=(0.1,))
