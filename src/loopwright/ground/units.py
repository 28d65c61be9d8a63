"""The single converter between engineers' text and SI numbers.

Text such as ``80 mm`` exists in briefs and on paper only; everything else holds SI floats. There is one pint registry,
built when the first unit is read, so that importing this module costs nothing.
"""

import math
import re
import unicodedata
from functools import cache
from typing import Any

from loopwright.ground.errors import LoopwrightError

__all__ = ["UnitTextError", "engineering_text", "example_text", "quantity_name", "si_value"]

_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_DECIMAL_COMMA = re.compile(r"[-+]?[0-9]+,[0-9]+")
_NOT_FINITE = re.compile(r"[-+]?\.?(?:nan|inf|infinity)\b", re.IGNORECASE)
# One power of one digit on every symbol, products and quotients: all that trade units need. Anything longer never
# reaches the parser, which would otherwise multiply out towers of powers.
_SYMBOL = r"[A-Za-zµμΩ°]{1,20}(?:\^?-?[0-9])?"
_UNIT = re.compile(rf"{_SYMBOL}(?: ?[*/·] ?{_SYMBOL}| {_SYMBOL}){{0,3}}")

#: SI unit -> (what it measures, an example, the units engineers write it in as (SI value of one, symbol)).
_QUANTITIES: dict[str, tuple[str, str, tuple[tuple[float, str], ...]]] = {
    "m": ("length", "80 mm", ((1e-6, "um"), (1e-3, "mm"), (1.0, "m"))),
    "m^2": ("area", "64 cm^2", ((1e-6, "mm^2"), (1e-4, "cm^2"), (1.0, "m^2"))),
    "m^3": ("volume", "8 mm^3", ((1e-9, "mm^3"), (1e-6, "cm^3"), (1.0, "m^3"))),
    "s": ("time", "5 ms", ((1e-6, "us"), (1e-3, "ms"), (1.0, "s"))),
    "Hz": ("frequency", "127.7 MHz", ((1.0, "Hz"), (1e3, "kHz"), (1e6, "MHz"), (1e9, "GHz"))),
    "T": ("magnetic flux density", "3 T", ((1e-9, "nT"), (1e-6, "uT"), (1e-3, "mT"), (1.0, "T"))),
    "T/A": ("magnetic flux density per current", "4 uT/A", ((1e-9, "nT/A"), (1e-6, "uT/A"), (1e-3, "mT/A"))),
    "A": ("current", "100 mA", ((1e-6, "uA"), (1e-3, "mA"), (1.0, "A"))),
    "A/m": ("magnetisation", "9 mA/m", ((1e-6, "uA/m"), (1e-3, "mA/m"), (1.0, "A/m"))),
    "V": ("voltage", "40 V", ((1e-9, "nV"), (1e-6, "uV"), (1e-3, "mV"), (1.0, "V"), (1e3, "kV"))),
    "V/m": ("electric field", "40 kV/mm", ((1.0, "V/m"), (1e3, "kV/m"), (1e6, "kV/mm"))),
    "W": ("power", "10 mW", ((1e-6, "uW"), (1e-3, "mW"), (1.0, "W"), (1e3, "kW"))),
    "W/kg": ("specific absorption rate", "2 W/kg", ((1e-3, "mW/kg"), (1.0, "W/kg"))),
    "ohm": ("resistance", "0.5 ohm", ((1.0, "ohm"), (1e3, "kohm"))),
    "ohm/m": ("resistance per length", "0.6 ohm/m", ((1.0, "ohm/m"),)),
    "H": ("inductance", "180 nH", ((1e-12, "pH"), (1e-9, "nH"), (1e-6, "uH"), (1e-3, "mH"))),
    "F": ("capacitance", "12 pF", ((1e-15, "fF"), (1e-12, "pF"), (1e-9, "nF"), (1e-6, "uF"))),
    "S/m": ("conductivity", "0.5 S/m", ((1.0, "S/m"), (1e6, "MS/m"))),
    "kg": ("mass", "400 g", ((1e-6, "mg"), (1e-3, "g"), (1.0, "kg"))),
    "kg/m^2": ("mass per area", "15 kg/m^2", ((1.0, "kg/m^2"),)),
    "N/m": ("pull per width", "20 N/m", ((1.0, "N/m"), (1e3, "kN/m"))),
    "kg/m": ("mass per length", "0.3 g/m", ((1e-6, "mg/m"), (1e-3, "g/m"), (1.0, "kg/m"))),
    "kg/m^3": ("density", "8960 kg/m^3", ((1.0, "kg/m^3"),)),
    "K": ("temperature", "37 degC", ((1.0, "degC"),)),
}
_ZERO_CELSIUS_K = 273.15
_COLD_K = 200.0  # colder things are told in kelvin


class UnitTextError(LoopwrightError, ValueError):
    """A text is not a number with a unit of the wanted kind."""

    def __init__(self, *, found: str, allowed: str, remedy: str) -> None:
        self.found = found
        self.allowed = allowed
        self.remedy = remedy
        super().__init__(f"{found}; allowed: {allowed}; {remedy}")


def quantity_name(unit: str) -> str:
    """Name of what an SI unit measures, such as ``length`` for ``m``."""
    return _QUANTITIES[unit][0]


def example_text(unit: str) -> str:
    """Return how an engineer would write a value of this SI unit, such as ``80 mm`` for ``m``."""
    return _QUANTITIES[unit][1]


def si_value(text: str, unit: str, *, example: str = "") -> float:
    """Read a number and its unit, and give it in the SI unit.

    Parameters
    ----------
    text
        For example ``80 mm`` or ``20 degC``; micro is ``u`` or ``µ``.
    unit
        One of the SI units that the trade needs here, such as ``m``, ``Hz`` or ``ohm``.
    example
        Text that would fit, for the remedy; empty takes that of :func:`example_text`.

    Returns
    -------
    float
        The value in that unit, rounded to 13 figures, so that ``80 mm`` and ``8 cm`` are the same number.

    Raises
    ------
    UnitTextError
        If the text has no unit, a unit of another kind, a number that is not finite, or is something else altogether.

    Notes
    -----
    Frequencies have to be written in hertz: a radian has no dimension, so ``rad/s`` would slip through 2 pi too small.
    """
    example = example or example_text(unit)
    plain = unicodedata.normalize("NFKC", text).replace("−", "-").strip()
    number = _NUMBER.match(plain)
    if number is None or _DECIMAL_COMMA.match(plain):
        raise _not_a_number(text, plain, unit, example)
    unit_text = plain[number.end() :].strip()
    if not unit_text:
        raise _refusal(f"{text!r}, which has no unit", unit, example)
    value = _converted(text, float(number.group()), unit_text, unit, example)
    if not math.isfinite(value):
        raise _refusal(f"{text!r}, which is not finite", unit, example)
    return float(f"{value:.13g}")


def engineering_text(value: float, unit: str, *, digits: int = 4) -> str:
    """Write an SI value as an engineer would, such as ``80 mm`` for 0.08 and ``m``.

    Parameters
    ----------
    value
        The value in the SI unit.
    unit
        One of the SI units that :func:`si_value` knows.
    digits
        Significant figures; trailing zeros are left out.

    Returns
    -------
    str
        Text that :func:`si_value` reads back to the same figures.
    """
    if unit == "K":
        return f"{value - _ZERO_CELSIUS_K:.{digits}g} degC" if value > _COLD_K else f"{value:.{digits}g} K"
    steps = _QUANTITIES[unit][2]
    if value == 0 or not math.isfinite(value):
        return f"{value + 0.0:g} {_QUANTITIES[unit][1].partition(' ')[2] if value == 0 else unit}"
    # Rounding first, so that 0.9999 mm at three figures is 1 mm and not 1e+03 um.
    size = abs(float(f"{value:.{digits}g}"))
    factor, symbol = max((step for step in steps if step[0] <= size * (1 + 1e-12)), default=steps[0])
    rounded = float(f"{value / factor:.{digits}g}")
    return f"{rounded:.12g} {symbol}"  # so that 590 mm to two figures is not 5.9e+02 mm


def _not_a_number(text: str, plain: str, unit: str, example: str) -> UnitTextError:
    if _NOT_FINITE.match(plain):
        return _refusal(f"{text!r}, which is not finite", unit, example)
    if _DECIMAL_COMMA.match(plain):
        comma = f"write a decimal point instead of the comma, as in {example!r}"
        return UnitTextError(found=repr(text), allowed=_kind(unit), remedy=comma)
    return _refusal(repr(text), unit, example)


def _converted(text: str, number: float, unit_text: str, unit: str, example: str) -> float:
    """Convert, or say which kind of quantity was written instead."""
    if not _UNIT.fullmatch(unit_text) or unit_text.startswith("delta"):
        raise _refusal(f"{text!r}, where {unit_text!r} is not a unit", unit, example)
    spelled = re.sub(r"([A-Za-zµμΩ°])(-?[0-9])", r"\1^\2", unit_text).replace("°C", "degC").replace("·", "*")
    try:
        value, kind = _measured(number, spelled, unit)
    except Exception as error:  # pint raises many kinds for what is no plain unit; all mean the same to the engineer
        raise _refusal(f"{text!r}, where {unit_text!r} is not a known unit", unit, example) from error
    if kind:
        raise _refusal(f"{text!r}, which is {kind}", unit, example)
    if unit == "Hz" and not spelled.endswith(("Hz", "hertz")):
        raise _refusal(f"{text!r}, which is not in hertz", unit, example)
    return value


def _measured(number: float, unit_text: str, unit: str) -> tuple[float, str]:
    """Value in the SI unit; or what kind of quantity it is, where that is another."""
    registry = _registry()
    quantity = registry.Quantity(number, registry.parse_units(unit_text))
    if quantity.is_compatible_with(unit):
        return float(quantity.to(unit).magnitude), ""
    return math.nan, _described(quantity, unit)


def _described(quantity: Any, wanted: str) -> str:
    """Name the kind of a quantity, or say which it is not where the trade has no name for it."""
    for unit in _QUANTITIES:
        if quantity.is_compatible_with(unit):
            return _with_article(quantity_name(unit))
    return "a plain number" if quantity.dimensionless else f"no {quantity_name(wanted)}"


def _with_article(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _kind(unit: str) -> str:
    return f"{_with_article(quantity_name(unit))} with its unit, such as '{example_text(unit)}'"


def _refusal(found: str, unit: str, example: str) -> UnitTextError:
    return UnitTextError(found=found, allowed=_kind(unit), remedy=f"write a number and its unit, such as '{example}'")


@cache
def _registry() -> Any:
    """Build the one unit registry. It takes a third of a second, so it waits for the first unit."""
    import pint  # noqa: PLC0415 - see above

    return pint.UnitRegistry()
