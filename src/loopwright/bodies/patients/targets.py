"""What a patient's body is fitted to: what was measured, and for the rest the middle of sex and age.

What was not measured follows what was: mass the square of a given length, and a girth the square root of mass over
length. All go into the fit with the relative deviation that counts as one.
"""

from dataclasses import dataclass
from math import sqrt
from types import MappingProxyType

from loopwright.bodies.patients.fitting import Target
from loopwright.brief.records import BodyMeasures, PatientAge, Sex, age_years_of
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.growth import PLAUSIBLE, PLAUSIBLE_MASS, middle_sizes
from loopwright.ground.sources import Flag, Published, Source

__all__ = ["Aim", "aims"]

_GIVEN = 0.002  # of a tape measure that was given: a millimetre in half a metre
_BY_NAME = MappingProxyType(
    {
        "length": ("length_m", 3e-4),
        "mass": ("mass_kg", 1e-3),
        "head circumference": ("head_circumference_m", 3e-4),
        "head breadth over length": ("head_breadth_over_length", 0.01),
        "chest circumference": ("chest_circumference_m", 0.03),
        "abdomen circumference": ("abdomen_circumference_m", 0.06),
        "thigh circumference": ("thigh_circumference_m", 0.1),
        "knee circumference": ("knee_circumference_m", 0.08),
        "wrist circumference": ("wrist_circumference_m", 0.05),
    }
)
_TRUNK_AND_LIMBS = tuple(_BY_NAME)[4:]

#: Mass that was not measured gives way to girths that were.
_MASS_WITH_GIRTHS = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """One measure to be met: its value and source, and how closely the fit seeks it."""

    published: Published
    deviation: float

    @property
    def target(self) -> Target:
        """As the fit takes it."""
        return Target(value=self.published.value, deviation=self.deviation)


def aims(sex: Sex, age: PatientAge, given: BodyMeasures) -> dict[str, Aim]:
    """What the body of this patient is fitted to, by name of the measure.

    Raises
    ------
    OutsideModelError
        Where a given measure is so far from the middle of sex and age that one of them must be wrong.
    """
    middle = _middle(sex, age_years_of(age))
    measured = {name: getattr(given, field) for name, (field, _) in _BY_NAME.items()}
    _refuse_mistakes(middle, {name: value for name, value in measured.items() if value is not None})
    length = (measured["length"] or middle["length"].value) / middle["length"].value
    mass = measured["mass"] / middle["mass"].value if measured["mass"] is not None else length**2
    follows = {name: (sqrt(mass / length), "the square root of mass over length") for name in _TRUNK_AND_LIMBS}
    follows["mass"] = (mass, "the square of length")
    found = {}
    for name, (_, deviation) in _BY_NAME.items():
        value = measured[name]
        if value is not None:
            asked = Source(key="", where="measured on the patient", flag=Flag.ASKED)
            found[name] = Aim(
                published=Published(value=value, unit=middle[name].unit, source=asked),
                deviation=min(deviation, _GIVEN),
            )
        else:
            found[name] = Aim(published=_scaled(middle[name], *follows.get(name, (1.0, ""))), deviation=deviation)
    if measured["mass"] is None and any(measured[name] for name in _TRUNK_AND_LIMBS):
        found["mass"] = Aim(published=found["mass"].published, deviation=_MASS_WITH_GIRTHS)
    return found


def _middle(sex: Sex, age_years: float) -> dict[str, Published]:
    sizes = middle_sizes(sex, age_years=age_years)
    breadth, length = sizes["head breadth"], sizes["head length"]
    index = Published(value=breadth.value / length.value, unit="", source=breadth.source)
    return {name: index if name == "head breadth over length" else sizes[name] for name in _BY_NAME}


def _scaled(middle: Published, factor: float, with_what: str) -> Published:
    if factor == 1:
        return middle
    where = f"{middle.source.where}, scaled with {with_what}"
    flag = Flag.MEMORY if middle.source.flag is Flag.MEMORY else Flag.COMPUTED
    return Published(value=middle.value * factor, unit=middle.unit, source=Source(key="", where=where, flag=flag))


def _refuse_mistakes(middle: dict[str, Published], measured: dict[str, float]) -> None:
    for name, value in measured.items():
        low, high = PLAUSIBLE_MASS if name == "mass" else PLAUSIBLE
        ratio = value / middle[name].value
        if not low <= ratio <= high:
            unit = f" {middle[name].unit}".rstrip()
            raise OutsideModelError(
                f"patient: {name} {value:g}{unit} is {ratio:.2g} times the {middle[name].value:.3g}{unit} in the middle"
                f" of this sex and age; between {low:g} and {high:g} times can be fitted. Is the age or the unit right?"
            )
