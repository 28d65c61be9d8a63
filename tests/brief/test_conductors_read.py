"""Every kind of conductor as the reader leaves it, with what wins over what."""

import pytest

from brief.base_brief import ELASTOMER, THREAD, TUBE, brief_with
from loopwright.brief.records import (
    CoaxialLineRequest,
    ElastomerStripRequest,
    FilmRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    StretchPoint,
    ThreadRequest,
)
from loopwright.brief.told import told
from loopwright.conductors import RoundWire, cross_section_of, resistance_ohm_per_m
from loopwright.conductors.coaxial_line import generic_cables, line_constants
from loopwright.conductors.dressing import cable_of
from loopwright.ground.sources import Flag

PRINT = {"kind": "printed strip", "width": "5 mm", "thickness": "20 um"}


def conductor(**keys):
    return brief_with(conductor=keys).conductor


def test_liquid_metal():
    tube = conductor(**TUBE)
    assert isinstance(tube, LiquidMetalTubeRequest)
    assert (tube.material, tube.conductivity_s_per_m, tube.bore_m) == ("eutectic gallium-indium", 3.4e6, 0.4e-3)
    assert tube.wall == FilmRequest(material="silicone", thickness_m=0.2e-3)
    assert tube.encapsulation[0].t2_star_s == 0.02
    other = conductor(**{**TUBE, "material": "eutectic gallium-indium-tin"})
    assert other.conductivity_s_per_m == 3.46e6


def test_a_tube_makes_room_for_its_wall_where_it_is_crossed():
    thick = {**TUBE, "bore": "1 mm", "wall": {"material": "silicone", "thickness": "0.5 mm"}}
    assert brief_with(conductor=thick).array.tiling.crossing_separation_m == pytest.approx(2.3e-3)
    assert brief_with(conductor=THREAD).array.tiling.crossing_separation_m == pytest.approx(1.8e-3)


def test_an_elastomer():
    strip = conductor(**ELASTOMER)
    assert isinstance(strip, ElastomerStripRequest)
    assert (strip.material, strip.conductivity_s_per_m, strip.stretch) == ("given", 1e5, 0.2)
    assert strip.resistance_against_stretch[1] == StretchPoint(stretch=0.3, ratio=3.0)
    assert cross_section_of(strip).resistance_ratio == pytest.approx(2.2)


def test_an_elastomer_by_name():
    named = {key: value for key, value in ELASTOMER.items() if key != "conductivity"}
    assert conductor(**named, material="silver flake elastomer").conductivity_s_per_m == 7.4e4


def test_an_elastomer_without_a_table_keeps_its_volume_and_the_dossier_says_so():
    brief = brief_with(conductor={key: value for key, value in ELASTOMER.items() if "against" not in key})
    assert cross_section_of(brief.conductor).resistance_ratio == pytest.approx(1.44)
    (used,) = [one for one in brief.defaults_used if one.field == "conductor.resistance_against_stretch"]
    assert used.source.flag is Flag.COMPUTED
    assert "(1 + stretch)^2" in used.source.where


def test_a_thread():
    thread = conductor(**THREAD)
    assert isinstance(thread, ThreadRequest)
    assert (thread.thread_resistance_ohm_per_m, thread.linear_density_kg_per_m) == (8.0, 0.2e-3)
    section = cross_section_of(thread)
    assert section.helix.diameter_m == pytest.approx(1.2e-3)
    assert section.length_ratio == section.helix.length_ratio > 2
    straight = conductor(kind="thread", outer_diameter="0.5 mm", thread_resistance="20 ohm/m", length_ratio="1.15")
    assert resistance_ohm_per_m(cross_section_of(straight), 127.7e6) == pytest.approx(23.0)


def test_an_ink_by_name():
    print_ = conductor(**PRINT, ink="Silver flake ink")
    assert isinstance(print_, PrintedStripRequest)
    assert (print_.material, print_.conductivity_s_per_m) == ("silver flake ink", 2e6)


@pytest.mark.parametrize(
    ("measured", "sigma"),
    [({"conductivity": "4 MS/m"}, 4e6), ({"sheet_resistance": "12.5 mohm"}, 1 / (12.5e-3 * 20e-6))],
)
def test_what_was_measured_wins_over_the_ink(measured, sigma):
    print_ = conductor(**PRINT, ink="silver flake ink", **measured)
    assert print_.material == "silver flake ink"
    assert print_.conductivity_s_per_m == pytest.approx(sigma, rel=1e-12)
    alone = conductor(**PRINT, **measured)
    assert (alone.material, alone.conductivity_s_per_m) == ("given", print_.conductivity_s_per_m)


@pytest.mark.parametrize(
    "keys",
    [
        {"kind": "round wire", "wire_diameter": "0.5 mm"},
        {"kind": "flat strip", "width": "5 mm", "thickness": "35 um"},
        {**PRINT, "ink": "silver flake ink"},
        TUBE,
        ELASTOMER,
        THREAD,
    ],
    ids=lambda keys: keys["kind"],
)
def test_a_measured_resistance_wins_over_everything(keys):
    section = cross_section_of(conductor(**keys, measured_resistance="2.4 ohm/m"))
    assert resistance_ohm_per_m(section, 127.7e6) == 2.4
    assert resistance_ohm_per_m(cross_section_of(conductor(**keys)), 127.7e6) != 2.4


@pytest.mark.parametrize("text", ["20 AWG", "AWG 20", "20awg", "0.8118209704 mm"])
def test_wire_by_gauge(text):
    assert conductor(kind="round wire", wire_diameter=text).wire_diameter_m == pytest.approx(0.81182e-3, rel=1e-5)


def test_films_are_named_as_the_table_names_them():
    film = {"thickness": "50 um", "width": "8 mm"}
    strip = conductor(**PRINT, ink="silver flake ink", substrate=[{"material": "pet", **film}])
    assert strip.substrate == (FilmRequest(material="PET", thickness_m=50e-6, width_m=8e-3),)
    assert conductor(**THREAD).substrate[0].material == "Own cloth"


@pytest.mark.parametrize("keys", [TUBE, ELASTOMER, THREAD], ids=lambda keys: keys["kind"])
def test_every_key_is_told_back_as_it_was_written(keys):
    brief = brief_with(conductor=keys)
    said = {line.field: line.value for line in told(brief)}
    again = {key: said[f"conductor.{key}"] if isinstance(value, str) else value for key, value in keys.items()}
    assert brief_with(conductor=again).canonical() == brief.canonical()
    assert all(not field.endswith(("_m", "_m2", "_s", "_ohm")) for field in said)


def test_films_are_told_back():
    said = {line.field: line.value for line in told(brief_with(conductor=TUBE))}
    assert said["conductor.wall.material"] == "silicone"
    assert said["conductor.encapsulation[1].area"] == "900 cm^2"
    assert said["conductor.encapsulation[1].t2_star"] == "20 ms"


def test_films_change_the_canonical_text():
    film = {"material": "PET", "thickness": "50 um", "width": "8 mm"}
    texts = {
        brief_with(**change).canonical()
        for change in ({}, {"conductor__substrate": [film]}, {"conductor__encapsulation": [film]})
    }
    assert len(texts) == 3


COAXIAL = {"kind": "coaxial line", "shield_diameter": "1.7 mm"}


def test_a_cable_of_the_table_has_its_numbers():
    name = "75 ohm 2.0 mm fluoropolymer"
    line = conductor(kind="coaxial line", cable=name)
    assert isinstance(line, CoaxialLineRequest)
    assert cable_of(line) == generic_cables()[name]
    # The outside of the shield: its diameter, and twice the resistance of a smooth one.
    section = cross_section_of(line)
    smooth = RoundWire(diameter_m=2e-3, conductivity_s_per_m=5.8e7)
    assert resistance_ohm_per_m(section, 128e6) == pytest.approx(2 * resistance_ohm_per_m(smooth, 128e6), rel=0.01)
    assert (line.capacitor_q, line.other_series_resistance_ohm) == (200.0, 0.0)


def test_a_coaxial_line_by_data_sheet_or_by_dimensions():
    sheet = {
        "characteristic_impedance": "75 ohm",
        "velocity_factor": "0.7",
        "attenuation": "0.3 dB/m",
        "attenuation_frequency": "200 MHz",
    }
    constants = line_constants(cable_of(conductor(**COAXIAL, **sheet)), 50e6)
    assert constants.characteristic_ohm == pytest.approx(75)
    assert constants.loss_db_per_m == pytest.approx(0.15)
    made = {"inner_diameter": "0.5 mm", "dielectric_diameter": "1.5 mm", "permittivity": "2", "loss_tangent": "0"}
    constants = line_constants(cable_of(conductor(**COAXIAL, **made)), 1e9)
    # 59.96 ohm ln 3 / sqrt 2, and a little for the skin.
    assert constants.characteristic_ohm.real == pytest.approx(46.58, rel=0.01)
