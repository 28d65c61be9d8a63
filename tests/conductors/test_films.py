"""Films round a conductor: mass by hand, what wins over the table, what stays unknown."""

import pytest
from scipy.constants import pi

from loopwright.brief.records import (
    FilmRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
    ThreadRequest,
)
from loopwright.conductors import conducting_material, cross_section_of, film_mass_kg, stack_of
from loopwright.designs import conductor_mass_kg_per_m
from loopwright.ground.materials import ShortEcho
from loopwright.ground.sources import Flag

REST = {
    "capacitor_q": 1500.0,
    "other_series_resistance_ohm": 0.1,
    "body_temperature_k": 310.0,
    "coil_temperature_k": 293.0,
}


def strip(**films):
    return PrintedStripRequest(width_m=5e-3, thickness_m=20e-6, conductivity_s_per_m=2e6, **REST, **films)


def one(**film):
    (found,) = stack_of(strip(substrate=(FilmRequest(thickness_m=50e-6, **film),)))
    return found


def test_a_band_follows_the_conductor_and_a_sheet_does_not():
    band, sheet = one(material="polyimide", width_m=8e-3), one(material="polyimide", area_m2=0.09)
    assert film_mass_kg(band, conductor_length_m=4.0) == pytest.approx(1420 * 8e-3 * 50e-6 * 4)
    assert film_mass_kg(sheet, conductor_length_m=4.0) == pytest.approx(1420 * 0.09 * 50e-6)


def test_a_tube_weighs_its_wall_and_its_metal():
    wall = FilmRequest(material="silicone", thickness_m=0.25e-3)
    tube = LiquidMetalTubeRequest(
        bore_m=1e-3, wall=wall, material="eutectic gallium-indium", conductivity_s_per_m=3.4e6, **REST
    )
    (film,) = stack_of(tube)
    volume_m3 = pi / 4 * (1.5e-3**2 - 1e-3**2) * 4.0
    assert film_mass_kg(film, conductor_length_m=4.0) == pytest.approx(1100 * volume_m3, rel=1e-12)
    assert conductor_mass_kg_per_m(tube, cross_section_of(tube)) == pytest.approx(6250 * pi / 4 * 1e-6)


def test_a_sprung_thread_weighs_its_length():
    thread = ThreadRequest(
        outer_diameter_m=1.5e-3,
        thread_resistance_ohm_per_m=8.0,
        coil_pitch_m=1.2e-3 * pi * 3 / 4,
        thread_diameter_m=0.3e-3,
        linear_density_kg_per_m=0.2e-3,
        **REST,
    )
    assert conductor_mass_kg_per_m(thread, cross_section_of(thread)) == pytest.approx(0.2e-3 * 5 / 3)


def test_what_the_brief_knows_wins_over_the_table():
    known = one(material="PVC", width_m=8e-3).material
    asked = one(material="PVC", width_m=8e-3, eps_r=3.3, density_kg_per_m3=1250.0, t2_star_s=1e-3).material
    assert (known.values["permittivity"].value, asked.values["permittivity"].value) == (2.71, 3.3)
    assert asked.values["density"].source.flag is Flag.ASKED
    assert asked.values["loss tangent"] == known.values["loss tangent"]
    assert (known.values["T2*"].value, asked.values["T2*"].value) == (792e-6, 1e-3)


def test_a_film_that_is_said_to_be_dark_has_no_decay():
    dark = one(material="PVC", width_m=8e-3, short_echo="not seen").material
    assert dark.short_echo is ShortEcho.NOT_SEEN
    assert "T2*" not in dark.values


def test_what_nobody_told_is_not_known():
    cloth = one(material="cotton textile", area_m2=0.09)
    assert cloth.material.short_echo is ShortEcho.UNKNOWN
    assert not cloth.material.values
    assert film_mass_kg(cloth, conductor_length_m=4.0) is None
    own = one(material="own gel", area_m2=0.09, density_kg_per_m3=1000.0)
    assert film_mass_kg(own, conductor_length_m=4.0) == pytest.approx(4.5e-3)


def test_metals_have_no_hydrogen_and_prints_are_not_known():
    wire = RoundWireRequest(wire_diameter_m=1e-3, conductivity_s_per_m=5e7, **REST)
    assert conducting_material(wire).short_echo is ShortEcho.NO_HYDROGEN
    assert conducting_material(strip()).short_echo is ShortEcho.UNKNOWN


def test_order_is_from_the_inside_out():
    film = FilmRequest(material="PET", thickness_m=50e-6, width_m=8e-3)
    parts = [found.part for found in stack_of(strip(substrate=(film, film), encapsulation=(film,)))]
    assert parts == ["substrate 1", "substrate 2", "encapsulation 1"]
