"""What to weigh for a phantom's liquid, as a text."""

from collections.abc import Iterator, Sequence

from loopwright.bodies.liquids import Recipe, recipe_for
from loopwright.brief.keys import did_you_mean
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import Dissolved, SaltRow, dissolved, salt_named, salt_names
from loopwright.ground.units import engineering_text, si_value

__all__ = ["recipe_text"]

_ZERO_CELSIUS_K = 273.15

_PRACTICE = (
    (
        "Dissolve in about nine tenths of the water, then fill up to the volume; use distilled or deionised water, for "
        "tap water brings some 0.05 S/m (common practice)."
    ),
    "Weigh salts dry: table salt and powders that have stood open hold water, and hydrates lose theirs in a warm room.",
)
_MEASURE = (
    (
        "Measure before the phantom is relied on: conductivity of a sample at its temperature with a meter checked on "
        "a standard, such as potassium chloride of 0.1 mol in a kilogram of water (1.282 S/m at 25 degC), permittivity "
        "with a probe, both again every three to six months (common practice)."
    ),
    "A conductivity meter works at low frequency: it shall read what is given here for low frequency.",
    (
        "In a brief, give what was measured: `measured_conductivity` and `measured_permittivity` of `material: liquid` "
        "take the place of the prediction."
    ),
)
_CAUTIONS = (
    "Gloves and goggles; no food vessels. Do not pour it down the drain: follow local rules of disposal.",
    "Label the bottle with salts, concentrations, date and name, and that it is no drink; keep it away from children.",
)


def recipe_text(
    *, conductivity: str, temperature: str, volume: str, frequency: str, salt: str, beside: Sequence[str]
) -> str:
    """Tell what to weigh.

    Parameters
    ----------
    conductivity, temperature, volume, frequency : str
        Quantities with their units.
    salt : str
        Name of the salt that is sought.
    beside : sequence of str
        What the liquid holds anyway, each a name and a concentration, such as ``nickel chloride hexahydrate 2.4 g/L``.

    Raises
    ------
    UnitTextError, OutsideModelError
        When a text is no quantity of its kind, a salt is not known, or the wanted liquid cannot be told.
    """
    recipe = recipe_for(
        si_value(conductivity, "S/m"),
        salt=_salt(salt),
        beside=[_share(text) for text in beside],
        volume_m3=_positive(volume, "m^3", "2 L"),
        temperature_k=si_value(temperature, "K"),
        frequency_hz=_positive(frequency, "Hz", "123.2 MHz"),
    )
    return "\n".join(_lines(recipe))


def _salt(name: str) -> SaltRow:
    for known in salt_names():
        if known.casefold() == name.strip().casefold():
            return salt_named(known)
    remedy = did_you_mean(name, salt_names(), otherwise=f"known are {', '.join(salt_names())}")
    raise OutsideModelError(f"no salt {name!r}: {remedy}")


def _share(text: str) -> Dissolved:
    """Read a name and a concentration behind it."""
    words = text.split()
    for at, word in enumerate(words):
        if word[0].isdigit() or word[0] in "+-.":
            concentration = _positive(" ".join(words[at:]), "kg/m^3", "2 g/L")
            return dissolved(_salt(" ".join(words[:at])).name, concentration)
    raise OutsideModelError(f"{text!r} has no concentration: write for example 'copper sulphate pentahydrate 2 g/L'")


def _positive(text: str, unit: str, example: str) -> float:
    value = si_value(text, unit, example=example)
    if value <= 0:
        raise OutsideModelError(f"{text!r} is not above zero: write for example {example!r}")
    return value


def _lines(recipe: Recipe) -> Iterator[str]:
    found = recipe.found
    litres, megahertz = 1e3 * recipe.volume_m3, found.frequency_hz / 1e6
    yield f"{litres:g} L of {found.sigma_s_per_m:.3g} S/m at {_celsius(recipe)} and {megahertz:g} MHz"
    yield ""
    yield f"{'salt':34}{'formula':14}{'g/mol':>9}{'g/L':>10}{'to weigh':>12}{'if anhydrous':>14}"
    for one in recipe.salts:
        grams = 1e3 * recipe.mass_kg(one)
        dry = grams * one.salt.anhydrous_kg_per_mol / one.salt.molar_mass_kg_per_mol
        yield (
            f"{one.salt.name:34}{one.salt.formula:14}{1e3 * one.salt.molar_mass_kg_per_mol:9.2f}{one.kg_per_m3:10.4g}"
            f"{grams:10.4g} g{dry:12.4g} g"
        )
    yield ""
    low = found.conduction.sigma_s_per_m
    yield f"conductivity   {found.sigma_s_per_m:.3g} S/m, predicted within {found.uncertainty_s_per_m:.1g} S/m"
    yield f"a meter reads  {low:.3g} S/m at low frequency; water itself loses {found.water_loss_s_per_m:.2g} S/m more"
    yield f"permittivity   {found.eps_r:.3g}, predicted within {found.eps_uncertainty:g}"
    yield f"temperature    {100 * recipe.per_kelvin:+.2g} % of the conductivity for every kelvin"
    yield ""
    yield from _paragraph("What the prediction rests on", recipe.limits)
    yield from _paragraph("How to make it", _PRACTICE)
    yield from _paragraph("What must be measured", _MEASURE)
    yield from _paragraph("Cautions", (*_of_salts(recipe), *_CAUTIONS))


def _paragraph(title: str, sentences: Sequence[str]) -> Iterator[str]:
    yield title
    yield from (f"- {sentence}" for sentence in sentences)


def _of_salts(recipe: Recipe) -> tuple[str, ...]:
    return tuple(f"{caution}." for caution in dict.fromkeys(one.salt.caution for one in recipe.salts) if caution)


def _celsius(recipe: Recipe) -> str:
    return engineering_text(recipe.found.temperature_k, "K")
