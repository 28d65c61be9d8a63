"""A brief told back in engineers' units, key by key."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees
from typing import Any

from loopwright.brief.records import Brief
from loopwright.ground.units import engineering_text

__all__ = ["SUFFIX_UNITS", "Told", "told"]

#: Ending of a field's name -> SI unit, the longer endings first; docs/nomenclature.md tells the same to people.
SUFFIX_UNITS = {
    "_kg_per_m3": "kg/m^3",
    "_db_per_m": "dB/m",
    "_v_per_m": "V/m",
    "_ohm_per_m": "ohm/m",
    "_kg_per_m": "kg/m",
    "_s_per_m": "S/m",
    "_a_per_m": "A/m",
    "_rad": "rad",
    "_ohm": "ohm",
    "_m3": "m^3",
    "_db": "dB",
    "_m2": "m^2",
    "_hz": "Hz",
    "_m": "m",
    "_k": "K",
    "_t": "T",
    "_v": "V",
    "_a": "A",
    "_s": "s",
    "_f": "F",
    "_h": "H",
}
#: Fields whose key has another name, beside the ending.
_KEYS = {
    "body.kind": "body.shape",
    ".eps_r": ".permittivity",
    ".sigma": ".conductivity",
    ".shift_fraction": ".shift",
    ".tissues": ".tissue",
    ".rated_current_rms": ".rated_current",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One value of a brief, as the engineer would write it."""

    field: str
    value: str


def told(brief: Brief) -> tuple[Told, ...]:
    """Tell every value of a brief, defaults included, under the name of its key.

    Parameters
    ----------
    brief
        The brief in SI units.

    Returns
    -------
    tuple of Told
        Paths such as ``array.tiling.stand_off`` with texts such as ``12 mm``, in the order of the records. Items of a
        list count from 1. What was left out and has no default is not told.
    """
    return tuple(_told("", brief.model_dump(exclude={"title", "designs", "cohort", "defaults_used"})))


def _told(path: str, value: Any) -> Iterator[Told]:
    match value:
        case dict():
            for name, entry in value.items():
                yield from _told(f"{path}.{name}" if path else name, entry)
        case tuple() if value and isinstance(value[0], dict):
            for number, entry in enumerate(value, start=1):
                yield from _told(f"{path}[{number}]", entry)
        case None | ():
            return
        case _:
            ending, unit = next(((e, u) for e, u in SUFFIX_UNITS.items() if path.endswith(e)), ("", ""))
            yield Told(field=_key(path.removesuffix(ending)), value=_text(value, unit))


def _key(path: str) -> str:
    path = path.replace(".what.", ".")
    for field, key in _KEYS.items():
        if path.endswith(field):
            return path.removesuffix(field) + key
    return path


def _text(value: Any, unit: str) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(_text(item, unit) for item in value) + "]"
    if isinstance(value, float) and unit.startswith("dB"):
        return f"{value:g} {unit}"
    if isinstance(value, float) and unit == "rad":
        return f"{degrees(value):.6g} deg"
    if isinstance(value, float):
        return engineering_text(value, unit, digits=6) if unit else f"{value:g}"
    return str(value)
