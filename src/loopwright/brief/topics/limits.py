"""Limits: packaged ones that are replaced, and further ones."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Key, Words, did_you_mean, plain_number
from loopwright.brief.parts import Parts
from loopwright.brief.records import LimitRequest
from loopwright.brief.tree import Node, described
from loopwright.ground.limit_table import limit_rows

__all__ = ["LIMITS"]

_PACKAGED = {row.name: row for row in limit_rows()}
_NUMBER_AND_UNIT = re.compile(r"([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?) ?([A-Za-z%µ°/^0-9]{0,12})")


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberAsPrinted(Key):
    """A number and a unit as a rule prints them; a pure number has the unit ``1``."""

    @property
    def allowed(self) -> str:
        """Number and unit."""
        return "a number and its unit, or a number alone"

    @property
    def kind(self) -> str:
        """Number with or without unit."""
        return "number and unit"

    @property
    def example(self) -> str:
        """Return a distance."""
        return "5 mm"

    def value_of(self, node: Node) -> tuple[float, str]:
        """Read number and unit as they stand there."""
        found = _NUMBER_AND_UNIT.fullmatch(self.text_of(node))
        number = plain_number(found[1]) if found else None
        if found is None or number is None:
            raise self.unfit(described(node))
        return number, found[2] or "1"


def _as_printed(value: float, unit: str) -> str:
    return f"{value:g}" if unit == "1" else f"{value:g} {unit}"


def _not_below_nothing(draft: Draft) -> Iterator[Trouble]:
    """All that is packaged is limited above nothing; at or below it the limit would be none."""
    row, value = _PACKAGED.get(draft.get("name")), draft.get("value")
    if row is not None and value is not None and value[0] <= 0:
        yield Trouble(
            key="value",
            found=_as_printed(*value),
            allowed="a number above 0",
            remedy=f"write it as in `{_as_printed(row.value, row.unit)}`",
        )


def _in_its_unit(draft: Draft) -> Iterator[Trouble]:
    """A packaged limit keeps its unit and its side."""
    row, value = _PACKAGED.get(draft.get("name")), draft.get("value")
    if row is None:
        return
    if value is not None and value[1] != row.unit:
        yield Trouble(
            key="value",
            found=_as_printed(*value),
            allowed="a number without unit" if row.unit == "1" else f"a value in {row.unit}",
            remedy=f"write it as in `{_as_printed(row.value, row.unit)}`",
        )
    for key in ("quantity", "kind"):
        if key in draft.written:
            yield Trouble(
                key=key,
                found=f"`{key}` of the packaged limit {row.name!r}",
                allowed="of new limits only",
                remedy="take it out, or give the limit a name of its own",
            )


def _new_ones_whole(draft: Draft) -> Iterator[Trouble]:
    """A new limit says of what it is, and on which side values have to stay."""
    name = draft.get("name")
    missing = [key for key in ("quantity", "kind") if key not in draft.written]
    if name is None or name in _PACKAGED or not missing:
        return
    yield Trouble(
        key="name",
        found=f"{name!r}, which is no packaged limit, without {' and '.join(f'`{key}`' for key in missing)}",
        allowed=", ".join(_PACKAGED),
        remedy=did_you_mean(name, tuple(_PACKAGED), otherwise="a new limit needs `quantity` and `kind`"),
    )


def _limit(*, value: tuple[float, str], **others: Any) -> LimitRequest:
    return LimitRequest(value=value[0], unit=value[1], **others)


_LIMIT = Form(
    title="limit",
    keys=(
        Words(name="name", longest=60, sample="conductor to patient",
              meaning="Name of the packaged limit that it replaces, or a new one."),
        NumberAsPrinted(name="value", meaning="The limit, in the unit of the packaged one."),
        Words(name="edition", longest=120, sample="house rule 7, edition 2",
              meaning="Document and edition in which it stands, or `common practice`."),
        Words(name="why", longest=200, sample="our foam gives by 1 mm",
              meaning="Why it takes the place of the packaged one, or why it is added."),
        Words(name="quantity", longest=120, sample="weight of the array", absent=Absent.ALLOWED,
              meaning="Of a new limit: of what."),
        Choice(name="kind", options=("at most", "at least"), absent=Absent.ALLOWED,
               meaning="Of a new limit: on which side of it values have to stay."),
    ),
    rules=(_in_its_unit, _not_below_nothing, _new_ones_whole),
    build=_limit,
    strangers={"unit": "write it behind the number in `value`", "source": "write `edition` and `why`"},
    notes="The packaged limits are listed in the dossier with edition and source. A new limit is told as not assessed: "
    "nothing is computed for it.",
)  # fmt: skip

#: The key that holds them.
LIMITS = Parts(
    name="limits",
    of=_LIMIT,
    most=40,
    unique="name",
    absent=Absent.ALLOWED,
    meaning="Limits that replace packaged ones or stand beside them. Left out: the packaged limits.",
)
