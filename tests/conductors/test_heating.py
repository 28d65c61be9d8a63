"""Warmth: a conductor thinner than the skin follows its resistivity, a thick one the root of it."""

import pytest

from loopwright.conductors import FlatStrip, RoundWire, resistance_ratio

FREQUENCY_HZ = 127.74e6
COPPER = 5.8e7


@pytest.mark.parametrize("ratio", [0.8, 1.16, 1.5])
def test_a_thick_wire_follows_the_root_and_a_thin_print_the_resistivity(ratio):
    thick = RoundWire(diameter_m=2e-3, conductivity_s_per_m=COPPER)
    thin = FlatStrip(width_m=0.1e-3, thickness_m=0.5e-6, conductivity_s_per_m=COPPER / 10)
    assert resistance_ratio(thick, FREQUENCY_HZ, resistivity_ratio=ratio) == pytest.approx(ratio**0.5, rel=0.01)
    assert resistance_ratio(thin, FREQUENCY_HZ, resistivity_ratio=ratio) == pytest.approx(ratio, rel=0.01)


def test_a_measured_resistance_rises_by_the_computed_ratio():
    computed, measured = (
        RoundWire(diameter_m=1e-3, conductivity_s_per_m=COPPER, measured_ohm_per_m=value) for value in (None, 3.0)
    )
    ratios = [resistance_ratio(one, FREQUENCY_HZ, resistivity_ratio=1.2) for one in (computed, measured)]
    assert ratios[0] == ratios[1] > 1
