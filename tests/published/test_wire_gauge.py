"""S1, S4: copper by the definition of 100 % IACS, and American wire gauge.

IACS: 0.15328 ohm g/m^2 with 8.89 g/cm^3 (NBS Handbook 100, 1966).  Gauges: diameters by the basis of ASTM B258, 4/0 =
0.460 inch and 36 = 0.005 inch (both read), to four digits; the standard's own table rounds by up to 0.05 %.
"""

import pytest
from scipy.constants import inch, pi

from loopwright.brief.metals import METALS
from loopwright.ground.gauges import gauge_diameter_m

DIAMETERS_MM = {
    10: 2.5882,
    12: 2.0525,
    14: 1.6277,
    16: 1.2908,
    18: 1.0237,
    20: 0.8118,
    22: 0.6438,
    24: 0.5106,
    26: 0.4049,
    28: 0.3211,
    30: 0.2546,
}


def test_s1_copper():
    assert METALS["copper"].value == pytest.approx(8890 / (0.15328 * 1e-3), rel=1e-4)


@pytest.mark.parametrize(("gauge", "diameter_mm"), list(DIAMETERS_MM.items()))
def test_s4_diameters(gauge, diameter_mm):
    assert 1e3 * gauge_diameter_m(gauge) == pytest.approx(diameter_mm, rel=5e-4)


def test_s4_ends_of_the_scale():
    assert gauge_diameter_m(36) == pytest.approx(0.005 * inch, rel=1e-12)
    assert gauge_diameter_m(-3) == pytest.approx(0.460 * inch, rel=1e-12)


@pytest.mark.parametrize(("gauge", "ohm_per_m"), [(20, 0.03331), (24, 0.08421), (30, 0.33856)])
def test_s4_resistance_of_copper(gauge, ohm_per_m):
    area_m2 = pi / 4 * gauge_diameter_m(gauge) ** 2
    assert 1 / (METALS["copper"].value * area_m2) == pytest.approx(ohm_per_m, rel=5e-4)
