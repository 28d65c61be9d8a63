"""The value by which a part is known, and within which bounds one can be had."""

from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Inductor,
    Line,
    OffGap,
    Part,
    PinDiode,
    Resistor,
    Values,
)
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "LEAST_AND_MOST",
    "bounds_of",
    "main_value",
    "printed_value",
    "scaled",
    "unit_of",
    "value_of",
    "with_value",
    "with_values",
]

AnyPart = TypeVar("AnyPart", bound=Part | Line)

#: Field of the value of every kind of part, and its SI unit.
_FIELDS: dict[type[Part | Line], tuple[str, str]] = {
    Capacitor: ("capacitance_f", "F"),
    Inductor: ("inductance_h", "H"),
    Line: ("length_m", "m"),
    Resistor: ("resistance_ohm", "ohm"),
    OffGap: ("resistance_ohm", "ohm"),
    Fuse: ("resistance_ohm", "ohm"),
    PinDiode: ("forward_resistance_ohm", "ohm"),
    CrossedDiodes: ("conducting_resistance_ohm", "ohm"),
}

#: Least and most of what can be bought, wound or cut (common practice): capacitance [F], inductance [H], length [m].
LEAST_AND_MOST: dict[type[Part | Line], tuple[float, float]] = {
    Capacitor: (0.3e-12, 2e-9),
    Inductor: (1e-9, 2e-6),
    Line: (1e-3, 3.0),
}

_PRINTED = {"F": ("pF", 1e12), "H": ("nH", 1e9), "m": ("mm", 1e3)}


def value_of(part: Part | Line) -> tuple[Values, str]:
    """Value by which a part is known, and its SI unit; of a diode the resistance while it conducts.

    Parameters
    ----------
    part : Part or Line
        Fields are numbers, or arrays of draws.
    """
    field, unit = _field_of(part)
    return getattr(part, field), unit


def scaled(part: AnyPart, factor: Values) -> AnyPart:
    """Return the part with its value, ``value_of`` it, multiplied."""
    return _revalued(part, value_of(part)[0] * factor)


def _revalued(part: AnyPart, value: Values) -> AnyPart:
    change: dict[str, Any] = {_field_of(part)[0]: value}
    return replace(part, **change)


def _field_of(part: Part | Line) -> tuple[str, str]:
    return _FIELDS[type(part)]


def main_value(circuit: ElementCircuit, name: str) -> Values:
    """Capacitance, inductance or length of a part. [F], [H], [m]

    Raises
    ------
    OutsideModelError
        If there is no such part, or it is of a kind that nobody chooses to match by.
    """
    part = circuit.part(name)
    if type(part) not in LEAST_AND_MOST:
        raise OutsideModelError(
            f"{name} is a {type(part).__name__}: only capacitors, inductors and the lengths of lines can be chosen"
        )
    return value_of(part)[0]


def with_value(circuit: ElementCircuit, name: str, value: Values) -> ElementCircuit:
    """Return the same circuit with another capacitance, inductance or length of a part. [F], [H], [m]

    Raises
    ------
    OutsideModelError
        If there is no such part, or it is of a kind that nobody chooses to match by.
    """
    main_value(circuit, name)
    return circuit.with_part(name, _revalued(circuit.part(name), value))


def with_values(circuit: ElementCircuit, values: dict[str, Values]) -> ElementCircuit:
    """Return the same circuit with several parts' values changed."""
    for name, value in values.items():
        circuit = with_value(circuit, name, value)
    return circuit


def bounds_of(circuit: ElementCircuit, name: str) -> tuple[float, float]:
    """Least and most value of a part's kind, ``LEAST_AND_MOST``; widened to hold the value that it has."""
    value = np.asarray(main_value(circuit, name))
    low, high = LEAST_AND_MOST[type(circuit.part(name))]
    return min(low, float(value.min())), max(high, float(value.max()))


def printed_value(circuit: ElementCircuit, name: str, value: float) -> str:
    """Say a value of a part in the trade's unit, the value in SI."""
    unit, factor = _PRINTED[unit_of(circuit, name)]
    return f"{value * factor:.3g} {unit}"


def unit_of(circuit: ElementCircuit, name: str) -> str:
    """SI unit of a part's value."""
    return value_of(circuit.part(name))[1]
