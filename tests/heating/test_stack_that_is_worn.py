"""A worn array: its layers, half a watt in it, and what is said beside the numbers."""

import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag
from loopwright.heating import (
    USUAL_THICKNESSES,
    Facing,
    Heat,
    Outside,
    face_response,
    heat_limits,
    part_heat,
    settling_s,
    steady_in_air,
    steady_state,
    time_to_limit_s,
    worn_stack,
)

AIR = Outside(temperature_c=22.0, transfer_w_per_m2_k=9.0)
SKIN = "Skin (Dry)"


def test_layers_lie_in_order_and_zero_leaves_one_out():
    whole = worn_stack(AIR, {}, {})
    assert [layer.name for layer in whole.layers] == list(USUAL_THICKNESSES)
    assert whole.thickness_m == pytest.approx(sum(usual.value for usual in USUAL_THICKNESSES.values()), rel=1e-12)
    bare = worn_stack(AIR, {"outer foam": 0.0, "foam": 6e-3}, {"encapsulation": "thermoplastic polyurethane"})
    assert "outer foam" not in [layer.name for layer in bare.layers]
    assert bare.layers[bare.place_of("foam")].thickness_m == 6e-3
    assert bare.layers[bare.place_of("encapsulation")].heat_capacity_j_per_kg_k == 1700


def test_every_usual_thickness_has_a_source():
    assert all(usual.source.where and usual.unit == "m" for usual in USUAL_THICKNESSES.values())
    assert {usual.source.flag for usual in USUAL_THICKNESSES.values()} <= {
        Flag.COMMON_PRACTICE, Flag.MEMORY, Flag.COMPUTED,
    }  # fmt: skip


def test_heat_of_a_part_comes_in_between_it_and_its_film():
    """0.5 W over 20 cm^2 are 250 W/m^2, and the step of the flow lies at that face."""
    stack = worn_stack(AIR, {}, {})
    found = steady_state(stack, part_heat(stack, 0.5, spread_m2=20e-4))
    at, flows = stack.place_of("film"), []
    for place in (at - 1, at):
        before_c, behind_c = found.faces_c[place]
        layer = stack.layers[place]
        flows.append(layer.conductivity_w_per_m_k / layer.thickness_m * (before_c - behind_c))
    assert flows[1] - flows[0] == pytest.approx(250.0, rel=1e-9)


def test_muscle_is_deep_enough():
    """Twice the muscle changes the skin by less than 0.1 K."""
    heats = [worn_stack(AIR, {"Muscle": depth}, {}) for depth in (0.03, 0.06)]
    found = [steady_state(stack, part_heat(stack, 0.5, spread_m2=20e-4)).before(SKIN) for stack in heats]
    assert found[0] == pytest.approx(found[1], abs=0.1)


def half_a_watt(thicknesses_m=None):
    stack = worn_stack(AIR, thicknesses_m or {}, {})
    heat = part_heat(stack, 0.5, spread_m2=20e-4)
    before, after = (steady_in_air(stack, given, length_m=0.3, facing=Facing.UP) for given in (Heat(), heat))
    return stack, heat, before, after


def test_half_a_watt_converges():
    """0.5 W over 20 cm^2: rise and settling time at part and skin move by less than 0.1 % when cells are halved."""
    stack, heat, _, after = half_a_watt()
    film, skin = 2 * stack.place_of("film"), 2 * stack.place_of(SKIN)
    coarse, fine, finer = (face_response(after.stack, heat, resolved_s=10.0, fineness=f) for f in (0.5, 1, 2))
    for place in (film, skin):
        times = [settling_s(response.at(place)) for response in (coarse, fine, finer)]
        assert times[1] == pytest.approx(times[2], rel=1e-3)
        assert abs(times[1] - times[2]) < 0.5 * abs(times[0] - times[1])
        steady = steady_state(after.stack, heat).faces_c - steady_state(after.stack, Heat()).faces_c
        assert fine.final_rise_k()[place] == pytest.approx(steady.ravel()[place], rel=1e-5)
    assert settling_s(fine.at(film)) < settling_s(fine.at(skin))


def test_foam_keeps_the_skin_cooler_and_the_part_warmer():
    _, _, _, thin = half_a_watt({"foam": 2e-3})
    _, _, _, thick = half_a_watt({"foam": 8e-3})
    assert thick.before(SKIN) < thin.before(SKIN) - 0.5
    assert thick.before("film") > thin.before("film") + 2


def test_the_surface_on_the_skin_starts_warm():
    """A worn coil keeps the skin above 33 degC; 41 degC is 7 K off there, not 19 K as from the room."""
    stack, heat, before, after = half_a_watt()
    start_c = before.before(SKIN)
    assert 33 < start_c < 37
    response = face_response(after.stack, heat, resolved_s=10.0).at(2 * stack.place_of(SKIN))
    allowed = time_to_limit_s(response, start_c=start_c, limit_c=38.0)
    assert response.rise_k(allowed)[0, 0] == pytest.approx(38.0 - start_c, rel=1e-9)
    assert np.isinf(time_to_limit_s(response, start_c=22.0, limit_c=38.0))


def test_what_is_said_beside_the_numbers():
    text = " ".join(heat_limits(35.93, 38.5))
    for words in ("starts at 35.9 degC", "33 to 35 degC", "child", "adults' skin", "evaporation", "stays at 38.5 degC"):
        assert words in text
    # Nothing of layers alone: temperatures of the transmit job are those of a model in three dimensions.
    assert "across the layers" not in text


def test_what_is_no_worn_array_is_refused():
    with pytest.raises(OutsideModelError, match="no layer velvet"):
        worn_stack(AIR, {"velvet": 1e-3}, {})
    with pytest.raises(OutsideModelError, match="no layer Muscle"):
        worn_stack(AIR, {}, {"Muscle": "copper"})
    with pytest.raises(OutsideModelError, match="area"):
        part_heat(worn_stack(AIR, {}, {}), 0.5, spread_m2=0.0)
