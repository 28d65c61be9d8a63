"""Exactly the methods that a brief makes use of, no more and no fewer."""

import pytest

from brief.base_brief import HEAT, TRANSMIT, TRANSMITTING, brief_with
from loopwright.brief import read_brief
from loopwright.dossier import METHODS, methods_of

ALWAYS = {
    "proton frequency",
    "moment method",
    "generalised minimal residuals",
    "reciprocity",
    "thermal noise",
    "optimum combination",
}

BRIEF = """
title: invented
scanner: {{field: 3 T, nucleus: {nucleus}}}
body: {{{body}, voxel: 10 mm}}
array:
  elements:
    - {{name: A1, shape: circle, diameter: 80 mm, centre: [0 mm, -120 mm, 0 mm], normal: [0, -1, 0], gaps: 4}}
    - {{name: A2, shape: circle, diameter: 80 mm, centre: [0 mm, 120 mm, 0 mm], normal: [0, 1, 0], gaps: 4}}
conductor: {{kind: round wire, wire_diameter: 1.5 mm}}
imaging: {{voxel_volume: 8 mm^3, accelerations: [{accelerations}]}}
"""

GEL = "{name: gel, permittivity: 78, conductivity: 0.6 S/m}"
OF_MUSCLE = "shape: sphere, radius: 90 mm, material: Muscle"
SPHERE = f"shape: sphere, radius: 90 mm, material: {GEL}"
LAYERED = f"{SPHERE}, layers: [{{thickness: 20 mm, material: Muscle}}]"
FACTOR_2 = "{name: two, factors: [2], directions: [x], field_of_view: [240 mm]}"
SHIFTED = "{kind: shifted, name: s, factors: [1, 2], directions: [x, y], field_of_view: [240 mm, 240 mm], shift: 1}"
SLICES = (
    "{kind: simultaneous slices, name: m, slices: 2, normal: z, slice_distance: 40 mm, direction: x, "
    "field_of_view: 240 mm}"
)


@pytest.mark.parametrize(
    ("body", "accelerations", "nucleus", "further"),
    [
        (SPHERE, "", "1H", {"ultimate SNR"}),
        (SPHERE, FACTOR_2, "1H", {"ultimate SNR", "geometry factor"}),
        (SPHERE, "", "31P", {"ultimate SNR", "frequency ratios of nuclei"}),
        (SPHERE, SHIFTED, "1H", {"ultimate SNR", "geometry factor", "shifted sampling"}),
        (SPHERE, SLICES, "1H", {"ultimate SNR", "geometry factor", "simultaneous slices"}),
        (OF_MUSCLE, "", "1H", {"ultimate SNR", "tissue dispersion"}),
        (LAYERED, "", "1H", {"tissue dispersion"}),
        (LAYERED, FACTOR_2, "1H", {"tissue dispersion", "geometry factor"}),
        ("shape: trunk, age: 5 years", "", "1H", {"tissue dispersion", "stylised figure"}),
        ("shape: head, age: 5 years", "", "1H", {"tissue dispersion", "stylised figure", "head circumference"}),
        ("shape: head, age: 10 years", "", "1H", {"tissue dispersion", "stylised figure"}),
    ],
)
def test_a_brief_cites_what_it_needs(body, accelerations, nucleus, further):
    brief = read_brief(BRIEF.format(body=body, accelerations=accelerations, nucleus=nucleus), "invented.yaml")
    assert set(methods_of(brief)) == ALWAYS | further


def test_methods_come_in_the_order_of_the_job_and_once():
    names = [method.name for method in METHODS]
    assert len(names) == len(set(names))
    brief = read_brief(BRIEF.format(body=LAYERED, accelerations=FACTOR_2, nucleus="1H"), "invented.yaml")
    assert list(methods_of(brief)) == [name for name in names if name in methods_of(brief)]


def test_an_ellipsoid_of_equal_axes_is_a_sphere():
    ball = f"shape: ellipsoid, semi_axes: [90 mm, 90 mm, 90 mm], material: {GEL}"
    egg = ball.replace("90 mm]", "80 mm]")
    found = [
        set(methods_of(read_brief(BRIEF.format(body=body, accelerations="", nucleus="1H"), "invented.yaml")))
        for body in (ball, egg)
    ]
    assert found == [ALWAYS | {"ultimate SNR"}, ALWAYS]


def test_a_source_shell_cites_its_own():
    text = BRIEF.format(body=OF_MUSCLE, accelerations="", nucleus="1H").replace(
        "imaging: {", "imaging: {ultimate: {kind: source shell}, "
    )
    methods = set(methods_of(read_brief(text, "invented.yaml")))
    assert {"ultimate SNR", "ultimate SNR from a source shell"} <= methods


def test_a_sphere_without_conduction_has_no_ultimate():
    """The reader refuses such a sphere; a record made in Python may still hold one."""
    brief = read_brief(BRIEF.format(body=SPHERE, accelerations="", nucleus="1H"), "invented.yaml")
    oil = brief.body.material.model_copy(update={"sigma_s_per_m": 0.0})
    lossless = brief.model_copy(update={"body": brief.body.model_copy(update={"material": oil})})
    assert set(methods_of(lossless)) == ALWAYS


CLOTH = "substrate: [{material: PTFE, thickness: 50 um, width: 8 mm}]"
STRAIGHT = "{kind: thread, outer_diameter: 1.5 mm, thread_resistance: 8 ohm/m"
SPRUNG = f"{STRAIGHT}, coil_pitch: 2 mm, thread_diameter: 0.3 mm"


@pytest.mark.parametrize(
    ("conductor", "further"),
    [
        (f"{STRAIGHT}}}", set()),
        (f"{SPRUNG}}}", {"sprung thread"}),
        (f"{SPRUNG}, {CLOTH}}}", {"sprung thread", "materials in short-echo images"}),
    ],
)
def test_conductors_cite_what_they_need(conductor, further):
    text = BRIEF.format(body=LAYERED, accelerations="", nucleus="1H")
    brief = read_brief(text.replace("{kind: round wire, wire_diameter: 1.5 mm}", conductor), "invented.yaml")
    assert set(methods_of(brief)) == ALWAYS | {"tissue dispersion"} | further


def test_transmission_and_heat_cite_what_they_are_held_against():
    plain = brief_with(circuit=TRANSMITTING["circuit"])
    sent = brief_with(circuit=TRANSMITTING["circuit"], transmit=TRANSMIT)
    warm = brief_with(circuit=TRANSMITTING["circuit"], transmit=TRANSMIT, heat=HEAT)
    further = {"averages over ten grams", "limits of SAR"}
    assert set(methods_of(sent)) - set(methods_of(plain)) == further
    assert set(methods_of(warm)) - set(methods_of(sent)) == {"heat in tissue and layers"}
