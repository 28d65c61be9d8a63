"""The packaged table of limits: what rules and common practice say must not be passed."""

from dataclasses import dataclass
from functools import cache

from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import packaged_lines

__all__ = ["LimitRow", "limit_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """One limit, as the rule prints it.

    ``kind`` is ``at most`` or ``at least``; a unit of ``1`` stands for a pure number. ``value_at_no_mass`` is the limit
    where no share of the body's mass is exposed, for limits that fall in a straight line to ``value`` with that share;
    None for all others.
    """

    name: str
    quantity: str
    kind: str
    value: float
    value_at_no_mass: float | None
    unit: str
    edition: str
    source: Source
    note: str


@cache
def limit_rows() -> tuple[LimitRow, ...]:
    """Rows of the table of limits, in the order of the file."""
    return tuple(
        LimitRow(
            name=row["name"],
            quantity=row["quantity"],
            kind=row["kind"],
            value=float(row["value"]),
            value_at_no_mass=float(row["value_at_no_mass"]) if row["value_at_no_mass"] else None,
            unit=row["unit"],
            edition=row["edition"],
            source=Source(key=row["key"], where=row["where"], flag=Flag[row["flag"]]),
            note=row["note"],
        )
        for row in packaged_lines("limits.csv")
    )
