"""Patients of the acceptance: every age and both sexes in the middle of the table, fitted once for all tests."""

from functools import cache

from loopwright.bodies.patients import FittedSurface, patient_surface
from loopwright.brief.records import AgeAfterTerm, BodyMeasures, GestationalAge, PatientAge, Sex

AGES: dict[str, PatientAge] = {
    "26 weeks": GestationalAge(gestation_weeks=26),
    "30 weeks": GestationalAge(gestation_weeks=30),
    "34 weeks": GestationalAge(gestation_weeks=34),
    "term": AgeAfterTerm(age_years=0),
    "6 months": AgeAfterTerm(age_years=0.5),
    "1 year": AgeAfterTerm(age_years=1),
    "3 years": AgeAfterTerm(age_years=3),
    "5 years": AgeAfterTerm(age_years=5),
    "10 years": AgeAfterTerm(age_years=10),
    "15 years": AgeAfterTerm(age_years=15),
    "adult": AgeAfterTerm(age_years=20),
}
SEXES: tuple[Sex, ...] = ("female", "male")
EVERYBODY = [(sex, age) for age in AGES for sex in SEXES]

#: Length [m], mass [kg] and surface area [m2] of the reference people of [icrp2002]; all from memory.
REFERENCE = {
    ("female", "term"): (0.51, 3.5, 0.24),
    ("male", "term"): (0.51, 3.5, 0.24),
    ("female", "1 year"): (0.76, 10.0, 0.48),
    ("male", "1 year"): (0.76, 10.0, 0.48),
    ("female", "5 years"): (1.09, 19.0, 0.78),
    ("male", "5 years"): (1.09, 19.0, 0.78),
    ("female", "10 years"): (1.38, 32.0, 1.12),
    ("male", "10 years"): (1.38, 32.0, 1.12),
    ("female", "15 years"): (1.61, 53.0, 1.55),
    ("male", "15 years"): (1.67, 56.0, 1.62),
    ("female", "adult"): (1.63, 60.0, 1.66),
    ("male", "adult"): (1.76, 73.0, 1.90),
}


@cache
def patient(sex: Sex, age: str) -> FittedSurface:
    """The patient in the middle of the table."""
    return patient_surface(sex, AGES[age])


@cache
def reference_patient(sex: Sex, age: str) -> FittedSurface:
    """The patient with the length and mass of the reference person."""
    length_m, mass_kg, _ = REFERENCE[sex, age]
    return patient_surface(sex, AGES[age], BodyMeasures(length_m=length_m, mass_kg=mass_kg))


def haycock_m2(length_m: float, mass_kg: float) -> float:
    """Surface area by the formula of [haycock1978], from memory: 81 people from preterm to grown-up were measured."""
    return 0.024265 * mass_kg**0.5378 * (100 * length_m) ** 0.3964
