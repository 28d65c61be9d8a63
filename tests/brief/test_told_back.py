"""A brief told back: under its own keys, in the words that the keys read."""

import re

import pytest
from base_brief import BASE, text_of

from geometry_files import labelled_block, nifti
from loopwright.brief import read_brief
from loopwright.brief.patient_keys import Age
from loopwright.brief.records import AgeAfterTerm, GestationalAge
from loopwright.brief.reference import reference_page
from loopwright.brief.told import told
from loopwright.brief.tree import Scalar
from loopwright.formats.geometry import FolderGeometry

SALINE = {
    "liquid": {
        "name": "saline",
        "salts": [{"salt": "sodium chloride", "concentration": "3.6 g/L"}],
        "temperature": "21 degC",
        "measured_conductivity": "0.62 S/m",
        "measured_permittivity": "76",
    }
}
PATIENT = {
    "shape": "patient",
    "sex": "female",
    "age": "1 year",
    "part": "knee",
    "voxel": "4 mm",
    "measures": {"length": "75 cm", "mass": "10 kg", "head_breadth_over_length": "0.8"},
    "pose": {"knee_bend": "30 deg"},
    "hydration": [{"tissue": "Muscle", "adult": "0.76", "patient": "0.8"}],
}
BOTTLE = {
    "shape": "bottle",
    "radius": "60 mm",
    "height": "180 mm",
    "shoulder": "40 mm",
    "wall": "2 mm",
    "voxel": "5 mm",
    "material": SALINE,
}
LOADS = {
    "diameter": "60 mm",
    "stand_off": "10 mm",
    "patients": [{"name": "knee", "body": PATIENT}],
    "phantoms": [{"name": "bottle", "body": BOTTLE}],
}


def told_of(**topics):
    return {one.field: one.value for one in told(read_brief(text_of({**BASE, **topics}), "brief.yaml"))}


def test_a_patient_is_told_in_the_words_of_the_ward():
    body = {**PATIENT, "age": "30 weeks of gestation", "measures": {"mass": "1.3 kg"}}
    lines = told_of(body=body)
    assert lines["body.age"] == "30 weeks of gestation"
    assert lines["body.measures.mass"] == "1.3 kg"
    assert lines["body.pose.knee_bend"] == "30 deg"
    assert lines["body.pose.elbow_bend"] == "0 deg"


def test_labels_are_told_in_the_form_of_their_table(tmp_path):
    (tmp_path / "a.nii").write_bytes(nifti(labelled_block()))
    body = {"shape": "labels", "voxel": "4 mm", "file": "a.nii", "tissues": {"1": "air", "2": "Muscle"}}
    text = text_of({**BASE, "body": body})
    lines = {one.field: one.value for one in told(read_brief(text, "b", geometry=FolderGeometry(tmp_path)))}
    assert (lines["body.tissues.1"], lines["body.tissues.2"]) == ("air", "Muscle")


def test_a_liquid_is_told_as_it_was_weighed():
    lines = told_of(loading_equivalence=LOADS)
    body = "loading_equivalence.phantoms[1].body"
    assert lines[f"{body}.material.liquid.salts[1].concentration"] == "3.6 g/L"
    assert lines[f"{body}.material.liquid.measured_permittivity"] == "76"
    assert lines[f"{body}.wall_permittivity"] == "2.3"


def test_every_line_stands_under_a_key_of_the_reference():
    keys = set(re.findall(r"^\| `(\w+)` \|", reference_page(), flags=re.MULTILINE)) | {"shape", "kind"}
    fields = {*told_of(body=PATIENT), *told_of(loading_equivalence=LOADS)} - {"scanner.frequency_convention"}
    words = {word for field in fields for word in re.sub(r"\[\d+\]", "", field).split(".")}
    assert words <= keys | {"liquid"} | set(BASE)


@pytest.mark.parametrize(
    ("age", "text"),
    [
        (AgeAfterTerm(age_years=0.0), "newborn"),
        (AgeAfterTerm(age_years=1.0), "1 year"),
        (AgeAfterTerm(age_years=0.5), "6 months"),
        (AgeAfterTerm(age_years=10 / 365.25), "10 days"),
        (AgeAfterTerm(age_years=2.5), "30 months"),
        (AgeAfterTerm(age_years=0.123), "0.123 years"),
        (GestationalAge(gestation_weeks=27.5), "27.5 weeks of gestation"),
    ],
)
def test_an_age_is_told_so_that_its_key_reads_it_back(age, text):
    brief = read_brief(text_of({**BASE, "body": {**PATIENT, "age": text, "measures": {}}}), "brief.yaml")
    assert brief.body.age == age
    assert {one.field: one.value for one in told(brief)}["body.age"] == text


def test_the_greatest_bends_are_read():
    bends = {"knee_bend": "115 deg", "elbow_bend": "130 deg", "wrist_bend": "-75 deg"}
    assert told_of(body={**PATIENT, "pose": bends})["body.pose.wrist_bend"] == "-75 deg"


def test_an_age_has_an_example_that_reads():
    key = Age(name="age", meaning="")
    assert key.value_of(Scalar(key.example, 1)) == AgeAfterTerm(age_years=5.0)
