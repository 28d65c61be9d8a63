"""Patient: sex, age, part, pose, tape measures, water of tissues."""

import math
from collections.abc import Iterator
from typing import get_args

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Key, Number
from loopwright.brief.parts import Part, Parts
from loopwright.brief.patient_keys import Age
from loopwright.brief.quantities import Angle, Quantity
from loopwright.brief.records import (
    MOST_VOXELS,
    BodyMeasures,
    PatientArms,
    PatientPart,
    PatientRequest,
    PoseRequest,
    Sex,
    TissueWater,
    age_years_of,
)
from loopwright.ground.figures import PATIENT_TISSUES
from loopwright.ground.growth import PLAUSIBLE, PLAUSIBLE_MASS, middle_sizes
from loopwright.ground.units import engineering_text

__all__ = ["patient_form"]

#: Volume of the box of a whole body over the cube of its length, from those of the family.
_BOX_OF_LENGTH_CUBED = 0.066


def _girth(name: str, where: str, sample: str) -> Quantity:
    return Quantity(
        name=name,
        field=f"{name}_m",
        unit="m",
        low="50 mm",
        high="2 m",
        sample=sample,
        absent=Absent.ALLOWED,
        meaning=f"Round {where}.",
    )


_MEASURES = Form(
    title="measures",
    keys=(
        Quantity(
            name="length",
            field="length_m",
            unit="m",
            low="250 mm",
            high="2.3 m",
            sample="1.1 m",
            absent=Absent.ALLOWED,
            meaning="Crown to heel: lying length of an infant, standing height of all others.",
        ),
        Quantity(
            name="mass",
            field="mass_kg",
            unit="kg",
            low="400 g",
            high="250 kg",
            sample="18 kg",
            absent=Absent.ALLOWED,
            meaning="Without clothes.",
        ),
        _girth("head_circumference", "brow and back of the head at its widest, ears left out", "51 cm"),
        Number(
            name="head_breadth_over_length",
            low=0.6,
            high=1.0,
            sample="0.8",
            absent=Absent.ALLOWED,
            meaning="Largest breadth of the head over its largest length.",
        ),
        _girth("chest_circumference", "the trunk at the nipples", "55 cm"),
        _girth("abdomen_circumference", "the trunk at the navel", "52 cm"),
        _girth("thigh_circumference", "the thigh halfway from hip to knee", "32 cm"),
        _girth("knee_circumference", "the middle of the knee", "26 cm"),
        _girth("wrist_circumference", "the narrowest wrist", "12 cm"),
    ),
    build=BodyMeasures,
    strangers={
        "height": "write `length`",
        "weight": "write `mass`",
        "head": "write `head_circumference`",
        "chest": "write `chest_circumference`",
    },
)


def _bend(joint: str, low_deg: float, high_deg: float, meaning: str) -> Angle:
    return Angle(
        name=f"{joint}_bend",
        field=f"{joint}_bend_rad",
        low_deg=low_deg,
        high_deg=high_deg,
        default=defaults.STRAIGHT,
        meaning=meaning,
    )


_POSE = Form(
    title="pose",
    keys=(
        Choice(
            name="arms",
            options=get_args(PatientArms),
            default=defaults.PATIENT_ARMS,
            meaning="Whether the arms lie beside the trunk or reach past the head.",
        ),
        _bend("knee", 0, 115, "Bend of the left knee from straight; the hip lifts it by half of that."),
        _bend("elbow", 0, 130, "Bend of the left elbow from straight."),
        _bend("wrist", -75, 75, "Bend of the left wrist towards the palm."),
    ),
    build=PoseRequest,
)

_WATER = Form(
    title="hydration",
    keys=(
        Choice(name="tissue", options=PATIENT_TISSUES, meaning="Tissue of the body."),
        Number(name="adult", low=0.01, high=0.98, sample="0.76", meaning="Water in it as a fraction of mass, adult."),
        Number(name="patient", low=0.01, high=0.98, sample="0.80", meaning="The same in this patient."),
    ),
    build=TissueWater,
)


def patient_form(voxel: Key) -> Form:
    """Form of a patient; ``voxel`` is the key that every body has."""
    return Form(
        title="patient",
        keys=(
            Choice(name="sex", options=get_args(Sex), meaning="Sex of the patient."),
            Age(name="age", meaning="Age of the patient, born at term unless weeks of gestation are given."),
            Choice(
                name="part",
                options=get_args(PatientPart),
                default=defaults.PATIENT_PART,
                meaning="Whole body, or the part that is cut out; knee, elbow, wrist and hand are those of the left.",
            ),
            Quantity(
                name="margin",
                field="margin_m",
                unit="m",
                low="0 mm",
                high="500 mm",
                default=defaults.PATIENT_MARGIN,
                meaning="Body kept past the part where it is cut.",
            ),
            Part(
                name="measures",
                of=_MEASURES,
                absent=Absent.ALLOWED,
                meaning="What was measured; the rest is in the middle of sex and age.",
            ),
            Part(name="pose", of=_POSE, default=defaults.NO_KEYS_OF_POSE, meaning="How the patient lies on the back."),
            Parts(
                name="hydration",
                of=_WATER,
                most=len(PATIENT_TISSUES),
                unique="tissue",
                absent=Absent.ALLOWED,
                meaning="Water of tissues as a sensitivity; left out: tissues of adults.",
            ),
            voxel,
        ),
        rules=(_measures_of_this_age, _not_too_many_voxels),
        build=PatientRequest,
        strangers={
            "arms": "write `pose:` and below it `arms`",
            "length": "write `measures:` and below it `length`",
            "mass": "write `measures:` and below it `mass`",
            "gestation": "write it as the age, such as `age: 30 weeks of gestation`",
            "layers": "the layers of a patient are its own",
            "material": "the tissues of a patient are its own",
        },
        notes="The patient lies on the back; the origin and what is cut are told in the dossier.",
    )


def _measures_of_this_age(draft: Draft) -> Iterator[Trouble]:
    """Refuse a measure that cannot belong to this sex and age."""
    sex, age, measures = draft.get("sex"), draft.get("age"), draft.get("measures")
    if sex is None or age is None or measures is None:
        return
    for name, middle in middle_sizes(sex, age_years=age_years_of(age)).items():
        field = f"{name.replace(' ', '_')}_{'kg' if name == 'mass' else 'm'}"
        value = getattr(measures, field, None)
        low, high = (bound * middle.value for bound in (PLAUSIBLE_MASS if name == "mass" else PLAUSIBLE))
        if value is not None and not low <= value <= high:
            unit = "kg" if name == "mass" else "m"
            yield Trouble(
                key="measures",
                found=f"a {name} of {engineering_text(value, unit)}",
                allowed=f"{engineering_text(low, unit, digits=2)} to {engineering_text(high, unit, digits=2)} at this "
                f"age, of which the middle is {engineering_text(middle.value, unit, digits=3)}",
                remedy="look at the age and at the unit of the measure",
            )


def _not_too_many_voxels(draft: Draft) -> Iterator[Trouble]:
    sex, age, part, voxel_m = (draft.get(key) for key in ("sex", "age", "part", "voxel"))
    if sex is None or age is None or voxel_m is None or part != "whole body":
        return
    measures = draft.get("measures")
    length_m = (measures and measures.length_m) or middle_sizes(sex, age_years=age_years_of(age))["length"].value
    count = _BOX_OF_LENGTH_CUBED * length_m**3 / voxel_m**3
    if count > MOST_VOXELS:
        least = voxel_m * math.cbrt(count / MOST_VOXELS)
        yield Trouble(
            key="voxel",
            found=f"{engineering_text(voxel_m, 'm')}, which makes about {count / 1e6:.0f} million voxels",
            allowed=f"at most {MOST_VOXELS / 1e6:.0f} million voxels",
            remedy=f"make the voxel larger than {engineering_text(least, 'm', digits=2)}, or ask for one part",
        )
