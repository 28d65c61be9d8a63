"""The brief, said back entry by entry, and the defaults that filled it up."""

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from loopwright.brief.records import Brief
from loopwright.dossier.evidence import AskedLine, DefaultLine
from loopwright.dossier.numbers import printed_as_given

__all__ = ["SUFFIX_UNITS", "asked_lines", "default_lines", "unit_of_name"]

#: From the ending of a name to the SI unit that it stands for; docs/nomenclature.md tells the same to people.
SUFFIX_UNITS = {
    "_a_per_m": "A/m",
    "_hz": "Hz",
    "_k": "K",
    "_kg": "kg",
    "_kg_per_m3": "kg/m^3",
    "_m": "m",
    "_m3": "m^3",
    "_ohm": "ohm",
    "_ohm_per_m": "ohm/m",
    "_s_per_m": "S/m",
    "_t": "T",
}

_LEFT_OUT = frozenset({"title", "defaults_used", "designs", "frequency_convention"})


def unit_of_name(name: str) -> str:
    """Return the SI unit that a name ends in, the longest ending first; "1" where it ends in none.

    >>> unit_of_name("conductivity_s_per_m"), unit_of_name("radius_m"), unit_of_name("gaps")
    ('S/m', 'm', '1')
    """
    endings = [suffix for suffix in SUFFIX_UNITS if name.endswith(suffix)]
    return SUFFIX_UNITS[max(endings, key=len)] if endings else "1"


def asked_lines(brief: Brief) -> tuple[AskedLine, ...]:
    """Return every entry of the brief with its value as the page prints it."""
    return tuple(_lines("", brief))


def default_lines(brief: Brief) -> tuple[DefaultLine, ...]:
    """Return every entry that the brief left open, what was taken, and its source."""
    return tuple(
        DefaultLine(field=used.field, value=used.value, source=str(used.source)) for used in brief.defaults_used
    )


def _lines(path: str, record: BaseModel) -> Iterator[AskedLine]:
    for name in type(record).model_fields:
        if name not in _LEFT_OUT:
            yield from _line(f"{path}{name}", getattr(record, name))


def _line(path: str, value: Any) -> Iterator[AskedLine]:
    match value:
        case None:
            return
        case BaseModel():
            yield from _lines(f"{path}.", value)
        case tuple() if value and isinstance(value[0], BaseModel):
            for number, entry in enumerate(value, start=1):
                yield from _lines(f"{path} {number}.", entry)
        case ():
            return
        case _:
            unit = unit_of_name(path)
            yield AskedLine(field=path.removesuffix(_ending(path)).replace("_", " "), value=_words(value, unit))


def _ending(path: str) -> str:
    endings = [suffix for suffix in SUFFIX_UNITS if path.endswith(suffix)]
    return max(endings, key=len) if endings else ""


def _words(value: Any, unit: str) -> str:
    match value:
        case tuple():
            return ", ".join(_words(entry, unit) for entry in value)
        case int() | str():
            return str(value)
        case _:
            return printed_as_given(float(value), unit)
