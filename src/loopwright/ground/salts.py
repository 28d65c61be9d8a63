"""Salts that phantoms are filled with, as they stand on the shelf: formula with its water, ions, mass of one mole."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from loopwright.ground.tables import packaged_lines

__all__ = [
    "MOST_IONIC_STRENGTH_MOL_PER_M3",
    "Dissolved",
    "IonRow",
    "SaltRow",
    "dissolved",
    "ion_named",
    "ion_names",
    "ionic_strength_mol_per_m3",
    "molar_mass_kg_per_mol",
    "salt_named",
    "salt_names",
]

#: Beyond it the model of conductivity is no longer held against a table. [mol/m^3]
MOST_IONIC_STRENGTH_MOL_PER_M3 = 1000.0

_ATOMS = re.compile(r"([A-Z][a-z]?)(\d*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class IonRow:
    """One ion in water.

    Attributes
    ----------
    charge
        In units of the elementary charge.
    limiting_s_m2_per_mol
        Conductivity per mole of charge at infinite dilution, at 25 degC. [S m^2/mol]
    viscosity_exponent
        It goes with the fluidity of water to this power, in place of Walden's 1.
    flag, note
        How the value is known, and what it was compared with.
    """

    ion: str
    charge: int
    limiting_s_m2_per_mol: float
    viscosity_exponent: float
    flag: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltRow:
    """One salt as it is weighed.

    Attributes
    ----------
    formula
        With the water of its crystal behind a point, as in ``CuSO4.5H2O``.
    cation, anion
        The ions it falls into, ``cations`` and ``anions`` of them.
    closest_m
        Closest approach of the ions. [m]
    association_m3_per_mol
        Constant of association of its ions into neutral pairs at infinite dilution; 0 where they hardly pair.
        [m^3/mol]
    caution
        What hurts; empty for salts of the kitchen.
    """

    name: str
    formula: str
    cation: IonRow
    anion: IonRow
    cations: int
    anions: int
    closest_m: float
    association_m3_per_mol: float
    caution: str

    @property
    def molar_mass_kg_per_mol(self) -> float:
        """Mass of one mole with the water of its crystal. [kg/mol]"""
        return molar_mass_kg_per_mol(self.formula)

    @property
    def anhydrous_kg_per_mol(self) -> float:
        """Mass of one mole without that water. [kg/mol]"""
        return molar_mass_kg_per_mol(self.formula.split(".")[0])

    @property
    def charges(self) -> int:
        """Moles of positive charge that one mole brings."""
        return self.cations * self.cation.charge


@dataclass(frozen=True, slots=True, kw_only=True)
class Dissolved:
    """An amount of salt in a volume of solution. [mol/m^3]"""

    salt: SaltRow
    mol_per_m3: float

    @property
    def kg_per_m3(self) -> float:
        """What is weighed for a volume of solution, water of the crystal and all. [kg/m^3]"""
        return self.mol_per_m3 * self.salt.molar_mass_kg_per_mol


@cache
def _atomic_weights() -> dict[str, float]:
    return {row["element"]: float(row["standard_atomic_weight"]) for row in packaged_lines("atomic_weights.csv")}


@cache
def molar_mass_kg_per_mol(formula: str) -> float:
    """Mass of one mole of a formula such as ``CuSO4.5H2O``, from standard atomic weights.

    Parameters
    ----------
    formula : str
        Elements and counts without brackets; parts after a point may start with how many of them there are.

    Returns
    -------
    float
        [kg/mol]

    Raises
    ------
    KeyError
        If the packaged table lacks an element.

    References
    ----------
    Standard atomic weights of the elements 2021, abridged [prohaska2022], from memory.
    """
    weights, grams = _atomic_weights(), 0.0
    for part in formula.split("."):
        atoms = part.lstrip("0123456789")
        count = int(part[: len(part) - len(atoms)] or 1)
        grams += count * sum(weights[atom] * int(number or 1) for atom, number in _ATOMS.findall(atoms))
    return grams / 1e3


@cache
def _ions() -> dict[str, IonRow]:
    return {
        row["ion"]: IonRow(
            ion=row["ion"],
            charge=int(row["charge"]),
            limiting_s_m2_per_mol=float(row["limiting_S_cm2_per_mol"]) * 1e-4,
            viscosity_exponent=float(row["viscosity_exponent"]),
            flag=row["flag"],
            note=row["note"],
        )
        for row in packaged_lines("ions.csv")
    }


def ion_named(name: str) -> IonRow:
    """Find an ion by its symbol, such as ``Na``; KeyError where the table lacks it."""
    return _ions()[name]


def ion_names() -> tuple[str, ...]:
    """Symbols of the ions, in the order of the file."""
    return tuple(_ions())


@cache
def _salts() -> dict[str, SaltRow]:
    return {
        row["name"]: SaltRow(
            name=row["name"],
            formula=row["formula"],
            cation=ion_named(row["cation"]),
            anion=ion_named(row["anion"]),
            cations=int(row["cations"]),
            anions=int(row["anions"]),
            closest_m=float(row["closest_nm"]) * 1e-9,
            association_m3_per_mol=10 ** float(row["log10_association"]) / 1e3 if row["log10_association"] else 0.0,
            caution=row["caution"],
        )
        for row in packaged_lines("salts.csv")
    }


def salt_names() -> tuple[str, ...]:
    """Names of the salts, in the order of the file."""
    return tuple(_salts())


def salt_named(name: str) -> SaltRow:
    """Find a salt by its name; KeyError where the table lacks it."""
    return _salts()[name]


def dissolved(name: str, concentration_kg_per_m3: float) -> Dissolved:
    """What a mass of salt in a volume of solution is in moles.

    Parameters
    ----------
    name : str
        Name of the salt as it is weighed: the hydrate is another salt than the anhydrous one.
    concentration_kg_per_m3 : float
        Mass in a volume of solution; 1 g/L is 1 kg/m^3. [kg/m^3]
    """
    salt = salt_named(name)
    return Dissolved(salt=salt, mol_per_m3=concentration_kg_per_m3 / salt.molar_mass_kg_per_mol)


def ionic_strength_mol_per_m3(salts: Sequence[Dissolved]) -> float:
    """Half the sum of concentration times charge squared, as if all salts fell apart wholly. [mol/m^3]"""
    return sum(
        one.mol_per_m3 * (one.salt.cations * one.salt.cation.charge**2 + one.salt.anions * one.salt.anion.charge**2) / 2
        for one in salts
    )
