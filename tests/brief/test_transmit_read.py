"""Transmission, heat and limits of a brief: read in SI units, every default with its source, and told back."""

import math

import pytest

from brief.base_brief import BASE, INTERFACE, LIMITS, TRANSMIT, TRANSMITTING, brief_with, changed, text_of
from loopwright.brief import read_brief
from loopwright.brief.records import (
    BirdcageRequest,
    HeatLayerRequest,
    IdealisedResonatorRequest,
    PeakLevel,
    PulsesLevel,
    RmsLevel,
    SarLevel,
    SphereRegion,
)
from loopwright.brief.told import told
from loopwright.conductors import FlatStrip
from loopwright.fields.transmit.birdcage import Birdcage, Shield
from loopwright.ground.errors import BriefError, OutsideModelError
from loopwright.ground.sources import Flag

CIRCUIT = {"wiring": "capacitive match"}


def transmitting(**keys):
    return brief_with(circuit=CIRCUIT, transmit=keys).transmit


def test_a_brief_without_them_says_what_it_said_before():
    brief = brief_with()
    assert (brief.transmit, brief.heat, brief.limits) == (None, None, ())
    assert not {"transmit", "heat", "limits"} & {used.field.partition(".")[0] for used in brief.defaults_used}
    assert not any(word in brief.canonical() for word in ('"transmit"', '"heat"', '"limits"'))


def test_everything_of_the_transmission_is_read_in_si_units():
    transmit = brief_with(**TRANSMITTING).transmit
    assert transmit.resonator == BirdcageRequest(
        radius_m=0.31,
        length_m=0.48,
        rungs=16,
        conductor_width_m=0.03,
        shield_radius_m=0.34,
        shield_length_m=1.2,
        capacitors_in="rungs",
    )
    assert transmit.middle_m == (0.0, 0.005, 0.04)
    assert isinstance(transmit.level, PulsesLevel)
    excitation, refocusing = transmit.level.pulses
    assert (excitation.flip_angle_rad, excitation.peak_b1_t, excitation.count) == (pytest.approx(math.pi / 2), None, 1)
    assert (excitation.time_bandwidth, excitation.duration_s) == (4, 2e-3)
    assert (refocusing.flip_angle_rad, refocusing.peak_b1_t, refocusing.count) == (None, 12e-6, 16)
    assert (transmit.level.repetition_time_s, transmit.duration_s) == (0.5, 900)
    assert (transmit.scanner_limits.largest_b1_rms_t, transmit.scanner_limits.operating_mode) == (3.2e-6, "first level")
    assert isinstance(transmit.region, SphereRegion)
    assert (transmit.worst_states, transmit.patient_mass_kg) == (4, 20)
    assert (transmit.wearing, transmit.stretch) == (("folded", "stretched"), 0.15)


def test_nothing_has_to_be_written_and_every_default_has_a_source():
    brief = brief_with(circuit=CIRCUIT, transmit={}, heat={})
    transmit = brief.transmit
    assert transmit.resonator == IdealisedResonatorRequest(radius_m=0.3, length_m=0.5)
    assert transmit.level == RmsLevel(b1_rms_t=3e-6, peak_b1_t=20e-6)
    assert (transmit.middle_m, transmit.region, transmit.patient_mass_kg) == (None, None, None)
    assert (transmit.duration_s, transmit.worst_states, transmit.wearing) == (3600, 6, ())
    used = {one.field: one.source for one in brief.defaults_used}
    assert {"transmit.resonator.radius", "transmit.level.b1_rms", "heat.to_skin", "heat.tissue.fat"} <= set(used)
    mine = [source for field, source in used.items() if field.startswith(("transmit.", "heat."))]
    assert all(source.where for source in mine)
    assert {source.flag for source in mine} <= {Flag.COMMON_PRACTICE, Flag.MEMORY, Flag.ASKED}


def test_the_birdcage_of_the_defaults_is_one_that_can_be_solved():
    """What the brief lets pass its wires can show; a millimetre less between strips and shield neither takes."""
    asked = transmitting(resonator={"kind": "birdcage"}).resonator
    section = FlatStrip(width_m=asked.conductor_width_m, thickness_m=1e-4, conductivity_s_per_m=5.8e7)
    made = {"radius_m": asked.radius_m, "length_m": asked.length_m, "rungs": asked.rungs, "section": section}
    length_m = asked.shield_length_m
    Birdcage(**made, shield=Shield(radius_m=asked.shield_radius_m, length_m=length_m), capacitor_q=1000.0)
    with pytest.raises(OutsideModelError, match="by the width"):
        Birdcage(**made, shield=Shield(radius_m=asked.shield_radius_m - 1e-3, length_m=length_m), capacitor_q=1000.0)
    with pytest.raises(BriefError, match="off the strips"):
        transmitting(resonator={"kind": "birdcage", "shield_radius": "339 mm"})


def test_a_level_by_duty_may_reach_what_the_scanner_allows():
    level = {"kind": "peak and duty", "peak_b1": "20 uT", "duty": "0.0256"}  # 3.2 uT, by a root
    assert transmitting(level=level, scanner_limits={"largest_b1_rms": "3.2 uT"}).level.duty == 0.0256


def test_a_body_may_reach_past_one_end_of_the_resonator():
    assert transmitting(middle=["0 mm", "0 mm", "-330 mm"]).middle_m[2] == -0.33


def test_levels_are_told_in_four_ways():
    peak = transmitting(level={"kind": "peak and duty", "peak_b1": "15 uT", "duty": "0.04"}).level
    assert peak == PeakLevel(peak_b1_t=15e-6, duty=0.04)
    sar = transmitting(level={"kind": "whole-body SAR", "sar": "2 W/kg"}, patient_mass="20 kg").level
    assert sar == SarLevel(sar_w_per_kg=2, peak_b1_t=20e-6)
    assert transmitting(level={"kind": "b1 rms", "b1_rms": "2 uT", "peak_b1": "9 uT"}).level.peak_b1_t == 9e-6


def test_the_peak_that_is_not_written_is_that_of_the_circuits_states():
    brief = brief_with(circuit={**CIRCUIT, "transmit_field": "13.7 uT"}, transmit={})
    assert brief.transmit.level.peak_b1_t == 13.7e-6
    used = {one.field: one.source for one in brief.defaults_used}
    assert "circuit.transmit_field" in used["transmit.level.peak_b1"].where


def test_a_patient_brings_the_mass_along():
    level = {"kind": "whole-body SAR", "sar": "2 W/kg"}
    patient = {"shape": "patient", "sex": "female", "age": "5 years", "part": "chest", "voxel": "8 mm"}
    tiling = {
        **BASE["array"]["tiling"], "count": "7", "span": "patch", "size": "60 mm", "overlap": "0.76",
    }  # fmt: skip
    kept = changed(BASE, body=patient, array={"tiling": tiling}, circuit=CIRCUIT, transmit={"level": level})
    assert read_brief(text_of(kept), "patient.yaml").transmit.patient_mass_kg is None
    with pytest.raises(BriefError, match="patient_mass"):
        transmitting(level=level)


@pytest.mark.parametrize(
    ("carrier", "worn"),
    [
        (None, ()),
        ({"kind": "film"}, ("folded", "wet", "inside out")),
        ({"kind": "stretching"}, ("folded", "stretched", "wet", "inside out")),
    ],
)
def test_how_it_may_be_worn_follows_from_the_carrier(carrier, worn):
    tiling = {**BASE["array"]["tiling"], "count": "4", "span": "patch", "size": "40 mm"}
    if carrier == {"kind": "film"}:
        del tiling["stand_off"]
        carrier = {**carrier, "padding": [{"name": "foam", "thickness": "8 mm"}]}
    array = {"tiling": tiling} | ({"carrier": carrier} if carrier else {})
    assert brief_with(array=array, circuit=CIRCUIT, transmit={}).transmit.wearing == worn
    assert brief_with(array=array, circuit=CIRCUIT, transmit={"wearing": ["wet"]}).transmit.wearing == ("wet",)


def test_what_is_written_twice_has_to_agree():
    ways = {"circuit": CIRCUIT, "interface": INTERFACE, "transmit__scanner_limits": {"largest_b1_rms": "2.9 uT"}}
    with pytest.raises(BriefError, match=r"2\.9 uT, in `interface` 3\.2 uT"):
        brief_with(**ways, transmit__level={"kind": "b1 rms", "b1_rms": "1 uT"})
    alike = {**ways, "transmit__scanner_limits": {"largest_b1_rms": "3.2 uT"}}
    assert brief_with(**alike).transmit.scanner_limits.largest_b1_rms_t == 3.2e-6


def test_the_scanners_largest_field_may_stand_at_its_plugs():
    with pytest.raises(BriefError, match="the largest of the scanner"):
        brief_with(circuit=CIRCUIT, interface=INTERFACE, transmit={"level": {"kind": "b1 rms", "b1_rms": "3.3 uT"}})


def test_everything_of_the_heat_is_read_in_si_units():
    heat = brief_with(**TRANSMITTING).heat
    assert heat.ambient_temperature_k == pytest.approx(299.15)
    assert (heat.airflow, heat.cover, heat.probes, heat.part_size) == ("gentle", (), 6, "1111")
    assert heat.to_skin == (
        HeatLayerRequest(material="polyimide", thickness_m=50e-6),
        HeatLayerRequest(material="polyurethane foam"),
    )
    assert (heat.tissue.skin_m, heat.tissue.fat_m) == (1.5e-3, 8e-3)
    assert heat.core_temperature_k == pytest.approx(310.15)
    assert heat.preamplifier_power_w == 0.12
    assert [(one.part, one.size) for one in heat.part_sizes] == [("C trap 1", "0805")]


def test_the_rms_field_that_is_not_written_is_the_largest_of_the_scanner():
    assert brief_with(circuit=CIRCUIT, interface=INTERFACE, transmit={}).transmit.level.b1_rms_t == 3.2e-6


def test_heat_of_preamplifiers_follows_from_what_they_draw():
    drawn = brief_with(circuit=CIRCUIT, interface=INTERFACE, transmit={}, heat={})
    assert drawn.heat.preamplifier_power_w == pytest.approx(10 * 0.012)
    assert brief_with(circuit=CIRCUIT, transmit={}, heat={}).heat.preamplifier_power_w == 0.25


def test_sizes_name_parts_of_ones_own_wiring():
    gaps = [
        {"name": f"C{gap}", "part": "capacitor", "between": [f"gap {gap}", f"return {gap}"], "value": value}
        for gap, value in enumerate(("free", "free", "30 pF", "30 pF"), start=1)
    ]
    own = {"wiring": "own", "receiver": ["gap 1", "return 1"], "parts": gaps}
    kept = brief_with(circuit=own, transmit={}, heat={"part_sizes": [{"part": "C4", "size": "0603"}]}).heat
    assert kept.part_sizes[0].size == "0603"
    with pytest.raises(BriefError, match="C9, which no part is called"):
        brief_with(circuit=own, transmit={}, heat={"part_sizes": [{"part": "C9", "size": "0603"}]})


def test_limits_are_read_as_they_are_printed():
    first, second = brief_with(limits=LIMITS).limits
    assert (first.name, first.value, first.unit, first.quantity, first.kind) == (
        "conductor to patient",
        5.0,
        "mm",
        None,
        None,
    )
    assert (second.value, second.unit, second.kind) == (0.4, "kg", "at most")
    bare = {"name": "least local B1+", "value": "0.95", "edition": "common practice", "why": "stricter"}
    assert brief_with(limits=[bare]).limits[0].unit == "1"


def test_they_are_told_back_in_their_own_keys():
    lines = {entry.field: entry.value for entry in told(brief_with(**TRANSMITTING))}
    assert lines["transmit.resonator.shield_radius"] == "340 mm"
    assert lines["transmit.level.pulses[1].flip_angle"] == "90 deg"
    assert lines["transmit.level.pulses[2].peak_b1"] == "12 uT"
    assert lines["transmit.wearing"] == "[folded, stretched]"
    assert lines["heat.ambient_temperature"] == "26 degC"
    assert lines["heat.preamplifier_power"] == "120 mW"
    assert lines["limits[1].value"] == "5 mm"
    sar = brief_with(
        circuit=CIRCUIT, transmit={"level": {"kind": "whole-body SAR", "sar": "2 W/kg"}, "patient_mass": "9 kg"}
    )
    assert {entry.field: entry.value for entry in told(sar)}["transmit.level.sar"] == "2 W/kg"


@pytest.mark.parametrize(
    ("topic", "value"), [("transmit", {**TRANSMIT, "duration": "16 min"}), ("heat", {}), ("limits", LIMITS[:1])]
)
def test_each_changes_the_canonical_text(topic, value):
    assert brief_with(**TRANSMITTING).canonical() != brief_with(**{**TRANSMITTING, topic: value}).canonical()
