"""Bottles on a grid, and the liquids that they are filled with."""

from math import pi

import pytest

from loopwright.bodies import place, solid_of
from loopwright.bodies.filling import liquid_tissue
from loopwright.bodies.liquids import solution_at
from loopwright.brief.records import BottleRequest, ExplicitMaterial, LiquidMaterial, SaltShare, SphereRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import dissolved

SALINE = LiquidMaterial(
    name="saline",
    salts=(SaltShare(salt="sodium chloride", concentration_kg_per_m3=3.6),),
    temperature_k=294.15,
)
BOTTLE = BottleRequest(radius_m=0.06, height_m=0.16, shoulder_m=0.04, wall_m=2e-3, wall_eps_r=2.3, voxel_m=6e-3,
                       material=SALINE)  # fmt: skip
FREQUENCY_HZ = 123.2e6


def test_wall_and_filling_have_their_volumes():
    wall, filling = solid_of(BOTTLE).volumes_m3
    assert filling == pytest.approx(pi * 0.058**2 * (0.158 + 2 / 3 * 0.038), rel=1e-12)
    assert wall + filling == pytest.approx(pi * 0.06**2 * (0.16 + 2 / 3 * 0.04), rel=1e-12)
    body = place(BOTTLE, frequency_hz=FREQUENCY_HZ)
    voxels = body.voxel_fraction.sum(axis=(1, 2, 3), dtype=float) * body.grid.voxel_volume_m3
    assert voxels == pytest.approx((wall, filling), rel=2e-4)


def test_the_wall_loses_nothing_and_the_filling_is_the_liquid():
    wall, filling = place(BOTTLE, frequency_hz=FREQUENCY_HZ).tissues
    assert (wall.name, wall.eps_r, wall.sigma_s_per_m) == ("wall of the bottle", 2.3, 0.0)
    found = solution_at([dissolved("sodium chloride", 3.6)], temperature_k=294.15, frequency_hz=FREQUENCY_HZ)
    assert (filling.eps_r, filling.sigma_s_per_m) == (found.eps_r, found.sigma_s_per_m)


def test_a_sphere_can_hold_a_liquid_too():
    body = place(SphereRequest(radius_m=0.05, voxel_m=5e-3, material=SALINE), frequency_hz=FREQUENCY_HZ)
    assert body.tissues[0].name == "saline"


def test_what_was_measured_wins_and_both_numbers_are_told():
    predicted = liquid_tissue(SALINE, frequency_hz=FREQUENCY_HZ)
    measured = SALINE.model_copy(update={"measured_conductivity_s_per_m": 0.6, "measured_eps_r": 75.0})
    found = liquid_tissue(measured, frequency_hz=FREQUENCY_HZ)
    assert (found.sigma_s_per_m, found.eps_r) == (0.6, 75.0)
    off = 100 * (1 - 0.6 / predicted.sigma_s_per_m)
    assert f"0.6 S/m as measured, {off:.2g} % below the {predicted.sigma_s_per_m:.3g} S/m predicted" in found.note
    assert "permittivity 75 as measured" in found.note
    assert "measure a sample" in predicted.note
    assert "measure a sample" not in found.note


def test_of_a_sugar_solution_nothing_is_predicted():
    sugar = SALINE.model_copy(update={"base": "sucrose"})
    with pytest.raises(OutsideModelError, match="cannot be predicted"):
        liquid_tissue(sugar, frequency_hz=FREQUENCY_HZ)
    found = liquid_tissue(
        sugar.model_copy(update={"measured_conductivity_s_per_m": 0.5, "measured_eps_r": 55.0}),
        frequency_hz=FREQUENCY_HZ,
    )
    assert (found.sigma_s_per_m, found.eps_r) == (0.5, 55.0)
    assert "nothing is predicted" in found.note


def test_the_wall_is_a_layer_of_the_request():
    assert BOTTLE.layers[0].thickness_m == 2e-3
    assert isinstance(BOTTLE.layers[0].material, ExplicitMaterial)
