"""Surfaces in air: published coefficients, the law of radiation, bare skin."""

import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.heating import (
    Facing,
    Heat,
    Outside,
    Stack,
    air_outside,
    blown_transfer_w_per_m2_k,
    natural_transfer_w_per_m2_k,
    radiated_transfer_w_per_m2_k,
    steady_in_air,
    tissue_layer,
)

CORE = Outside(temperature_c=37.0, transfer_w_per_m2_k=np.inf)


@pytest.mark.parametrize(("facing", "coefficient"), [(Facing.UP, 1.32), (Facing.VERTICAL, 1.42), (Facing.DOWN, 0.59)])
def test_natural_convection_grows_with_the_fourth_root(facing, coefficient):
    assert natural_transfer_w_per_m2_k(16.0, 1.0, facing) == pytest.approx(2 * coefficient, rel=1e-12)
    assert natural_transfer_w_per_m2_k(10.0, 10 / 81, facing) == pytest.approx(3 * coefficient, rel=1e-12)


def test_natural_convection_of_a_vertical_plate_against_the_long_formula():
    """Nu = 0.59 Ra^(1/4) for a vertical plate of 0.3 m, 10 K above air at 300 K, within 10 %."""
    rayleigh = 9.81 / 300 * 10 * 0.3**3 / (15.9e-6 * 22.5e-6)
    long = 0.59 * rayleigh**0.25 * 0.0263 / 0.3
    assert natural_transfer_w_per_m2_k(10.0, 0.3, Facing.VERTICAL) == pytest.approx(long, rel=0.1)


def test_radiation_is_the_law_of_the_fourth_power():
    found = radiated_transfer_w_per_m2_k(60.0, 20.0, 0.8) * 40.0
    assert found == pytest.approx(0.8 * 5.670374e-8 * (333.15**4 - 293.15**4), rel=1e-6)
    assert radiated_transfer_w_per_m2_k(26.85, 26.85, 1.0) == pytest.approx(6.1239, rel=1e-4)


def test_blown_air_over_a_plate():
    """1 m/s along 0.3 m: Re = 18868, Nu = 81.4, h = 7.13 W/(m^2 K)."""
    assert blown_transfer_w_per_m2_k(1.0, 0.3) == pytest.approx(7.13, rel=2e-3)
    with pytest.raises(OutsideModelError, match="laminar"):
        blown_transfer_w_per_m2_k(50.0, 0.3)


def bare_skin(fat_m, ambient_c):
    depths = {"Skin (Dry)": 1.5e-3, "Fat (Not Infiltrated)": fat_m, "Muscle": 0.03}
    stack = Stack(
        layers=tuple(tissue_layer(tissue, depth) for tissue, depth in depths.items()),
        first=Outside(temperature_c=ambient_c, transfer_w_per_m2_k=9.0),
        last=CORE,
    )
    return steady_in_air(stack, Heat(), length_m=0.3, facing=Facing.UP)


@pytest.mark.parametrize("fat_m", [0.003, 0.008, 0.015])
@pytest.mark.parametrize("ambient_c", [20.0, 22.0, 25.0])
def test_bare_skin_is_between_33_and_35_degrees(fat_m, ambient_c):
    """As measured on resting people in rooms of 20 to 25 degC; common practice."""
    assert 33.0 < bare_skin(fat_m, ambient_c).before("Skin (Dry)") < 35.0


def test_bare_skin_is_cooler_over_more_fat_and_in_a_cooler_room():
    assert bare_skin(0.015, 22.0).before("Skin (Dry)") < bare_skin(0.003, 22.0).before("Skin (Dry)") - 0.3
    assert bare_skin(0.008, 20.0).before("Skin (Dry)") < bare_skin(0.008, 25.0).before("Skin (Dry)") - 0.8


def test_what_settles_agrees_with_its_own_surroundings():
    found = bare_skin(0.008, 22.0)
    surface_c = found.before("Skin (Dry)")
    again = air_outside(ambient_c=22.0, surface_c=surface_c, length_m=0.3, facing=Facing.UP)
    assert found.stack.first.transfer_w_per_m2_k == pytest.approx(again.transfer_w_per_m2_k, rel=1e-7)
    assert found.left_w_per_m2[0] == pytest.approx(again.transfer_w_per_m2_k * (surface_c - 22.0), rel=1e-7)


def test_a_surface_cooler_than_the_air_acts_turned_over():
    cool = air_outside(ambient_c=40.0, surface_c=37.0, length_m=0.3, facing=Facing.UP, emissivity=0.0)
    warm = air_outside(ambient_c=37.0, surface_c=40.0, length_m=0.3, facing=Facing.DOWN, emissivity=0.0)
    assert cool.transfer_w_per_m2_k == pytest.approx(warm.transfer_w_per_m2_k, rel=1e-14)
    assert bare_skin(0.008, 40.0).left_w_per_m2[0] < 0


def test_what_is_no_surface_is_refused():
    with pytest.raises(OutsideModelError, match="length"):
        natural_transfer_w_per_m2_k(5.0, 0.0, Facing.UP)
    with pytest.raises(OutsideModelError, match="emissivity"):
        radiated_transfer_w_per_m2_k(30.0, 20.0, 1.2)
    with pytest.raises(OutsideModelError, match="positive"):
        blown_transfer_w_per_m2_k(0.0, 0.3)
