"""The skin of one patient: sex, age and tape measures in, a closed surface with its landmarks out."""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.patients.family import part_shares
from loopwright.bodies.patients.fitting import Fit, fitted
from loopwright.bodies.patients.landmarks import landmarks_m
from loopwright.bodies.patients.measures import DENSITY_KG_PER_M3
from loopwright.bodies.patients.targets import Aim, aims
from loopwright.brief.records import BodyMeasures, PatientAge, Sex, age_years_of
from loopwright.ground.body_shapes import body_shapes
from loopwright.ground.growth import middle_sizes
from loopwright.ground.sources import Flag, Source
from loopwright.ground.surface import Surface

__all__ = ["FittedMeasure", "FittedSurface", "patient_surface"]

_UNITS = MappingProxyType({"mass": "kg", "surface area": "m^2", "head breadth over length": ""})
_WIDE_STRETCH = 0.35
_MISSED = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedMeasure:
    """One measure of the body as it came out, and what it should have been, where anything was sought.

    ``unit`` is of both numbers; a ratio has none. ``source`` tells where the target is from.
    """

    name: str
    target: float | None
    found: float
    unit: str
    source: Source | None

    @property
    def difference(self) -> float | None:
        """Found less target, over target."""
        return None if self.target is None else self.found / self.target - 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedSurface:
    """A patient's skin, standing with the arms away from the trunk; x to the left, y to posterior, z to the head.

    Attributes
    ----------
    surface
        Closed and outward. [m]
    measures
        All that can be measured on it, beside what was sought.
    landmarks
        Joints and marks of the skin by name, each (3,). [m]
    part_names
        Head, neck, trunk, and the parts of the limbs, left and right.
    part_weights
        How much each vertex follows each part, rows adding up to one, smooth over the skin, shape (vertices, parts).
    limits
        What to think of before relying on it, in sentences.
    """

    sex: Sex
    age_years: float
    surface: Surface
    measures: tuple[FittedMeasure, ...]
    landmarks: MappingProxyType[str, NDArray[np.float64]]
    part_names: tuple[str, ...]
    part_weights: NDArray[np.float64]
    limits: tuple[str, ...]

    def measure(self, name: str) -> FittedMeasure:
        """The measure of this name."""
        return next(measure for measure in self.measures if measure.name == name)


def patient_surface(sex: Sex, age: PatientAge, targets: BodyMeasures | None = None) -> FittedSurface:
    """The skin of a patient of this sex and age who has these measures; what is not given is in the middle of both.

    Raises
    ------
    OutsideModelError
        Where a measure cannot belong to this sex and age.
    """
    age_years = age_years_of(age)
    sought = aims(sex, age, targets or BodyMeasures())
    length_m = middle_sizes(sex, age_years=age_years)["length"].value
    fit = fitted(sex, blend_length_m=length_m, targets={name: aim.target for name, aim in sought.items()})
    measures = _told(sought, fit)
    return FittedSurface(
        sex=sex,
        age_years=age_years,
        surface=fit.body.surface,
        measures=measures,
        landmarks=MappingProxyType(landmarks_m(fit.body)),
        part_names=body_shapes().part_names,
        part_weights=part_shares()[: len(body_shapes().ears)],
        limits=(*_limits_of_family(sex, age_years), *_limits_of_fit(fit, measures)),
    )


def _told(sought: dict[str, Aim], fit: Fit) -> tuple[FittedMeasure, ...]:
    aimed = {name: aim.published for name, aim in sought.items()}
    return tuple(
        FittedMeasure(
            name=name,
            target=aimed[name].value if name in aimed else None,
            found=found,
            unit=_UNITS.get(name, "m"),
            source=aimed[name].source if name in aimed else None,
        )
        for name, found in fit.measures.items()
    )


def _limits_of_family(sex: Sex, age_years: float) -> tuple[str, ...]:
    sentences = [
        "The shape of the body is artists' work, scaled to growth tables and tape measures; it is from no scan.",
        f"Mass is the volume inside the skin times {DENSITY_KG_PER_M3:g} kg/m^3, air of the lungs included.",
        "Toes, fingers and lips of small children touch and overlap by fractions of a millimetre.",
    ]
    if age_years < 1:
        sentences.append(
            "The newborn is an extrapolation: it lies beyond the artists' baby of one year, as seen from their child."
        )
    if age_years < 0:
        sentences.append(
            "Before term it is that newborn in other sizes: form and posture of the preterm are not modelled."
        )
    if age_years < 0 and sex == "female":
        sentences.append(
            "Sizes of preterm girls are those of boys times girls over boys at term; no table of theirs was read."
        )
    return tuple(sentences)


def _limits_of_fit(fit: Fit, measures: tuple[FittedMeasure, ...]) -> tuple[str, ...]:
    missed = [
        f"The {measure.name} that was asked for is missed by {measure.difference:+.1%}: it does not go with the others."
        for measure in measures
        if measure.source is not None and measure.source.flag is Flag.ASKED and abs(measure.difference or 0) > _MISSED
    ]
    wide = [
        f"The {name.replace('_', ' ')} is {np.expm1(log):+.0%} across against the artists' shape: look at it first."
        for name, log in fit.logs.items()
        if abs(log) > _WIDE_STRETCH
    ]
    return (*missed, *wide)
