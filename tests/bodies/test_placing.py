"""From the request of a brief to the body."""

import numpy as np
import pytest

from loopwright.bodies import place, tissue_at
from loopwright.brief.records import (
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    LayerRequest,
    SphereRequest,
    TissueByName,
    TrunkRequest,
)
from loopwright.ground.errors import OutsideModelError

GEL = ExplicitMaterial(name="gel", eps_r=60.0, sigma_s_per_m=0.6)
SKIN = LayerRequest(thickness_m=2e-3, material=TissueByName(tissue="Skin (Dry)"))


def test_sphere_with_a_layer_by_name_and_an_explicit_core():
    body = place(SphereRequest(radius_m=0.05, voxel_m=5e-3, material=GEL, layers=(SKIN,)), frequency_hz=127.74e6)
    assert [tissue.name for tissue in body.tissues] == ["Skin (Dry)", "gel"]
    assert body.tissues[1].sigma_s_per_m == 0.6
    assert body.grid.shape == (20, 20, 20)
    assert body.voxel_fraction.dtype == np.float32
    assert body.conductivity_s_per_m()[10, 10, 10] == pytest.approx(0.6, rel=1e-6)
    assert body.depth_m()[10, 10, 10] == pytest.approx(0.05 - np.sqrt(3) * 2.5e-3)


def test_a_coarser_grid_keeps_the_volume():
    request = EllipsoidRequest(semi_axes_m=(0.05, 0.06, 0.07), voxel_m=5e-3, material=GEL, layers=(SKIN,))
    fine = place(request, frequency_hz=64e6)
    coarse = place(request, frequency_hz=64e6, voxel_m=7.5e-3)
    assert coarse.grid.spacing_m == 7.5e-3
    assert coarse.voxel_fraction.sum() * 7.5e-3**3 == pytest.approx(fine.voxel_fraction.sum() * 5e-3**3, rel=1e-5)


def test_cylinder_and_trunk():
    column = place(
        EllipticCylinderRequest(semi_axes_m=(0.05, 0.04), height_m=0.1, voxel_m=5e-3, material=GEL), frequency_hz=64e6
    )
    assert column.grid.shape == (20, 16, 20)
    trunk = place(TrunkRequest(age="1 year", voxel_m=6e-3), frequency_hz=298e6)
    assert trunk.tissues[2] == tissue_at("Muscle", frequency_hz=298e6)
    assert trunk.cautions


def test_an_unknown_tissue_is_refused_by_name():
    with pytest.raises(OutsideModelError, match="'Feathers'"):
        place(SphereRequest(radius_m=0.05, voxel_m=5e-3, material=TissueByName(tissue="Feathers")), frequency_hz=64e6)
