"""A patient laid on its grid: what is refused, and what has to be said about voxels, water and frame."""

import re

import pytest

from loopwright.bodies import place, solid_of
from loopwright.brief.records import AgeAfterTerm, BodyMeasures, PatientRequest, PoseRequest, TissueWater
from loopwright.ground.errors import OutsideModelError

YEAR = AgeAfterTerm(age_years=1.0)
KNEE = PatientRequest(sex="female", age=YEAR, part="knee", voxel_m=5e-3)


def test_a_part_that_makes_too_many_voxels_is_refused_before_they_are_made():
    with pytest.raises(OutsideModelError, match=r"million voxels of 0\.3 mm, more than 20 million"):
        place(KNEE.model_copy(update={"voxel_m": 0.3e-3}), frequency_hz=128e6)


def test_voxels_that_are_coarse_for_a_slim_part_are_told():
    coarse = place(KNEE.model_copy(update={"voxel_m": 12e-3}), frequency_hz=128e6)
    assert "are coarse for a body whose least half-width" in coarse.cautions[-1]


def test_water_of_a_tissue_that_the_part_lacks_is_told_as_unused():
    waters = tuple(TissueWater(tissue=name, adult=0.75, patient=0.8) for name in ("Muscle", "Liver"))
    solid = solid_of(KNEE.model_copy(update={"hydration": waters}))
    assert "Water was given for Liver too" in solid.notes[-1]
    adult = next(caution for caution in solid.cautions if "properties of adults" in caution)
    assert "does not hold for Muscle" in adult


def test_without_given_water_nothing_is_said_about_it():
    assert not any("ater" in told for told in solid_of(KNEE).notes)


def test_a_limb_tells_how_far_its_frame_is_turned_from_the_patient():
    def degrees(solid):
        found = re.search(r"That z is (\d+) degrees from .*; the static field is taken along it", solid.notes[-1])
        return int(found[1])

    bent = KNEE.model_copy(update={"pose": PoseRequest(knee_bend_rad=1.2)})
    assert degrees(solid_of(KNEE)) < 10
    # The hip lifts the thigh by half of the bend, 34 degrees, beside what it lies turned by.
    assert degrees(solid_of(bent)) == pytest.approx(34, abs=5)


@pytest.mark.parametrize(("mass_kg", "told"), [(10.0, 0), (14.0, 1)])
def test_a_patient_much_heavier_than_the_middle_is_told_whose_fat_it_has(mass_kg, told):
    heavy = KNEE.model_copy(update={"measures": BodyMeasures(mass_kg=mass_kg)})
    assert sum("organs are those of a reference person" in one for one in solid_of(heavy).cautions) == told


@pytest.mark.parametrize(("arms", "told"), [("down", "y to the back"), ("up", "y to the front")])
def test_the_frame_of_an_arm_past_the_head_looks_the_other_way(arms, told):
    elbow = KNEE.model_copy(update={"part": "elbow", "pose": PoseRequest(arms=arms)})
    assert told in solid_of(elbow).notes[-1]
