"""Mass of the conductor, by hand."""

import numpy as np
import pytest

from loopwright.brief import FlatStripRequest, PrintedStripRequest, RoundWireRequest
from loopwright.conductors.dressing import cross_section_of
from loopwright.designs import conductor_mass_kg

REST = {
    "conductivity_s_per_m": 5.8e7,
    "capacitor_q": 1500.0,
    "other_series_resistance_ohm": 0.1,
    "body_temperature_k": 310.0,
    "coil_temperature_k": 293.0,
}


def mass(request, length_m):
    return conductor_mass_kg(request, cross_section_of(request), length_m=length_m)


def test_a_metre_of_copper_wire():
    """1 mm^2 of copper weighs 8.89 g a metre."""
    wire = RoundWireRequest(material="copper", wire_diameter_m=np.sqrt(4 / np.pi) * 1e-3, **REST)
    assert mass(wire, 1.0) == pytest.approx(8.89e-3)


def test_a_strip_of_silver():
    strip = FlatStripRequest(material="silver", width_m=5e-3, thickness_m=35e-6, **REST)
    assert mass(strip, 4.0) == pytest.approx(10490 * 5e-3 * 35e-6 * 4)


def test_a_print_has_a_mass_only_where_its_density_is_given():
    print_ = PrintedStripRequest(width_m=5e-3, thickness_m=20e-6, **REST)
    assert mass(print_, 1.0) is None
    assert mass(print_.model_copy(update={"density_kg_per_m3": 5000.0}), 1.0) == pytest.approx(5e-4)


def test_a_given_density_wins_over_that_of_the_metal():
    wire = RoundWireRequest(material="copper", wire_diameter_m=1e-3, density_kg_per_m3=8000.0, **REST)
    assert mass(wire, 1.0) == pytest.approx(8000 * np.pi / 4 * 1e-6)
