"""From a brief's words on heat to layers, air and parts."""

import pytest

from circuits.ready_circuits import two_traps
from loopwright.brief.records import HeatLayerRequest, HeatRequest, PartSizeRequest, TissueLayersRequest
from loopwright.brief.topics.heat import THERMAL_MATERIALS
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.thermal import thermal_materials
from loopwright.heating.asked import part_asked, refuse_unknown_parts, stack_asked

FOAM = HeatLayerRequest(material="polyurethane foam")
CLOTH = HeatLayerRequest(material="cotton textile", thickness_m=0.5e-3)
GAP = HeatLayerRequest(material="air", thickness_m=0.2e-3)


def asked(*to_skin, **changed):
    given = {
        "ambient_temperature_k": 297.15,
        "airflow": "none",
        "to_skin": to_skin or (FOAM, CLOTH, GAP),
        "cover": (HeatLayerRequest(material="polyurethane foam", thickness_m=3e-3),),
        "tissue": TissueLayersRequest(skin_m=1.5e-3, fat_m=5e-3, muscle_m=30e-3),
        "core_temperature_k": 310.15,
        "preamplifier_power_w": 0.25,
        "part_size": "1111",
        "probes": 4,
    }
    return HeatRequest(**(given | changed))


def test_the_layer_without_thickness_fills_the_stand_off():
    stack = stack_asked(asked(), stand_off_m=6e-3)
    below = (*stack.inner, *stack.between)
    assert [layer.thickness_m for layer in below] == pytest.approx([5.3e-3, 0.5e-3, 0.2e-3])
    # Air that lies on the skin is no part of the coil, whose surface on the patient is the cloth.
    assert [layer.name for layer in stack.inner] == ["polyurethane foam", "cotton textile"]
    assert (stack.core.temperature_c, stack.air.temperature_c) == pytest.approx((37.0, 24.0))


def test_nothing_left_for_the_filling_layer_is_refused():
    with pytest.raises(OutsideModelError, match="nothing is left"):
        stack_asked(asked(), stand_off_m=0.75e-3)


def test_layers_thicker_than_the_stand_off_are_refused_where_none_fills():
    """They would hold the skin cooler than it gets; a chord's dip is no such thing, and pressed padding is thinner."""
    foam = HeatLayerRequest(material="polyurethane foam", thickness_m=6e-3)
    with pytest.raises(OutsideModelError, match=r"6\.50 mm, and the conductor is 5\.00 mm"):
        stack_asked(asked(foam, CLOTH), stand_off_m=5e-3)
    for stand_off_m in (6.1e-3, 9e-3):
        assert stack_asked(asked(foam, CLOTH), stand_off_m=stand_off_m).inner[0].thickness_m == 6e-3


def test_every_material_of_the_brief_conducts_heat():
    assert set(THERMAL_MATERIALS) <= set(thermal_materials())


def test_parts_have_the_outline_that_is_told_of_them():
    request = asked(part_sizes=(PartSizeRequest(part="C trap 2", size="0402"),))
    small, usual = part_asked(request, "C trap 2"), part_asked(request, "C trap 3")
    assert small.length_m == pytest.approx(1.016e-3)
    assert usual.length_m == pytest.approx(2.8e-3, rel=0.05)


def test_a_size_of_a_part_that_no_element_has_is_refused():
    request = asked(part_sizes=(PartSizeRequest(part="C trap 9", size="0402"),))
    with pytest.raises(OutsideModelError, match=r"no part is called C trap 9\. .*C trap 2"):
        refuse_unknown_parts(request, (two_traps(),))
