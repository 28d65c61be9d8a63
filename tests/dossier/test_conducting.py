"""The conductor in words, with the room that the layout leaves it."""

import dataclasses

import numpy as np
import pytest

from loopwright.brief.records import (
    ElastomerStripRequest,
    FilmRequest,
    FlatStripRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
    ThreadRequest,
)
from loopwright.conductors import FlatStrip, cross_section_of
from loopwright.dossier.conducting import conductor_evidence
from loopwright.dossier.conductor_tables import conductor_section
from wire_arrays import dressed

COMMON = {
    "capacitor_q": 1500.0,
    "other_series_resistance_ohm": 0.1,
    "body_temperature_k": 310.15,
    "coil_temperature_k": 293.15,
}
WIRE = RoundWireRequest(wire_diameter_m=2e-3, material="silver", conductivity_s_per_m=6.3e7, **COMMON)
STRIP = FlatStripRequest(width_m=5e-3, thickness_m=35e-6, material="copper", conductivity_s_per_m=5.8e7, **COMMON)
PRINT = PrintedStripRequest(width_m=4e-3, thickness_m=20e-6, conductivity_s_per_m=8e6, **COMMON)


def circles(*heights_m):
    angle = 2 * np.pi * np.arange(24) / 24
    return [np.stack([0.04 * np.cos(angle), 0.04 * np.sin(angle), np.full(24, z)], axis=1) for z in heights_m]


def evidence(request, distance_m):
    section = FlatStrip(width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=5.8e7)
    array = dressed(circles(0.0, distance_m), section=section)
    layout = dataclasses.replace(array.layout, least_conductor_distance_m=distance_m)
    return conductor_evidence(request, dataclasses.replace(array, layout=layout), frequency_hz=123.2e6)


@pytest.mark.parametrize(
    ("request_", "name"),
    [
        (WIRE, "round wire, 2 mm across, silver, 6.30 × 10⁷ S/m"),
        (STRIP, "flat strip, 5 mm × 35 µm, copper, 5.80 × 10⁷ S/m"),
        (PRINT, "printed strip, 4 mm × 20 µm, 8.00 × 10⁶ S/m"),
    ],
)
def test_the_name_says_what_to_buy(request_, name):
    assert evidence(request_, 0.02).name == name


def test_the_room_between_conductors_is_told_in_their_own_size():
    assert "1.0 mm apart, 29 times the thickness" in evidence(STRIP, 1e-3).sentences[-1]
    assert "0.50 times the diameter of the wire, so the conductors would touch" in evidence(WIRE, 1e-3).cautions[-1]


def test_limits_of_the_wires_stand_beside_those_of_the_conductor():
    """Two loops face to face 1 mm apart run side by side closer than 5 mm of width."""
    assert any("run beside or over another" in sentence for sentence in evidence(STRIP, 1e-3).limits)
    assert not any("side by side" in sentence for sentence in evidence(STRIP, 0.02).limits)


FILM = FilmRequest(material="silicone", thickness_m=1e-3, area_m2=0.04)
TUBE = LiquidMetalTubeRequest(
    bore_m=1e-3,
    wall=FilmRequest(material="PTFE", thickness_m=0.25e-3),
    material="eutectic gallium-indium",
    conductivity_s_per_m=3.4e6,
    substrate=(FilmRequest(material="cotton textile", thickness_m=0.5e-3, area_m2=0.04), FILM),
    **COMMON,
)
INK = PRINT.model_copy(update={"material": "silver flake ink"})
ELASTOMER = ElastomerStripRequest(width_m=5e-3, thickness_m=1e-4, conductivity_s_per_m=7e4, stretch=0.2, **COMMON)
THREAD = ThreadRequest(
    outer_diameter_m=1.5e-3, thread_resistance_ohm_per_m=8.0, coil_pitch_m=2e-3, thread_diameter_m=0.3e-3, **COMMON
)


def made_of(request):
    """Evidence of two loops 20 mm apart, made of what is asked for."""
    array = dressed(circles(0.0, 0.02), section=cross_section_of(request))
    return conductor_evidence(request, array, frequency_hz=123.2e6)


def words(request):
    return " ".join(made_of(request).sentences)


@pytest.mark.parametrize(
    ("request_", "name"),
    [
        (TUBE, "liquid metal, bore of 1 mm in 0.25 mm of PTFE, eutectic gallium-indium, 3.40 × 10⁶ S/m"),
        (INK, "printed strip, 4 mm × 20 µm, silver flake ink, 8.00 × 10⁶ S/m"),
        (ELASTOMER, "elastomer strip, 5 mm × 100 µm at rest, 70000 S/m"),
        (THREAD, "thread, 1.5 mm over all, sprung with a pitch of 2 mm, 8 Ω/m of thread"),
    ],
)
def test_the_name_of_the_other_kinds(request_, name):
    assert made_of(request_).name == name


def test_a_measured_resistance_is_told_with_what_it_stands_in_for():
    measured = PRINT.model_copy(update={"measured_resistance_ohm_per_m": 3.5})
    found = made_of(measured)
    assert found.resistance_ohm_per_m == 3.5
    assert found.resistance_source == "the brief"
    assert "3.5 Ω/m stands in for the" in words(measured)
    assert "stands in" not in words(PRINT)


def test_a_measured_ink_is_told_with_what_it_stands_in_for():
    assert "8.00 × 10⁶ S/m, stands in for the 2.00 × 10⁶ S/m of silver flake ink" in words(INK)
    table = INK.model_copy(update={"conductivity_s_per_m": 2e6})
    assert "that of the table" in words(table)
    assert "measure yours (from memory, unverified)" in words(table)
    sheet = INK.model_copy(update={"sheet_resistance_ohm": 6.25e-3})
    assert "sheet resistance given, 6.25 mΩ" in words(sheet)


def test_what_limits_is_told():
    assert "1.2 skin depths thick, between" in words(PRINT)
    assert "in its skin" in words(TUBE)
    assert "1.44 times its resistance at rest" in words(ELASTOMER)
    assert "2.13 m of thread" in words(THREAD)
    assert "623 nH" in words(THREAD)


def test_what_a_short_echo_scan_sees_is_listed_with_mass_and_source():
    found = made_of(TUBE)
    assert [(line.part, line.short_echo) for line in found.parts] == [
        ("conductor", "no hydrogen"),
        ("wall of the tube", "no hydrogen"),
        ("substrate 1", "not known"),
        ("substrate 2", "seen"),
    ]
    assert found.parts[3].mass_kg == pytest.approx(1100 * 0.04 * 1e-3)
    assert found.parts[2].mass_kg is None
    assert "yunker2022" in found.parts[3].source
    assert "sees substrate 2 (silicone). Not known: substrate 1 (cotton textile)." in words(TUBE)
    assert "Films are no part of the field model" in words(TUBE)


def test_without_films_there_is_nothing_to_list():
    assert not made_of(PRINT).parts
    assert "short echo" not in words(PRINT)


def test_lengths_and_resistances_of_every_element():
    found = made_of(TUBE)
    side_m = 2 * 0.04 * np.sin(np.pi / 24)
    assert [line.element for line in found.lines] == ["E01", "E02"]
    assert found.lines[0].length_m == pytest.approx(24 * side_m)
    assert found.lines[0].resistance_ohm == pytest.approx(found.resistance_ohm_per_m * 24 * side_m)
    assert found.lines[0].direct_ohm == pytest.approx(24 * side_m / (3.4e6 * np.pi / 4 * 1e-6))
    assert found.mass_kg == pytest.approx(6250 * np.pi / 4 * 1e-6 * 48 * side_m)


@pytest.mark.parametrize("request_", [WIRE, STRIP, PRINT, TUBE, ELASTOMER, THREAD], ids=lambda request: request.kind)
def test_the_section_tells_what_is_known_of_the_kind(request_):
    section = conductor_section(made_of(request_))
    keys = {finding.key.removeprefix("conductor.") for finding in section.findings}
    assert {"name", "resistance_ohm_per_m", "equivalent_radius_m"} <= keys
    of_metal = {"direct_resistance_ohm_per_m", "skin_depth_m", "thickness_over_depth"}
    assert keys & of_metal == (set() if request_ is THREAD else of_metal)
    assert [table.name for table in section.tables] == [
        "conductor_lengths",
        *(("short_echo", "materials") if request_ is TUBE else ()),
    ]
    for table in section.tables:
        assert all(len(row) == len(table.columns) for row in table.rows)


def test_a_skin_depth_is_printed_in_micrometres():
    (depth,) = [f for f in conductor_section(made_of(STRIP)).findings if f.key == "conductor.skin_depth_m"]
    assert depth.text == "5.95 µm"
