"""What salts in water conduct at low frequency, from the limiting conductivities of their ions.

Onsager's law for the relaxation and the electrophoretic effect with ions of finite size, as R. A. Robinson and R. H.
Stokes write it [robinson1959]: limiting conductivities are those of a handbook [vanysek2010], closest approaches and
the association constant are from memory, and nothing is fitted to a table of conductivities. Ions of copper sulphate
pair; the pairs carry nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, pi, sqrt

from loopwright.bodies.liquids.water import check_temperature, static_permittivity, viscosity_pa_s
from loopwright.ground.constants import BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C, EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import (
    MOST_IONIC_STRENGTH_MOL_PER_M3,
    Dissolved,
    IonRow,
    SaltRow,
    ionic_strength_mol_per_m3,
)

__all__ = ["Conduction", "conduction"]

_AVOGADRO_PER_MOL = 6.02214076e23
_FARADAY_C_PER_MOL = ELEMENTARY_CHARGE_C * _AVOGADRO_PER_MOL
_ROOM_K = 298.15

#: How far the model may be off, as a part of what each kind of salt conducts; tests hold it against handbook tables.
_OFF_SINGLE_CHARGES = 0.01
_OFF_SINGLE_CHARGES_STRONG = 0.03  # above half a mole of ionic strength in a litre
_OFF_DOUBLE_CHARGES = 0.10
_STRONG_MOL_PER_M3 = 500.0
_PAIRING_ROUNDS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Conduction:
    """What salts conduct together.

    Attributes
    ----------
    sigma_s_per_m
        Of the whole liquid at low frequency. [S/m]
    by_salt_s_per_m
        What each salt brings, in the order in which they were given. [S/m]
    uncertainty_s_per_m
        How far the model may be off, by the comparison with tables. [S/m]
    ionic_strength_mol_per_m3
        Of the ions that are not paired. [mol/m^3]
    """

    sigma_s_per_m: float
    by_salt_s_per_m: tuple[float, ...]
    uncertainty_s_per_m: float
    ionic_strength_mol_per_m3: float


def conduction(salts: Sequence[Dissolved], *, temperature_k: float) -> Conduction:
    """Conductivity of salts in water at low frequency.

    Parameters
    ----------
    salts : sequence of Dissolved
        What is dissolved.
    temperature_k : float
        5 to 45 degC. [K]

    Returns
    -------
    Conduction

    Raises
    ------
    OutsideModelError
        If the temperature or the ionic strength lies outside of what was compared with tables.

    Notes
    -----
    NaCl and KCl at 25 degC are within 0.6 % of tabulated values up to 0.2 mol/L and within 3 % up to 1 mol/L; 0.01 and
    0.1 mol/kg KCl within 1 % of the standards from 5 to 45 degC; chlorides of double charge within 2 % and copper
    sulphate within 10 % at 25 degC up to 0.1 mol/L of charges. In a mixture every salt sees the ionic strength of all;
    pairs of sodium and sulphate, of chloride and nickel or manganese, are left out.
    """
    check_temperature(temperature_k)
    whole = ionic_strength_mol_per_m3(salts)
    if whole > MOST_IONIC_STRENGTH_MOL_PER_M3:
        raise OutsideModelError(
            f"{whole / 1e3:.3g} mol/L of ionic strength: conductivity is told up to "
            f"{MOST_IONIC_STRENGTH_MOL_PER_M3 / 1e3:g} mol/L. Measure the liquid and give what was measured."
        )
    free, strength = _unpaired(salts, temperature_k)
    each = tuple(
        part * one.mol_per_m3 * one.salt.charges * _per_charge_s_m2_per_mol(one.salt, strength, temperature_k)
        for part, one in zip(free, salts, strict=True)
    )
    single = _OFF_SINGLE_CHARGES if strength <= _STRONG_MOL_PER_M3 else _OFF_SINGLE_CHARGES_STRONG
    off = [single if one.salt.cation.charge == 1 else _OFF_DOUBLE_CHARGES for one in salts]
    return Conduction(
        sigma_s_per_m=sum(each),
        by_salt_s_per_m=each,
        uncertainty_s_per_m=sum(part * sigma for part, sigma in zip(off, each, strict=True)),
        ionic_strength_mol_per_m3=strength,
    )


def _unpaired(salts: Sequence[Dissolved], temperature_k: float) -> tuple[list[float], float]:
    """Part of every salt whose ions are not paired, and the ionic strength of those ions [mol/m^3]."""
    free = [1.0] * len(salts)
    strength = ionic_strength_mol_per_m3(salts)
    for _ in range(_PAIRING_ROUNDS):
        strength = ionic_strength_mol_per_m3(
            [Dissolved(salt=one.salt, mol_per_m3=part * one.mol_per_m3) for part, one in zip(free, salts, strict=True)]
        )
        found = [_free_part(one, strength, temperature_k) for one in salts]
        if all(abs(new - old) < 1e-12 for new, old in zip(found, free, strict=True)):
            break
        free = [(new + old) / 2 for new, old in zip(found, free, strict=True)]
    return free, strength


def _free_part(one: Dissolved, strength_mol_per_m3: float, temperature_k: float) -> float:
    """Part of a salt of equal charges that is not paired, by the law of mass action with Debye-Hueckel activities."""
    salt = one.salt
    if salt.association_m3_per_mol == 0 or one.mol_per_m3 == 0:
        return 1.0
    screening = _screening_per_m(strength_mol_per_m3, temperature_k)
    reach = salt.cation.charge**2 * _bjerrum_m(temperature_k) * screening / (1 + screening * salt.closest_m)
    pull = salt.association_m3_per_mol * exp(-reach) * one.mol_per_m3  # activity coefficient squared: exp(-reach)
    return 2 / (1 + sqrt(1 + 4 * pull))


def _per_charge_s_m2_per_mol(salt: SaltRow, strength_mol_per_m3: float, temperature_k: float) -> float:
    """Conductivity per mole of charge of free ions among ions of this strength. [S m^2/mol]"""
    z_cation, z_anion = salt.cation.charge, abs(salt.anion.charge)
    cation, anion = _limiting(salt.cation, temperature_k), _limiting(salt.anion, temperature_k)
    limiting = cation + anion
    screening = _screening_per_m(strength_mol_per_m3, temperature_k)
    q = z_cation * z_anion / (z_cation + z_anion) * limiting / (z_anion * cation + z_cation * anion)
    relaxation = z_cation * z_anion * _bjerrum_m(temperature_k) * q / (3 * (1 + sqrt(q))) * limiting
    drag = _FARADAY_C_PER_MOL * ELEMENTARY_CHARGE_C * (z_cation + z_anion) / (6 * pi * viscosity_pa_s(temperature_k))
    return limiting - (relaxation + drag) * screening / (1 + screening * salt.closest_m)


def _limiting(ion: IonRow, temperature_k: float) -> float:
    """Conductivity of an ion per mole of charge at infinite dilution. [S m^2/mol]"""
    fluidity = viscosity_pa_s(_ROOM_K) / viscosity_pa_s(temperature_k)
    return float(ion.limiting_s_m2_per_mol * fluidity**ion.viscosity_exponent)


def _bjerrum_m(temperature_k: float) -> float:
    """Distance at which two elementary charges in water hold kT. [m]"""
    permittivity = static_permittivity(temperature_k) * EPSILON_0_F_PER_M
    return ELEMENTARY_CHARGE_C**2 / (4 * pi * permittivity * BOLTZMANN_J_PER_K * temperature_k)


def _screening_per_m(strength_mol_per_m3: float, temperature_k: float) -> float:
    """Inverse of Debye's length. [1/m]"""
    return sqrt(8 * pi * _bjerrum_m(temperature_k) * _AVOGADRO_PER_MOL * strength_mol_per_m3)
