"""Patients in a brief: ages in words, poses in degrees, and the bounds of the fit."""

from math import radians

import pytest

from brief.base_brief import brief_with
from loopwright.bodies.patients.targets import aims
from loopwright.brief.records import AgeAfterTerm, BodyMeasures, GestationalAge
from loopwright.ground.errors import BriefError, OutsideModelError

PATIENT = {"shape": "patient", "sex": "female", "age": "5 years", "part": "head", "voxel": "5 mm"}


def read(**changed):
    return brief_with(body={**PATIENT, **changed}).body


@pytest.mark.parametrize(
    ("text", "age"),
    [
        ("newborn", AgeAfterTerm(age_years=0)),
        ("6 months", AgeAfterTerm(age_years=0.5)),
        ("4.5 years", AgeAfterTerm(age_years=4.5)),
        ("30 weeks of gestation", GestationalAge(gestation_weeks=30)),
    ],
)
def test_ages_are_read_in_words(text, age):
    assert read(age=text).age == age


@pytest.mark.parametrize("text", ["25 weeks of gestation", "5", "101 years", "5 months of gestation", "-1 years"])
def test_other_ages_are_refused(text):
    with pytest.raises(BriefError, match=r"body\.age"):
        read(age=text)


def test_angles_are_degrees_and_what_is_not_written_is_straight():
    pose = read(pose={"elbow_bend": "90 deg"}).pose
    assert pose.elbow_bend_rad == pytest.approx(radians(90))
    assert (pose.knee_bend_rad, pose.arms) == (0.0, "down")


def test_the_brief_refuses_the_measures_that_the_fit_would():
    with pytest.raises(BriefError, match="a mass of 80 kg"):
        read(measures={"mass": "80 kg"})
    with pytest.raises(OutsideModelError, match="mass 80 kg is"):
        aims("female", AgeAfterTerm(age_years=5.0), BodyMeasures(mass_kg=80.0))
    assert read(measures={"mass": "21 kg"}).measures.mass_kg == 21.0
