import pytest
from scipy.constants import mu_0, pi

from loopwright.conductors import (
    LiquidMetalTube,
    RoundWire,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    outline_width_m,
    resistance_ohm_per_m,
    thickness_over_depth,
    what_limits,
)
from loopwright.ground.errors import OutsideModelError

TUBE = LiquidMetalTube(bore_m=1e-3, wall_m=0.25e-3, conductivity_s_per_m=3.4e6)


@pytest.mark.parametrize("frequency_hz", [1e3, 63.9e6, 298e6])
def test_metal_in_a_tube_is_a_wire_of_its_bore(frequency_hz):
    rod = RoundWire(diameter_m=1e-3, conductivity_s_per_m=3.4e6)
    assert resistance_ohm_per_m(TUBE, frequency_hz) == resistance_ohm_per_m(rod, frequency_hz)
    assert equivalent_radius_m(TUBE) == equivalent_radius_m(rod)


def test_by_hand_at_3_t():
    """24.15 um of skin round a bore of 1 mm: 1 / [2 pi sigma delta (a - delta/2)], 3.97 ohm a metre."""
    delta = 24.15e-6
    by_hand = 1 / (2 * pi * 3.4e6 * delta * (0.5e-3 - delta / 2))
    assert resistance_ohm_per_m(TUBE, 127.73e6) == pytest.approx(by_hand, rel=1e-3)
    assert resistance_ohm_per_m(TUBE, 127.73e6) == pytest.approx(3.97, abs=0.01)


def test_x_of_the_bessel_table():
    """x = a sqrt(omega mu sigma) = 5: 2.04273 times the resistance for direct current, as of any round conductor."""
    frequency_hz = 5**2 / (0.5e-3**2 * mu_0 * 3.4e6) / (2 * pi)
    ratio = resistance_ohm_per_m(TUBE, frequency_hz) / direct_resistance_ohm_per_m(TUBE)
    assert ratio == pytest.approx(2.04273, rel=1e-4)


def test_the_wall_takes_room_and_carries_nothing():
    assert outline_width_m(TUBE) == 1.5e-3
    assert thickness_over_depth(TUBE, 127.73e6) == pytest.approx(1e3 / 24.15, rel=1e-3)
    assert "in its skin" in what_limits(TUBE, 127.73e6)


def test_a_tube_without_wall_is_refused():
    with pytest.raises(OutsideModelError, match="wall_m"):
        LiquidMetalTube(bore_m=1e-3, wall_m=0.0, conductivity_s_per_m=3.4e6)
