"""What is not the same in every unit that is built, and how far it strays."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.main_values import scaled
from loopwright.circuits.parts import Values
from loopwright.circuits.wiring import Branch, ElementCircuit, Span

__all__ = [
    "Cause",
    "ConductorSpread",
    "Draws",
    "ImpedanceSpread",
    "PartSpread",
    "Shape",
    "SharedBy",
    "conductor_spread",
    "drawn_circuits",
    "drawn_port_change_ohm",
    "standard_draws",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


class Shape(Enum):
    """How values lie within a spread."""

    NORMAL = "normal"
    UNIFORM = "uniform"


class SharedBy(Enum):
    """Which parts stray together: none, those of one element, or those of the whole array, as from one lot."""

    NOTHING = "nothing"
    ELEMENT = "element"
    ARRAY = "array"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSpread:
    """Parts of these names, in every element, stray from their value.

    Attributes
    ----------
    name : str
        What the cause is called.
    parts : tuple of str
        Names of parts; elements that have none of them are left alone.
    relative : float
        Half-width where the shape is uniform; standard deviation, of the logarithm, where it is normal, so that no
        value turns negative.
    shape : Shape
    shared_by : SharedBy
    """

    name: str
    parts: tuple[str, ...]
    relative: float
    shape: Shape = Shape.UNIFORM
    shared_by: SharedBy = SharedBy.NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpedanceSpread:
    """The impedance between the gaps strays, to first order in independent normal variables.

    Attributes
    ----------
    name : str
        What the cause is called.
    change_ohm : ndarray, shape ([frequencies,] variables, P, P)
        Change for one standard deviation of each; without the first axis the same at all frequencies. [ohm]
    """

    name: str
    change_ohm: Complexes


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorSpread:
    """Every element's conductor, printed for instance, has a resistance of its own.

    Attributes
    ----------
    name : str
        What the cause is called.
    relative : float
        Standard deviation of the logarithm of the resistance, so that none turns negative.
    own_ohm : ndarray, shape (E, P, P)
        Resistance of each element's conductor between its gaps. [ohm]
    """

    name: str
    relative: float
    own_ohm: Complexes


Cause = PartSpread | ImpedanceSpread | ConductorSpread


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """Standard variables of all causes: mean zero, and variance one whatever the shape.

    Attributes
    ----------
    variables : tuple of ndarray, each of shape (draws, variables of the cause)
    """

    variables: tuple[Floats, ...]

    def part(self, chosen: slice) -> "Draws":
        """Return some of the draws."""
        return Draws(variables=tuple(one[chosen] for one in self.variables))


def conductor_spread(
    name: str, relative: float, conductor_ohm: Complexes, port_element: NDArray[np.integer]
) -> ConductorSpread:
    """Take the conductors apart, element by element.

    Parameters
    ----------
    name : str
        What the cause is called.
    relative : float
        Standard deviation of the logarithm of the resistance.
    conductor_ohm : ndarray, shape (P, P)
        Resistance of the conductors between the gaps. [ohm]
    port_element : ndarray of int, shape (P,)
        Element of each gap.

    Returns
    -------
    ConductorSpread
        One variable for each element. What an element loses by the currents of others is left as it is.
    """
    own = port_element[:, None] == port_element
    alone = [conductor_ohm * own * (port_element == e) for e in range(int(port_element[-1]) + 1)]
    return ConductorSpread(name=name, relative=relative, own_ohm=np.asarray(alone, dtype=np.complex128))


def standard_draws(
    causes: Sequence[Cause], circuits: Sequence[ElementCircuit], *, count: int, generator: np.random.Generator
) -> Draws:
    """Draw the variables of all causes.

    Parameters
    ----------
    causes : sequence of Cause
    circuits : sequence of ElementCircuit
        One for each element.
    count : int
        Number of draws.
    generator : numpy Generator
        Its seed decides everything.

    Returns
    -------
    Draws
    """
    return Draws(variables=tuple(_drawn(cause, circuits, count, generator) for cause in causes))


def _drawn(cause: Cause, circuits: Sequence[ElementCircuit], count: int, generator: np.random.Generator) -> Floats:
    match cause:
        case ImpedanceSpread():
            return generator.standard_normal((count, cause.change_ohm.shape[-3]))
        case ConductorSpread():
            return generator.standard_normal((count, len(cause.own_ohm)))
        case PartSpread():
            number = 1 + max((at for at in _places(cause, circuits).values()), default=-1)
            if cause.shape is Shape.NORMAL:
                return generator.standard_normal((count, number))
            return generator.uniform(-np.sqrt(3), np.sqrt(3), (count, number))
    assert_never(cause)


def _places(cause: PartSpread, circuits: Sequence[ElementCircuit]) -> dict[tuple[int, str], int]:
    """Variable of every part that the cause moves, by element and name."""
    own = [(e, b.name) for e, circuit in enumerate(circuits) for b in circuit.branches if b.name in cause.parts]
    match cause.shared_by:
        case SharedBy.NOTHING:
            return {place: at for at, place in enumerate(own)}
        case SharedBy.ELEMENT:
            return {(e, name): e for e, name in own}
        case SharedBy.ARRAY:
            return dict.fromkeys(own, 0)
    assert_never(cause.shared_by)


def _relative(cause: PartSpread, standard: Floats) -> Floats:
    """Relative deviation for a standard variable."""
    if cause.shape is Shape.NORMAL:
        return np.expm1(cause.relative * standard)
    return np.asarray(cause.relative / np.sqrt(3) * standard)


def drawn_circuits(
    circuits: Sequence[ElementCircuit], causes: Sequence[Cause], draws: Draws
) -> tuple[ElementCircuit, ...]:
    """Give the parts their drawn values.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        With the values that are meant.
    causes : sequence of Cause
    draws : Draws
        Of the same causes.

    Returns
    -------
    tuple of ElementCircuit
        Fields of the moved parts have the shape (draws,); several causes on one part multiply.
    """
    factors: dict[tuple[int, str], Values] = {}
    for cause, standard in zip(causes, draws.variables, strict=True):
        if isinstance(cause, PartSpread):
            for place, at in _places(cause, circuits).items():
                factors[place] = factors.get(place, 1.0) * (1 + _relative(cause, standard[:, at]))
    return tuple(
        replace(circuit, branches=tuple(_moved(b, factors.get((e, b.name))) for b in circuit.branches))
        for e, circuit in enumerate(circuits)
    )


def _moved(branch: Branch | Span, factor: Values | None) -> Branch | Span:
    if factor is None:
        return branch
    if isinstance(branch, Span):
        return replace(branch, line=scaled(branch.line, factor))
    return replace(branch, part=scaled(branch.part, factor))


def drawn_port_change_ohm(causes: Sequence[Cause], draws: Draws, *, ports: int) -> Complexes:
    """Change of the impedance between the gaps in every draw.

    Parameters
    ----------
    causes : sequence of Cause
    draws : Draws
        Of the same causes.
    ports : int
        Number of gaps.

    Returns
    -------
    ndarray, shape ([frequencies,] draws, P, P)
        With frequencies where a cause tells them apart. [ohm]
    """
    count = len(draws.variables[0]) if draws.variables else 0
    change = np.zeros((count, ports, ports), dtype=np.complex128)
    for cause, standard in zip(causes, draws.variables, strict=True):
        match cause:
            case ImpedanceSpread():
                change = change + _summed_ohm(standard, cause.change_ohm)
            case ConductorSpread():
                change = change + _summed_ohm(np.expm1(cause.relative * standard), cause.own_ohm)
    return change


def _summed_ohm(standard: Floats, change_ohm: Complexes) -> Complexes:
    """Sum over the variables, as one product of real matrices: half the work of a complex one."""
    *leading, variables, rows, columns = change_ohm.shape
    flat = np.ascontiguousarray(change_ohm).reshape(*leading, variables, rows * columns).view(np.float64)
    return np.asarray((standard @ flat).view(np.complex128).reshape(*leading, len(standard), rows, columns))
