"""Thermal tables: whole, flagged, plausible; layers made of them."""

import numpy as np
import pytest

from loopwright.formats.bibliography import load_bibliography
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag
from loopwright.ground.tables import density_thermal_rows
from loopwright.ground.thermal import thermal_material, thermal_materials, tissue_metabolism
from loopwright.heating import air_gap_layer, material_layer, perfusion_w_per_m3_k, tissue_layer

UNITS = {"conductivity": "W/(m K)", "density": "kg/m^3", "heat_capacity": "J/(kg K)"}


@pytest.mark.parametrize("material", thermal_materials().values(), ids=lambda material: material.name)
def test_every_value_has_unit_source_and_flag(material):
    for quantity, unit in UNITS.items():
        value = getattr(material, quantity)
        assert value.unit == unit
        assert value.value > 0
        assert value.source.where
        assert value.source.flag in {Flag.READ, Flag.MEMORY, Flag.COMPUTED, Flag.COMMON_PRACTICE}
    assert material.source.flag is material.conductivity.source.flag


def test_values_are_those_of_their_kind():
    """Metals conduct above 10, solid plastics 0.1 to 0.5, foams and textiles 0.03 to 0.07 W/(m K)."""
    light = {"polyurethane foam", "polyethylene foam", "polyester textile", "polyamide textile", "cotton textile"}
    metals = {"copper", "silver", "eutectic gallium-indium", "eutectic gallium-indium-tin", "silver flake ink"}
    for name, material in thermal_materials().items():
        low, high = (10, 450) if name in metals else (0.03, 0.07) if name in light else (0.1, 0.5)
        if name != "air":
            assert low <= material.conductivity.value <= high, name
            assert 20 <= material.density.value < 11000
            assert 200 < material.heat_capacity.value < 2500


def test_copper_conducts_heat_as_it_conducts_current():
    """Wiedemann-Franz: k / (sigma T) = 2.44e-8 V^2/K^2 within 10 %, for two good metals at 293 K."""
    for name, sigma in (("copper", 5.80e7), ("silver", 6.30e7)):
        assert thermal_material(name).conductivity.value / (sigma * 293) == pytest.approx(2.44e-8, rel=0.1)


def test_metabolism_is_told_for_known_tissue_with_its_source():
    assert set(tissue_metabolism()) <= {row.tissue for row in density_thermal_rows()}
    assert {value.source.key for value in tissue_metabolism().values()} <= set(load_bibliography())
    assert tissue_metabolism()["Muscle"].value == 684


def test_perfusion_by_hand():
    """37 mL/min per kg of muscle at 1090 kg/m^3, blood of 1050 kg/m^3 and 3617 J/(kg K)."""
    assert perfusion_w_per_m3_k("Muscle") == pytest.approx(1050 * 3617 * 37e-6 / 60 * 1090, rel=1e-12)
    muscle = tissue_layer("Muscle", 0.03)
    assert (muscle.perfusion_w_per_m3_k, muscle.metabolic_w_per_m3) == (perfusion_w_per_m3_k("Muscle"), 684)
    assert np.sqrt(muscle.conductivity_w_per_m_k / muscle.perfusion_w_per_m3_k) == pytest.approx(0.0139, rel=0.01)


def test_solids_have_no_blood():
    film = material_layer("polyimide", 50e-6, name="film")
    assert (film.name, film.density_kg_per_m3, film.perfusion_w_per_m3_k) == ("film", 1420, 0)
    assert "polyimide" in str(film.source)


def test_a_gap_between_black_faces_adds_the_linear_law_of_radiation():
    """Both black at 300 K: 4 sigma T^3 = 6.124 W/(m^2 K) over 2 mm beside 0.0263 W/(m K)."""
    gap = air_gap_layer(0.002, mean_c=26.85, emissivities=(1.0, 1.0))
    assert gap.conductivity_w_per_m_k == pytest.approx(0.0263 + 6.1239 * 0.002, rel=1e-4)
    dull = air_gap_layer(0.002, mean_c=26.85, emissivities=(0.5, 1.0))
    assert dull.conductivity_w_per_m_k == pytest.approx(0.0263 + 6.1239 * 0.001, rel=1e-4)


def test_what_is_not_known_is_refused():
    with pytest.raises(OutsideModelError, match="known are copper"):
        material_layer("unobtainium", 1e-3)
    with pytest.raises(OutsideModelError, match="no thermal values"):
        perfusion_w_per_m3_k("Feather")
    with pytest.raises(OutsideModelError, match="makes is not known"):
        tissue_layer("Cartilage", 1e-3)
    with pytest.raises(OutsideModelError, match="stays still"):
        air_gap_layer(0.05)
    with pytest.raises(OutsideModelError, match="emissivity"):
        air_gap_layer(0.001, emissivities=(0.0, 0.9))
