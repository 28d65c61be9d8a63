"""Middle sizes of people by sex and age, between the rows of the packaged anthropometry.

Rows are few (26, 30, 34 weeks of gestation, term, 6 months, 1, 3, 5, 10, 15 years, grown up), so what lies between
them is interpolated, without a bump between two rows, over the logarithm of the time since conception: growth is
fastest at first. Beyond 20 years nothing changes.
"""

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from scipy.interpolate import PchipInterpolator

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Published, Source
from loopwright.ground.tables import packaged_lines

__all__ = [
    "GROWN_UP_YEARS",
    "PLAUSIBLE",
    "PLAUSIBLE_MASS",
    "TERM_WEEKS",
    "YEAR_PARTS",
    "YOUNGEST_WEEKS",
    "age_text",
    "middle_sizes",
    "years_after_term",
]

TERM_WEEKS = 40.0
YOUNGEST_WEEKS = 26.0
GROWN_UP_YEARS = 20.0
#: Beyond these multiples of the middle of sex and age a measure is taken for a mistake of age or unit.
PLAUSIBLE, PLAUSIBLE_MASS = (0.6, 1.7), (0.35, 3.5)

_YEAR_WEEKS = 365.25 / 7
#: Units in which an age since birth is told, and how many of them make a year.
YEAR_PARTS = MappingProxyType({"year": 1.0, "month": 12.0, "week": _YEAR_WEEKS, "day": 365.25})
#: An age is a whole number of a unit within this part of it.
_WHOLE = 1e-9
_COLUMNS = MappingProxyType(
    {
        "length": ("length_cm", 0.01, "m"),
        "mass": ("mass_kg", 1.0, "kg"),
        "head circumference": ("head_circ_cm", 0.01, "m"),
        "head length": ("head_len_cm", 0.01, "m"),
        "head breadth": ("head_br_cm", 0.01, "m"),
        "chest circumference": ("chest_circ_cm", 0.01, "m"),
        "abdomen circumference": ("abdomen_circ_cm", 0.01, "m"),
        "thigh circumference": ("thigh_circ_cm", 0.01, "m"),
        "knee circumference": ("knee_circ_cm", 0.01, "m"),
        "wrist circumference": ("wrist_circ_cm", 0.01, "m"),
        "surface area": ("bsa_m2", 1.0, "m^2"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    group: str
    age_years: float
    values: dict[str, float]
    flags: dict[str, Flag]


def years_after_term(gestation_weeks: float) -> float:
    """Age of one born early, in years after 40 weeks of gestation: negative before."""
    return (gestation_weeks - TERM_WEEKS) / _YEAR_WEEKS


def age_text(age_years: float) -> str:
    """Write a time since birth [a] as the ward does: newborn, or a whole number of the longest unit that has one."""
    if age_years == 0:
        return "newborn"
    for unit, in_a_year in YEAR_PARTS.items():
        number = round(age_years * in_a_year)
        if number > 0 and abs(age_years * in_a_year - number) < _WHOLE * number:
            return f"{number} {unit}" + ("s" if number > 1 else "")
    return f"{age_years:.6g} years"


def middle_sizes(sex: str, *, age_years: float) -> dict[str, Published]:
    """Sizes in the middle of all people of a sex ("female", "male") and an age after term [a].

    Returns
    -------
    dict
        By name: length, mass, circumferences of head, chest, abdomen, thigh, knee and wrist, length and breadth of the
        head, surface area; each with its unit, the rows that it stands on and the worst of their flags.

    Raises
    ------
    OutsideModelError
        Before 26 weeks of gestation, where the table begins.
    """
    youngest = years_after_term(YOUNGEST_WEEKS)
    if age_years < youngest - 1e-9:
        raise OutsideModelError(f"sizes at {age_years:g} years after term: the table begins at {youngest:.3f}.")
    age_years = float(np.clip(age_years, youngest, GROWN_UP_YEARS))
    return {name: _between(_rows(sex), name, age_years) for name in _COLUMNS}


def _between(rows: tuple[_Row, ...], name: str, age_years: float) -> Published:
    unit = _COLUMNS[name][2]
    for row in rows:
        if abs(row.age_years - age_years) < 1e-6:
            source = Source(key="", where=f"anthropometry, {row.group}", flag=row.flags[name])
            return Published(value=row.values[name], unit=unit, source=source)
    ages = np.array([row.age_years for row in rows])
    curve = PchipInterpolator(_since_conception(ages), [row.values[name] for row in rows])
    after = int(np.searchsorted(ages, age_years))
    older, younger = rows[after], rows[after - 1]
    remembered = Flag.MEMORY in {older.flags[name], younger.flags[name]}
    where = f"anthropometry, between {younger.group} and {older.group}"
    source = Source(key="", where=where, flag=Flag.MEMORY if remembered else Flag.COMPUTED)
    return Published(value=float(curve(_since_conception(age_years))), unit=unit, source=source)


def _since_conception(age_years: float | np.ndarray) -> np.ndarray:
    return np.log(np.asarray(age_years) + TERM_WEEKS / _YEAR_WEEKS)


@cache
def _rows(sex: str) -> tuple[_Row, ...]:
    rows = [_row(line) for line in packaged_lines("anthropometry.csv") if line["sex"] == sex]
    if not rows:
        raise OutsideModelError(f"sizes of {sex!r}: the table knows female and male.")
    return tuple(sorted(rows, key=lambda row: row.age_years))


def _row(line: dict[str, str]) -> _Row:
    weeks = line["gestation_weeks"]
    return _Row(
        group=line["group"],
        age_years=years_after_term(float(weeks)) if weeks else float(line["age_years"]),
        values={name: float(line[column]) * to_si for name, (column, to_si, _) in _COLUMNS.items()},
        flags={name: _flag(line, column) for name, (column, _, _) in _COLUMNS.items()},
    )


def _flag(line: dict[str, str], column: str) -> Flag:
    if column in line["read"].split():
        return Flag.READ
    return Flag.COMPUTED if column in line["computed"].split() else Flag.MEMORY
