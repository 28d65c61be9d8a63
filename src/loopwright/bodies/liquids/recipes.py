"""What to weigh for a liquid of a wanted conductivity."""

from collections.abc import Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

from loopwright.bodies.liquids.solutions import SolutionAt, limits_of, solution_at
from loopwright.bodies.liquids.water import check_temperature
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import MOST_IONIC_STRENGTH_MOL_PER_M3, Dissolved, SaltRow, ionic_strength_mol_per_m3

__all__ = ["Recipe", "recipe_for"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """Salts for a volume of liquid.

    Attributes
    ----------
    volume_m3
        Of the finished liquid, at the temperature of ``found``. [m^3]
    salts
        What is dissolved; the first one is what was sought.
    found
        What the liquid is then predicted to be.
    per_kelvin
        Relative rise of the conductivity with temperature. [1/K]
    limits
        What has to be known of the prediction.
    """

    volume_m3: float
    salts: tuple[Dissolved, ...]
    found: SolutionAt
    per_kelvin: float
    limits: tuple[str, ...]

    def mass_kg(self, one: Dissolved) -> float:
        """What is weighed of one salt. [kg]"""
        return one.kg_per_m3 * self.volume_m3


def recipe_for(
    sigma_s_per_m: float,
    *,
    salt: SaltRow,
    beside: Sequence[Dissolved] = (),
    volume_m3: float,
    temperature_k: float,
    frequency_hz: float,
) -> Recipe:
    """How much of a salt gives a liquid a wanted conductivity.

    Parameters
    ----------
    sigma_s_per_m : float
        Wanted at that frequency and temperature. [S/m]
    salt : SaltRow
        The salt that is sought, anhydrous or with the water of its crystal, as it will be weighed.
    beside : sequence of Dissolved
        What the liquid holds anyway, such as copper sulphate that shortens T1.
    volume_m3 : float
        Of the finished liquid. [m^3]
    temperature_k : float
        At which it will be used, 5 to 45 degC. [K]
    frequency_hz : float
        [Hz]

    Raises
    ------
    OutsideModelError
        If no amount of the salt that the model can tell gives that conductivity.
    """
    check_temperature(temperature_k)

    def with_amount(mol_per_m3: float) -> tuple[Dissolved, ...]:
        return (Dissolved(salt=salt, mol_per_m3=mol_per_m3), *beside)

    def sigma_at(mol_per_m3: float) -> float:
        return _at(with_amount(mol_per_m3), temperature_k, frequency_hz).sigma_s_per_m

    one_mole = ionic_strength_mol_per_m3([Dissolved(salt=salt, mol_per_m3=1.0)])
    most = (MOST_IONIC_STRENGTH_MOL_PER_M3 * (1 - 1e-9) - ionic_strength_mol_per_m3(beside)) / one_mole
    least, greatest = sigma_at(0.0), sigma_at(max(most, 0.0))
    if not least <= sigma_s_per_m <= greatest:
        raise OutsideModelError(
            f"{sigma_s_per_m:.3g} S/m with {salt.name} at {temperature_k - 273.15:g} degC: from {least:.3g} S/m, which "
            f"the liquid has without it, to {greatest:.3g} S/m can be told"
        )
    salts = with_amount(brentq(lambda amount: sigma_at(amount) - sigma_s_per_m, 0.0, most, xtol=1e-9, rtol=1e-12))
    found = _at(salts, temperature_k, frequency_hz)
    return Recipe(
        volume_m3=volume_m3,
        salts=salts,
        found=found,
        per_kelvin=_per_kelvin(salts, temperature_k, frequency_hz),
        limits=limits_of(salts),
    )


def _per_kelvin(salts: Sequence[Dissolved], temperature_k: float, frequency_hz: float) -> float:
    """Relative rise of the conductivity with temperature, over the kelvin towards room temperature. [1/K]"""
    other = temperature_k + (1.0 if temperature_k < 298.15 else -1.0)
    here, there = (_at(salts, t, frequency_hz).sigma_s_per_m for t in (temperature_k, other))
    return (there / here - 1) / (other - temperature_k)


def _at(salts: Sequence[Dissolved], temperature_k: float, frequency_hz: float) -> SolutionAt:
    return solution_at(salts, temperature_k=temperature_k, frequency_hz=frequency_hz)
