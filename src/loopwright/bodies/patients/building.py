"""From the patient that is asked for to the body: fitted, laid on the back, filled, and cut."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from loopwright.bodies.patients.cropping import crop_of, cropped
from loopwright.bodies.patients.interior import interior
from loopwright.bodies.patients.joints import Stance
from loopwright.bodies.patients.masses import TissueMass
from loopwright.bodies.patients.patient import FittedMeasure, FittedSurface, patient_surface
from loopwright.bodies.patients.posing import lying
from loopwright.bodies.solids import Region, Solid
from loopwright.brief.records import AgeAfterTerm, PatientRequest, TissueWater
from loopwright.ground.figures import PATIENT_TISSUES
from loopwright.ground.growth import age_text, middle_sizes
from loopwright.ground.reference_masses import REFERENCE_SOURCE, ReferenceMasses, reference_masses

_CAUTION = (
    "The patient is no scan: skin of artists' shapes scaled to sizes, inside it ellipsoid-like organs placed by "
    "landmarks. Without ribs, pelvis, shoulder blades, collar bones, bones of fingers, airways, gut, vessels, eyes, "
    "teeth, sinuses, ventricles and folds of the brain; joints are gaps of muscle between bones. Who lies in the coil "
    "differs from it: heating and safety are to be judged by those who are responsible for the patient."
)
_CHILD = (
    "Tissues have the properties of adults; those of children are wetter and conduct better, and no measured values of "
    "children at these frequencies are known to us."
)
_OFF_WORTH_TELLING = 0.02
_HEAVIER_WORTH_TELLING = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatientBody:
    """A patient as a solid, with the measures of the skin and the masses of tissues of the whole body."""

    solid: Solid
    measures: tuple[FittedMeasure, ...]
    masses: tuple[TissueMass, ...]


def patient_body(request: PatientRequest) -> PatientBody:
    """The patient that is asked for.

    Raises
    ------
    OutsideModelError
        Where a measure cannot belong to this sex and age.
    """
    built = _built(request.model_copy(update={"voxel_m": 1.0, "hydration": ()}))
    return replace(built, solid=_watered(built.solid, request.hydration)) if request.hydration else built


def _watered(solid: Solid, hydration: tuple[TissueWater, ...]) -> Solid:
    """The solid with what is to be said where the water of some of its tissues is given."""
    given = [water.tissue for water in hydration if water.tissue in solid.tissue_names]
    absent = [water.tissue for water in hydration if water.tissue not in solid.tissue_names]
    unused = (f"Water was given for {', '.join(absent)} too, of which this part holds nothing.",) if absent else ()
    but = f" That does not hold for {', '.join(given)}, whose water is given in the brief." if given else ""
    cautions = tuple(caution + but if caution == _CHILD else caution for caution in solid.cautions)
    return replace(solid, notes=(*solid.notes, *unused), cautions=cautions)


def stance_of(fitted: FittedSurface) -> Stance:
    """A fitted skin as a figure that can be posed."""
    return Stance(
        surface=fitted.surface,
        landmarks_m=fitted.landmarks,
        shares=dict(zip(fitted.part_names, fitted.part_weights.T, strict=True)),
    )


@lru_cache(maxsize=16)
def _built(request: PatientRequest) -> PatientBody:
    fitted = patient_surface(request.sex, request.age, request.measures)
    laid = lying(stance_of(fitted), request.pose)
    reference = _reference(request, fitted)
    inside = interior(laid.stance, reference, sex=request.sex, age_years=max(fitted.age_years, 0.0))
    crop = crop_of(request.part, laid.stance, margin_m=request.margin_m)
    regions = cropped(inside.regions, laid.stance, crop)
    names = tuple(name for k, name in enumerate(PATIENT_TISSUES) if any(region.tissue == k for region in regions))
    solid = Solid(
        name=_name(request),
        regions=_renumbered(regions, names),
        tissue_names=names,
        notes=(*_measures_note(fitted), *laid.notes, *inside.notes, _masses_note(inside.masses, reference), crop.told),
        cautions=(
            _CAUTION,
            *fitted.limits,
            *(_far_from_the_middle(fitted) if isinstance(request.age, AgeAfterTerm) else ()),
            *((_CHILD,) if fitted.age_years < 18 else ()),
        ),
    )
    return PatientBody(solid=solid, measures=fitted.measures, masses=inside.masses)


def _reference(request: PatientRequest, fitted: FittedSurface) -> ReferenceMasses:
    """Masses of the reference person, of one before term by the mass of the body."""
    found = reference_masses(request.sex, max(fitted.age_years, 0.0))
    if isinstance(request.age, AgeAfterTerm):
        return found
    return found.scaled(
        fitted.measure("mass").found / found.total_kg,
        note="those of the newborn times mass over mass: organs of the preterm are not in the table, and its brain is "
        "larger in proportion",
    )


def _far_from_the_middle(fitted: FittedSurface) -> tuple[str, ...]:
    """What to think of where a patient is much heavier or lighter than the one whose organs it has."""
    own_kg = fitted.measure("mass").found
    middle_kg = middle_sizes(fitted.sex, age_years=fitted.age_years)["mass"].value
    if abs(own_kg / middle_kg - 1) < _HEAVIER_WORTH_TELLING:
        return ()
    sentence = (
        f"The patient weighs {own_kg:.3g} kg, and {middle_kg:.3g} kg is the middle of this sex and age: skin, fat and "
        "organs are those of a reference person, and the difference is all in what fills the rest, as muscle. The fat "
        "of one who is overweight is too thin here, of one who is slight too thick."
    )
    return (sentence,)


def _renumbered(regions: tuple[Region, ...], names: tuple[str, ...]) -> tuple[Region, ...]:
    place = {PATIENT_TISSUES.index(name): k for k, name in enumerate(names)}
    return tuple(Region(shape=one.shape, tissue=place[one.tissue], within=one.within) for one in regions)


def _name(request: PatientRequest) -> str:
    match request.age:
        case AgeAfterTerm(age_years=years):
            age = age_text(years)
        case age_before:
            age = f"{age_before.gestation_weeks:g} weeks of gestation"
    return f"{request.sex} patient, {age}, {request.part}"


def _measures_note(fitted: FittedSurface) -> tuple[str, ...]:
    told = [
        f"{one.name} {_written(one.found, one.unit)} ({100 * one.difference:+.1f} % from its target)"
        for one in fitted.measures
        if one.target is not None and one.difference is not None
    ]
    return (f"Measures of the skin: {', '.join(told)}.".replace("(-", "(\N{MINUS SIGN}"),)


def _written(value: float, unit: str) -> str:
    return f"{value * 100:.1f} cm" if unit == "m" else f"{value:.3g} {unit}".strip()


def _masses_note(masses: tuple[TissueMass, ...], reference: ReferenceMasses) -> str:
    off = [
        f"{one.name} {100 * one.off:+.0f} %"
        for one in masses
        if one.off is not None and np.abs(one.off) > _OFF_WORTH_TELLING
    ]
    even = [one.name for one in masses if one.off is not None and np.abs(one.off) <= _OFF_WORTH_TELLING]
    return (
        f"Masses of the whole body against a reference person ({reference.note}): {', '.join(even)} within "
        f"{100 * _OFF_WORTH_TELLING:.0f} %; {', '.join(off) if off else 'no other'}. {REFERENCE_SOURCE}"
    ).replace(" -", " \N{MINUS SIGN}")
