"""Circuits with the values that can be bought in place of those that were found."""

from collections.abc import Sequence
from dataclasses import replace

from loopwright.circuits.parts import Capacitor, Line, Part, Resistor
from loopwright.circuits.values.preferred_values import Series, nearest
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["TRIMMER", "as_bought", "nearest_fixed"]

#: Word for capacitors that are trimmed to the value found; the fixed ones beside them are of the series E24.
TRIMMER = "trimmer"


def nearest_fixed(value: float, values: str) -> float:
    """Value of a fixed part that is nearest by ratio.

    Parameters
    ----------
    value : float
        Positive, in any unit.
    values : str
        Name of a series of IEC 60063, or ``trimmer``.
    """
    series = Series.E24 if values == TRIMMER else Series[values]
    return float(f"{nearest(value, series)[0]:.6g}")


def as_bought(circuit: ElementCircuit, *, values: str, free: Sequence[str]) -> ElementCircuit:
    """Take capacitors and resistors from the series; inductors and lines are made to their value.

    Parameters
    ----------
    circuit : ElementCircuit
        With the values that were found, numbers only.
    values : str
        A series of IEC 60063, or ``trimmer``: the free capacitors keep their value then.
    free : sequence of str
        Names of the parts that were free.
    """
    for branch in circuit.branches:
        if values != TRIMMER or branch.name not in free:
            circuit = circuit.with_part(branch.name, _bought(circuit.part(branch.name), values))
    return circuit


def _bought(part: Part | Line, values: str) -> Part | Line:
    match part:
        case Capacitor():
            return replace(part, capacitance_f=nearest_fixed(float(part.capacitance_f), values))
        case Resistor():
            return replace(part, resistance_ohm=nearest_fixed(float(part.resistance_ohm), values))
        case _:
            return part
