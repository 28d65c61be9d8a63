"""Masses of organs and tissues of a reference person by sex and age, between the ages of the packaged table by age."""

from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

import numpy as np

from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import packaged_lines

__all__ = ["ORGANS", "REFERENCE_SOURCE", "ReferenceMasses", "reference_masses"]

#: What the table holds beside the total.
ORGANS = ("adipose", "muscle", "skin", "liver", "lung", "spleen", "kidneys", "heart", "brain", "skeleton")
#: From memory at every age below twenty.
_FROM_MEMORY = ("heart", "brain", "skeleton")

REFERENCE_SOURCE = Source(
    key="icrp2002",
    where="reference masses at 0, 1, 5, 10, 15 and 20 years; heart, brain and skeleton of children from memory",
    flag=Flag.READ,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceMasses:
    """Mass of a reference person and of its parts. [kg]

    ``organs_kg`` is by name, see :data:`ORGANS`; ``from_memory`` names those whose masses were not read; ``note`` says
    how the masses of this age were found.
    """

    total_kg: float
    organs_kg: MappingProxyType[str, float]
    from_memory: tuple[str, ...]
    note: str

    def scaled(self, factor: float, *, note: str) -> "ReferenceMasses":
        """All masses times a factor [1], with a note that says why."""
        organs = MappingProxyType({name: factor * mass for name, mass in self.organs_kg.items()})
        return replace(self, total_kg=factor * self.total_kg, organs_kg=organs, note=note)


def reference_masses(sex: str, age_years: float) -> ReferenceMasses:
    """Masses of the reference person of this sex and age.

    Parameters
    ----------
    sex : str
        Female or male; below 15 years the table has one row for both.
    age_years : float
        Time since birth; on a straight line between the ages of the table, from 20 years on as at 20. [a]

    References
    ----------
    ICRP Publication 89, 2002 [icrp2002].
    """
    rows = [row for row in _rows() if row["sex"] in ("both", sex)]
    ages = [float(row["age_years"]) for row in rows]

    def kilograms(name: str) -> float:
        return float(np.interp(age_years, ages, [float(row[f"{name}_g"]) for row in rows])) / 1e3

    of_table = any(abs(age_years - age) < 1e-9 for age in ages) or age_years > ages[-1]
    return ReferenceMasses(
        total_kg=kilograms("total"),
        organs_kg=MappingProxyType({name: kilograms(name) for name in ORGANS}),
        from_memory=_FROM_MEMORY if age_years < ages[-1] else (),
        note="of the table" if of_table else "between two ages of the table, by age",
    )


@cache
def _rows() -> tuple[dict[str, str], ...]:
    return tuple(packaged_lines("reference_masses.csv"))
