"""The value of a part that an engineer chooses, and within which bounds one can be had."""

from dataclasses import replace

import numpy as np

from loopwright.circuits.parts import Capacitor, Inductor, Line, Part, Values
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["LEAST_AND_MOST", "bounds_of", "main_value", "printed_value", "unit_of", "with_value", "with_values"]

#: Least and most of what can be bought, wound or cut (common practice): capacitance [F], inductance [H], length [m].
LEAST_AND_MOST: dict[type[Part | Line], tuple[float, float]] = {
    Capacitor: (0.3e-12, 2e-9),
    Inductor: (1e-9, 2e-6),
    Line: (1e-3, 3.0),
}

_UNITS: dict[type[Part | Line], tuple[str, str, float]] = {
    Capacitor: ("F", "pF", 1e12),
    Inductor: ("H", "nH", 1e9),
    Line: ("m", "mm", 1e3),
}


def main_value(circuit: ElementCircuit, name: str) -> Values:
    """Capacitance, inductance or length of a part. [F], [H], [m]

    Raises
    ------
    OutsideModelError
        If there is no such part, or it is of a kind that nobody chooses to match by.
    """
    match part := circuit.part(name):
        case Capacitor():
            return part.capacitance_f
        case Inductor():
            return part.inductance_h
        case Line():
            return part.length_m
    raise OutsideModelError(
        f"{name} is a {type(part).__name__}: only capacitors, inductors and the lengths of lines can be chosen"
    )


def with_value(circuit: ElementCircuit, name: str, value: Values) -> ElementCircuit:
    """Return the same circuit with another capacitance, inductance or length of a part. [F], [H], [m]

    Raises
    ------
    OutsideModelError
        If there is no such part, or it is of a kind that nobody chooses to match by.
    """
    match part := circuit.part(name):
        case Capacitor():
            return circuit.with_part(name, replace(part, capacitance_f=value))
        case Inductor():
            return circuit.with_part(name, replace(part, inductance_h=value))
        case Line():
            return circuit.with_part(name, replace(part, length_m=value))
    main_value(circuit, name)
    return circuit


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
    _, unit, factor = _UNITS[type(circuit.part(name))]
    return f"{value * factor:.3g} {unit}"


def unit_of(circuit: ElementCircuit, name: str) -> str:
    """SI unit of a part's main value: F, H or m."""
    return _UNITS[type(circuit.part(name))][0]
