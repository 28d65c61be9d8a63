"""What a transmit field does to every element in a state of its circuits: currents, voltages, the part at its limit."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf, isfinite, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, array_state, gap_currents_a
from loopwright.circuits.parts import Capacitor, CrossedDiodes, Fuse, Inductor, Line, Part, PinDiode
from loopwright.circuits.states import UNPLUGGED, Diodes, ElementState, pin_diode_conducts
from loopwright.circuits.under_field.stresses import stresses
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["ElementUnderField", "PartLoad", "StateUnderField", "share_of_rating", "state_under_field"]

Complexes = NDArray[np.complex128]

#: Silicon diodes begin to conduct about here (common practice). [V]
_DIODE_V = 0.6
#: Beside so much across their resistance, what junctions take counts for a tenth. [V]
_NO_MATTER_V = 10 * _DIODE_V


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLoad:
    """What one part bears.

    Attributes
    ----------
    name : str
    voltage_v, current_a : float
        Across it and through it; of a line, the greater of both ends. Peak. [V], [A]
    share : float
        Of its rating; NaN where none was given.
    """

    name: str
    voltage_v: float
    current_a: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementUnderField:
    """One element in a field.

    Attributes
    ----------
    mean_current_a, largest_current_a : float
        Over its gaps; where they differ much, currents end as displacement between the gaps. Peak. [A]
    isolation_db : float
        Its mean gap current in the tuned array with nothing plugged in and no diode acting, over that here. [dB]
    largest_gap_voltage_v : float
        Peak. [V]
    largest_gap : int
        Where that is, counted from one.
    parts : tuple of PartLoad
        The one nearest to its rating first, those without rating after them by voltage.
    """

    mean_current_a: float
    largest_current_a: float
    isolation_db: float
    largest_gap_voltage_v: float
    largest_gap: int
    parts: tuple[PartLoad, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StateUnderField:
    """The array in a field, all elements in one state."""

    name: str
    elements: tuple[ElementUnderField, ...]
    notes: tuple[str, ...]


def state_under_field(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    state: ElementState,
    *,
    emf_v: ArrayLike,
    frequency_hz: float,
) -> StateUnderField:
    """Put the array, all elements in one state, into a field.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    state : ElementState
        Of all of them.
    emf_v : array_like, shape (P,)
        Voltages that the field induces in the open gaps, peak. [V]
    frequency_hz : float
        [Hz]

    Returns
    -------
    StateUnderField
    """
    emf = np.asarray(emf_v, dtype=np.complex128)
    solved, tuned = (
        array_state(port_ohm, circuits, [s] * len(circuits), frequency_hz=frequency_hz) for s in (state, UNPLUGGED)
    )
    current, reference = gap_currents_a(solved, emf), gap_currents_a(tuned, emf)
    gap_v = np.abs(emf + port_ohm @ current)
    loads = _loads(solved, circuits, state, emf)
    first = np.cumsum([0, *(circuit.gap_count for circuit in circuits)])
    elements = []
    for element, parts in enumerate(loads):
        own = slice(first[element], first[element + 1])
        mean_a = float(np.abs(current[own]).mean())
        elements.append(
            ElementUnderField(
                mean_current_a=mean_a,
                largest_current_a=float(np.abs(current[own]).max()),
                isolation_db=float(20 * np.log10(np.abs(reference[own]).mean() / mean_a)),
                largest_gap_voltage_v=float(gap_v[own].max()),
                largest_gap=int(np.argmax(gap_v[own])) + 1,
                parts=tuple(sorted(parts, key=_rank)),
            )
        )
    return StateUnderField(name=state.name, elements=tuple(elements), notes=tuple(_notes(circuits, state, loads)))


def _rank(part: PartLoad) -> tuple[bool, float]:
    return (False, -part.share) if isfinite(part.share) else (True, -part.voltage_v)


def _loads(
    solved: ArrayState, circuits: Sequence[ElementCircuit], state: ElementState, emf: Complexes
) -> list[list[PartLoad]]:
    loads: list[list[PartLoad]] = [[] for _ in circuits]
    for found in stresses(solved, emf):
        v, i = found.voltage_v, found.current_a
        part = circuits[found.element].part(found.part)
        share = share_of_rating(part, found.part, state, voltage_v=v, current_a=i)
        loads[found.element].append(PartLoad(name=found.part, voltage_v=v, current_a=i, share=share))
    return loads


def share_of_rating(part: Part | Line, name: str, state: ElementState, *, voltage_v: float, current_a: float) -> float:
    """Part of its rating that a part bears.

    Parameters
    ----------
    part : Part or Line
        As it is before the state makes it a passive one.
    name : str
        Of the part.
    state : ElementState
        Of its element: a PIN diode is held against its current while it conducts, against its voltage while not.
    voltage_v, current_a : float
        Peak. [V], [A]

    Returns
    -------
    float
        NaN where no rating was given.
    """
    match part:
        case Capacitor():
            rated, borne = part.rated_voltage_v, voltage_v
        case Inductor():
            rated, borne = part.rated_current_a, current_a
        case Fuse():
            rated, borne = part.rated_current_rms_a, current_a / sqrt(2)
        case PinDiode() if pin_diode_conducts(name, state):
            rated, borne = part.rated_current_a, current_a
        case PinDiode():
            rated, borne = part.rated_voltage_v, voltage_v
        case _:
            rated, borne = inf, 0.0
    return borne / float(rated) if np.isfinite(rated) else float("nan")


def _notes(circuits: Sequence[ElementCircuit], state: ElementState, loads: list[list[PartLoad]]) -> Iterator[str]:
    across = [
        part.voltage_v
        for circuit, parts in zip(circuits, loads, strict=True)
        for part in parts
        if isinstance(circuit.part(part.name), CrossedDiodes)
    ]
    if state.crossed_diodes is Diodes.CONDUCT and across and min(across) < _NO_MATTER_V:
        yield (
            f"State “{state.name}”: crossed diodes are taken as their resistance alone, across which down to "
            f"{min(across):.2g} V stand. Junctions that conduct take near a volt whatever flows: traps block less, and "
            "loops carry more, than told of this state."
        )
    if state.crossed_diodes is Diodes.BLOCK and across and max(across) > _DIODE_V:
        yield (
            f"State “{state.name}”: crossed diodes are taken as blocking, but up to {max(across):.3g} V stand across "
            "them: in this field they would conduct."
        )
