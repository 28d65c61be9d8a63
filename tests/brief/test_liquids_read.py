"""Liquids, bottles and loads as a brief states them."""

import pytest

from brief.base_brief import brief_with
from loopwright.brief.records import BottleRequest, LiquidMaterial, SphereRequest
from loopwright.ground.errors import BriefError

SALINE = {
    "name": "saline",
    "salts": [{"salt": "Sodium Chloride", "concentration": "3.6 g/L"}],
    "temperature": "21 degC",
}
BOTTLE = {
    "shape": "bottle", "radius": "60 mm", "height": "160 mm", "shoulder": "40 mm", "wall": "2 mm", "voxel": "8 mm",
    "material": {"liquid": SALINE},
}  # fmt: skip
PATCH = {
    "pattern": "hexagonal", "shape": "circle", "count": "2", "size": "60 mm", "overlap": "0.76", "span": "patch",
    "facing": ["0", "-1", "-0.9"], "stand_off": "9 mm", "gaps": "4",
}  # fmt: skip


def test_a_bottle_of_saline_is_read_in_si():
    body = brief_with(body=BOTTLE, array__tiling=PATCH).body
    assert isinstance(body, BottleRequest)
    assert (body.radius_m, body.height_m, body.shoulder_m, body.wall_m, body.wall_eps_r) == (
        0.06,
        0.16,
        0.04,
        2e-3,
        2.3,
    )
    liquid = body.material
    assert isinstance(liquid, LiquidMaterial)
    assert (liquid.base, liquid.temperature_k) == ("water", pytest.approx(294.15))
    assert liquid.salts[0].salt == "sodium chloride"
    assert liquid.salts[0].concentration_kg_per_m3 == pytest.approx(3.6)
    assert liquid.measured_conductivity_s_per_m is None


def test_a_sphere_and_its_layers_can_be_liquids():
    wet = {"liquid": {**SALINE, "measured_conductivity": "0.6 S/m", "measured_permittivity": "77"}}
    body = brief_with(body__material=wet, body__layers=[{"thickness": "5 mm", "material": {"liquid": SALINE}}]).body
    assert isinstance(body, SphereRequest)
    assert (body.material.measured_conductivity_s_per_m, body.material.measured_eps_r) == (0.6, 77.0)
    assert isinstance(body.layers[0].material, LiquidMaterial)


def test_measured_brine_is_taken():
    brine = {"name": "brine", "salts": [{"salt": "sodium chloride", "concentration": "120 g/L"}],
             "temperature": "21 degC", "measured_conductivity": "10 S/m", "measured_permittivity": "60"}  # fmt: skip
    assert brief_with(body__material={"liquid": brine}).body.material.name == "brine"


def test_a_patch_reaches_down_to_the_bottom_of_a_bottle_and_no_further():
    with pytest.raises(BriefError) as refusal:
        brief_with(body=BOTTLE, array__tiling={**PATCH, "facing": ["0", "-1", "-3"]})
    (complaint,) = refusal.value.complaints
    assert complaint.field == "array.tiling.facing"
    assert "above its bottom at z = -160 mm" in complaint.allowed


def test_where_an_element_lies_may_be_left_out():
    loads = {"diameter": "80 mm", "stand_off": "10 mm", "patients": [{"name": "a", "body": {"shape": "head", "age":
             "newborn", "voxel": "8 mm"}, "towards": ["0", "0", "2"]}],
             "phantoms": [{"name": "b", "body": BOTTLE}]}  # fmt: skip
    request = brief_with(loading_equivalence=loads).loading_equivalence
    assert request.patients[0].towards == (0, 0, 1)
    assert request.phantoms[0].towards is None


def test_a_brief_without_loads_keeps_its_canonical_text():
    assert "loading" not in brief_with().canonical()
