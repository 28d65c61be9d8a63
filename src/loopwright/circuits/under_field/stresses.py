"""Voltage across every part and current through it, and what its maker allows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from loopwright.circuits.array_circuit import ArrayState
from loopwright.circuits.node_voltages import PartPattern, induced_voltages_v, part_patterns
from loopwright.circuits.parts import Capacitor, Inductor, Line, Part, PinDiode
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["COMMON_MARGIN", "Exceeded", "Stress", "ratings_exceeded", "stresses"]

#: Ratings stand at least so many times above the stress (common practice).
COMMON_MARGIN = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stress:
    """Peak voltage across a part and peak current through it; of a line, the larger of its two ends.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
    voltage_v, current_a : float
        [V], [A]
    """

    element: int
    part: str
    voltage_v: float
    current_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Exceeded:
    """A part whose rating does not stand far enough above its stress.

    Attributes
    ----------
    stress : Stress
    rating : float
        Peak. [V] or [A]
    unit : str
    margin : float
        Rating over stress.
    """

    stress: Stress
    rating: float
    unit: str
    margin: float

    @property
    def sentence(self) -> str:
        """What is wrong, with names and figures."""
        found = self.stress.voltage_v if self.unit == "V" else self.stress.current_a
        return (
            f"element {self.stress.element + 1}, {self.stress.part}: {found:.3g} {self.unit} peak, rated "
            f"{self.rating:.3g} {self.unit}, a margin of {self.margin:.2g}"
        )


def stresses(state: ArrayState, emf_v: ArrayLike) -> tuple[Stress, ...]:
    """Stress of every part while voltages are induced in the open gaps.

    Parameters
    ----------
    state : ArrayState
        Without leading axes.
    emf_v : array_like, shape (P,)
        Peak voltages of the open gaps. [V]

    Returns
    -------
    tuple of Stress
        Element after element.
    """
    voltages = induced_voltages_v(state, np.asarray(emf_v, dtype=np.complex128))
    found = [stress for pattern in part_patterns(state, voltages) for stress in _of_part(pattern)]
    return tuple(sorted(found, key=lambda stress: stress.element))


def _of_part(pattern: PartPattern) -> Iterator[Stress]:
    voltage, current = (np.abs(ends[..., 0]).max(axis=-1) for ends in (pattern.voltage, pattern.current))
    for element, v, i in zip(pattern.elements.tolist(), voltage.tolist(), current.tolist(), strict=True):
        yield Stress(element=element, part=pattern.name, voltage_v=v, current_a=i)


def ratings_exceeded(
    circuits: Sequence[ElementCircuit], found: Sequence[Stress], *, least_margin: float = COMMON_MARGIN
) -> tuple[Exceeded, ...]:
    """Parts whose rating does not stand far enough above their stress, the worst first.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        With the ratings; diodes as they are.
    found : sequence of Stress
        Of these circuits in a state. A diode's current is held against its rating where it conducts, its voltage where
        it blocks: whichever applies is the larger share of its rating.
    least_margin : float
        Rating over stress that is asked for.

    Returns
    -------
    tuple of Exceeded
        Fuses are left out: they are there to open.
    """
    exceeded = [
        Exceeded(stress=stress, rating=rating, unit=unit, margin=rating / value)
        for stress in found
        for rating, unit, value in _ratings(circuits[stress.element].part(stress.part), stress)
        if value > 0 and rating / value < least_margin
    ]
    return tuple(sorted(exceeded, key=lambda one: one.margin))


def _ratings(part: Part | Line, stress: Stress) -> Iterator[tuple[float, str, float]]:
    match part:
        case Capacitor():
            yield float(np.min(part.rated_voltage_v)), "V", stress.voltage_v
        case Inductor():
            yield float(np.min(part.rated_current_a)), "A", stress.current_a
        case PinDiode():
            yield float(np.min(part.rated_current_a)), "A", stress.current_a
            yield float(np.min(part.rated_voltage_v)), "V", stress.voltage_v
        case _:
            return
