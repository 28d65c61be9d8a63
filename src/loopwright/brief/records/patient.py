"""The patient of a stated sex and age, and the tape measures taken of the one who is meant."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record
from loopwright.ground.growth import years_after_term

__all__ = [
    "AgeAfterTerm",
    "BodyMeasures",
    "GestationalAge",
    "PatientAge",
    "PatientArms",
    "PatientPart",
    "PatientRequest",
    "PoseRequest",
    "Sex",
    "TissueWater",
    "age_years_of",
]

Sex = Literal["female", "male"]
PatientPart = Literal["whole body", "head", "neck", "chest", "trunk", "knee", "elbow", "wrist", "hand"]
PatientArms = Literal["down", "up"]


class AgeAfterTerm(Record):
    """Time since birth of one born at term, in years; from the age of the grown-up rows on nothing changes."""

    age_years: Annotated[float, Field(ge=0, le=100)]


class GestationalAge(Record):
    """Weeks since the last menstruation at which one born early, or at term, is looked at, in weeks."""

    gestation_weeks: Annotated[float, Field(ge=26, le=40)]


PatientAge = AgeAfterTerm | GestationalAge


def age_years_of(age: PatientAge) -> float:
    """Years after term: below zero for one born early. [a]"""
    return age.age_years if isinstance(age, AgeAfterTerm) else years_after_term(age.gestation_weeks)


class BodyMeasures(Record):
    """What a tape, a stadiometer and a balance say of one patient; None takes the middle of the sex and age.

    Attributes
    ----------
    length_m
        Crown to heel: lying length of an infant, standing height of all others. [m]
    mass_kg
        Mass without clothes. [kg]
    head_circumference_m
        Largest circumference over brow and back of the head, ears left out. [m]
    head_breadth_over_length
        Largest breadth of the head over its largest length, the cephalic index as a fraction.
    chest_circumference_m, abdomen_circumference_m
        Round the trunk at the nipples, and at the navel. [m]
    thigh_circumference_m, knee_circumference_m, wrist_circumference_m
        Round the thigh halfway from hip to knee, round the middle of the knee, round the narrowest wrist. [m]
    """

    length_m: Positive | None = None
    mass_kg: Positive | None = None
    head_circumference_m: Positive | None = None
    head_breadth_over_length: Annotated[float, Field(ge=0.6, le=1.0)] | None = None
    chest_circumference_m: Positive | None = None
    abdomen_circumference_m: Positive | None = None
    thigh_circumference_m: Positive | None = None
    knee_circumference_m: Positive | None = None
    wrist_circumference_m: Positive | None = None


class PoseRequest(Record):
    """How the patient lies: on the back, arms beside the trunk or beside the head, one side's joints bent.

    Attributes
    ----------
    arms
        Whether the arms lie beside the trunk or reach past the head.
    knee_bend_rad, elbow_bend_rad, wrist_bend_rad
        Bend of the joint from straight; of the wrist towards the palm. [rad]
    """

    arms: PatientArms = "down"
    knee_bend_rad: Annotated[float, Field(ge=0, le=2.3)] = 0.0
    elbow_bend_rad: Annotated[float, Field(ge=0, le=2.3)] = 0.0
    wrist_bend_rad: Annotated[float, Field(ge=-1.31, le=1.31)] = 0.0


class TissueWater(Record):
    """Water in one tissue of an adult and of this patient, as fractions of its mass."""

    tissue: str
    adult: Annotated[float, Field(gt=0, lt=1)]
    patient: Annotated[float, Field(gt=0, lt=1)]


class PatientRequest(Record):
    """A body from the family of patients, whole or one part of it with enough body around.

    Attributes
    ----------
    sex, age
        Of the patient.
    measures
        What was measured of the one who is meant.
    part
        Whole body, or the part that is cut out.
    margin_m
        Body kept past the part on either side. [m]
    pose
        Arms and bent joints.
    hydration
        Water of tissues that differ from those of adults; empty: all as in adults.
    voxel_m
        Edge of the voxels. [m]
    """

    kind: Literal["patient"] = "patient"
    sex: Sex
    age: PatientAge
    measures: BodyMeasures = BodyMeasures()
    part: PatientPart
    margin_m: Annotated[float, Field(ge=0)] = 0.1
    pose: PoseRequest = PoseRequest()
    hydration: tuple[TissueWater, ...] = ()
    voxel_m: Positive
