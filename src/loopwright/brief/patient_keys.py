"""The key that only a patient has: an age in the words of the ward."""

import re
from dataclasses import dataclass

from loopwright.brief.keys import Key, plain_number
from loopwright.brief.records import AgeAfterTerm, GestationalAge, PatientAge
from loopwright.brief.tree import Node, described
from loopwright.ground.growth import TERM_WEEKS, YEAR_PARTS, YOUNGEST_WEEKS

__all__ = ["Age"]

_MOST_YEARS = 100.0
_AGE = re.compile(r"([0-9.]+) (day|week|month|year)s?( of gestation)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Age(Key):
    """Time since birth at term, or weeks of gestation of one born early."""

    @property
    def allowed(self) -> str:
        """Words and ranges."""
        return (
            f"newborn, adult, a time since birth up to {_MOST_YEARS:g} years, or {YOUNGEST_WEEKS:g} to {TERM_WEEKS:g} "
            "weeks of gestation"
        )

    @property
    def kind(self) -> str:
        """Age."""
        return "age"

    @property
    def example(self) -> str:
        """Return an age in years."""
        return "5 years"

    def value_of(self, node: Node) -> PatientAge:
        """Read the age."""
        text = self.text_of(node).casefold()
        if text in ("newborn", "adult"):
            return AgeAfterTerm(age_years=0.0 if text == "newborn" else 30.0)
        found = _AGE.fullmatch(text)
        number = plain_number(found[1]) if found else None
        if found is None or number is None or (found[3] and found[2] != "week"):
            raise self.unfit(described(node), "write for example `5 years`, `6 months` or `30 weeks of gestation`")
        if found[3]:
            if not YOUNGEST_WEEKS <= number <= TERM_WEEKS:
                raise self.unfit(described(node), "write weeks since the last menstruation, as `30 weeks of gestation`")
            return GestationalAge(gestation_weeks=number)
        if number / YEAR_PARTS[found[2]] > _MOST_YEARS:
            raise self.unfit(described(node), "write for example `5 years`")
        return AgeAfterTerm(age_years=number / YEAR_PARTS[found[2]])
