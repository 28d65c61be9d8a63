"""A brief told back in engineers' units, key by key."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees
from typing import Any

from loopwright.brief.records import Brief
from loopwright.ground.growth import age_text
from loopwright.ground.units import engineering_text

__all__ = ["SUFFIX_UNITS", "Told", "told"]

#: Ending of a field's name -> SI unit, the longer endings first; docs/nomenclature.md tells the same to people.
SUFFIX_UNITS = {
    "_w_per_kg": "W/kg",
    "_kg_per_m3": "kg/m^3",
    "_kg_per_m2": "kg/m^2",
    "_db_per_m": "dB/m",
    "_v_per_m": "V/m",
    "_ohm_per_m": "ohm/m",
    "_kg_per_m": "kg/m",
    "_n_per_m": "N/m",
    "_s_per_m": "S/m",
    "_a_per_m": "A/m",
    "_rad": "rad",
    "_ohm": "ohm",
    "_m3": "m^3",
    "_kg": "kg",
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
    "_w": "W",
    "_h": "H",
}
#: Fields whose key has another name, beside the ending.
_KEYS = {
    "body.kind": "body.shape",
    "eps_r": "permittivity",
    ".sigma": ".conductivity",
    ".shift_fraction": ".shift",
    ".tissues": ".tissue",
    ".rated_current_rms": ".rated_current",
}
#: Liquids are weighed in grams for a litre, films and metals in kilograms for a cubic metre.
_IN_GRAMS_PER_LITRE = ".concentration_kg_per_m3"


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
        case {"label": int(label), "material": material}:
            yield from _told(f"{path.rpartition('[')[0]}.{label}", "air" if material is None else material)
        case {"salts": _, "temperature_k": _} if not path.endswith(".liquid"):
            yield from _told(f"{path}.liquid", value)
        case {"edition": _, "value": float(number), "unit": unit}:
            written = f"{number:g}" if unit == "1" else f"{number:g} {unit}"
            yield from _told(path, {key: entry for key, entry in value.items() if key not in ("value", "unit")})
            yield Told(field=f"{path}.value", value=written)
        case dict() if words := _in_words(value):
            yield Told(field=path, value=words)
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
            unit = "g/L" if path.endswith(_IN_GRAMS_PER_LITRE) else unit
            yield Told(field=_key(path.removesuffix(ending)), value=_text(value, unit))


def _in_words(record: dict[str, Any]) -> str:
    """A record that stands behind one key as a phrase; empty for any other."""
    match record:
        case {"age_years": float(years)}:
            return age_text(years)
        case {"gestation_weeks": float(weeks)}:
            return f"{weeks:g} weeks of gestation"
        case {"tissue": str(tissue)} if len(record) == 1:
            return tissue
        case _:
            return ""


def _key(path: str) -> str:
    path = path.replace(".what.", ".")
    for field, key in _KEYS.items():
        if path.endswith(field):
            return path.removesuffix(field) + key
    return path


def _text(value: Any, unit: str) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(_text(item, unit) for item in value) + "]"
    if isinstance(value, float) and unit == "rad":
        return f"{degrees(value):.6g} deg"
    if isinstance(value, float) and unit.startswith(("dB", "g/L")):
        return f"{value:g} {unit}"
    if isinstance(value, float) and unit == "rad":
        return f"{degrees(value):.6g} deg"
    if isinstance(value, float):
        return engineering_text(value, unit, digits=6) if unit else f"{value:g}"
    return str(value)
