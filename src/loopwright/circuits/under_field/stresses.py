"""Voltage across every part and current through it, and what its maker allows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, CircuitGroup, gap_voltages_v
from loopwright.circuits.nodal import branch_admittances_siemens
from loopwright.circuits.part_admittance import line_admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, Line, Part, PinDiode
from loopwright.circuits.wiring import ElementCircuit, Span, nodes_of

__all__ = ["COMMON_MARGIN", "Exceeded", "Stress", "ratings_exceeded", "stresses"]

Complexes = NDArray[np.complex128]

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
    gap_voltage = gap_voltages_v(state, np.asarray(emf_v, dtype=np.complex128)[:, None])[..., 0]
    found = [stress for group in state.groups for stress in _of_group(state, group, gap_voltage)]
    return tuple(sorted(found, key=lambda stress: stress.element))


def _of_group(state: ArrayState, group: CircuitGroup, gap_voltage: Complexes) -> Iterator[Stress]:
    nodes = nodes_of(group.circuit)
    voltages = (group.reduced.node_per_gap @ gap_voltage[group.ports][..., None])[..., 0]  # (E, n)
    admittances = branch_admittances_siemens(group.circuit, state.frequency_hz)

    def across(pair: tuple[str, str]) -> Complexes:
        one, other = (voltages[:, nodes.index(node)] if node in nodes else 0.0 for node in pair)
        return np.asarray(one - other + np.zeros(len(group.elements)), dtype=np.complex128)

    for branch in group.circuit.branches:
        if isinstance(branch, Span):
            own, mutual = line_admittance_siemens(branch.line, state.frequency_hz)
            near, far = across(branch.near), across(branch.far)
            voltage = np.maximum(np.abs(near), np.abs(far))
            current = np.maximum(np.abs(own * near + mutual * far), np.abs(own * far + mutual * near))
        else:
            voltage = np.abs(across(branch.between))
            current = np.abs(admittances[branch.name]) * voltage
        for element, v, i in zip(group.elements.tolist(), voltage, current, strict=True):
            yield Stress(element=element, part=branch.name, voltage_v=float(v), current_a=float(i))


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
