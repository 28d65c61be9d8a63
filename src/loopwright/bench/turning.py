"""Which part to turn, which way, by how much, to bring what was measured to what is wanted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from loopwright.bench.fitting import BenchFit
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.parts import Capacitor, CrossedDiodes, Fuse, Inductor, Line, OffGap, Part, PinDiode, Resistor
from loopwright.circuits.states import RECEIVING, scaled
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["Turn", "main_value", "turns"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: A part is turned by no more than this factor.
_REACH = 1.6
#: Draws from the posterior that tell how well the turn is known.
_DRAWS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One part of one element turned to where the element's reflection is least.

    Attributes
    ----------
    element : int
    part : str
    value, wanted : float
        As fitted, and after the turn; in the SI unit of the part.
    unit : str
    change : float
        Relative change.
    change_deviation : float
        Standard deviation of the relative change, from what the measurement leaves open.
    reflection_before, reflection_after : float
        Size at the operating frequency against the wanted source, the other elements as they are. [1]
    """

    element: int
    part: str
    value: float
    wanted: float
    unit: str
    change: float
    change_deviation: float
    reflection_before: float
    reflection_after: float


def turns(
    fit: BenchFit, *, wanted_ohm: Sequence[complex], adjustable: Sequence[str], seed: int = 1
) -> tuple[Turn, ...]:
    """Rank the parts of each element by what turning each of them alone would gain.

    Parameters
    ----------
    fit : BenchFit
        What was measured.
    wanted_ohm : sequence of complex
        Source that every receiver wants to see. [ohm]
    adjustable : sequence of str
        Names of the parts that can be turned.
    seed : int
        Of the draws behind the standard deviations.

    Returns
    -------
    tuple of Turn
        The best first. One turn at a time: after it, measure again.
    """
    generator = np.random.default_rng(seed)
    draws = generator.multivariate_normal(fit.values, fit.covariance, size=_DRAWS)
    found = [
        _turn(fit, draws, element, branch.name, complex(wanted_ohm[element]))
        for element, circuit in enumerate(fit.model.circuits)
        for branch in circuit.branches
        if branch.name in adjustable
    ]
    return tuple(sorted(found, key=lambda turn: turn.reflection_after))


def _turn(fit: BenchFit, draws: Floats, element: int, name: str, wanted_ohm: complex) -> Turn:
    middle = _Situation.of(fit, fit.values)
    factor, after = middle.best_factor(element, name, wanted_ohm)
    spread = np.std([_Situation.of(fit, draw).best_factor(element, name, wanted_ohm)[0] for draw in draws])
    value, unit = main_value(middle.circuits[element].part(name))
    return Turn(
        element=element,
        part=name,
        value=value,
        wanted=value * factor,
        unit=unit,
        change=factor - 1,
        change_deviation=float(spread),
        reflection_before=middle.reflection(element, name, 1.0, wanted_ohm),
        reflection_after=after,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Situation:
    """The cluster at the operating frequency for one set of differences."""

    port_ohm: Complexes
    circuits: tuple[ElementCircuit, ...]
    frequency_hz: float

    @classmethod
    def of(cls, fit: BenchFit, values: Floats) -> "_Situation":
        at = int(np.argmin(np.abs(fit.model.frequencies_hz - fit.model.frequency_hz)))
        return cls(
            port_ohm=fit.model.port_ohm_with(values)[at],
            circuits=fit.model.circuits_with(values),
            frequency_hz=float(fit.model.frequencies_hz[at]),
        )

    def reflection(self, element: int, name: str, factor: float, wanted_ohm: complex) -> float:
        """Size of the reflection of an element with one part turned by a factor."""
        circuits = list(self.circuits)
        part = circuits[element].part(name)
        turned = replace(part, length_m=part.length_m * factor) if isinstance(part, Line) else scaled(part, factor)
        circuits[element] = circuits[element].with_part(name, turned)
        state = array_state(self.port_ohm, circuits, [RECEIVING] * len(circuits), frequency_hz=self.frequency_hz)
        seen = complex(state.seen_ohm[element])
        return float(abs((seen - wanted_ohm) / (seen + wanted_ohm.conjugate())))

    def best_factor(self, element: int, name: str, wanted_ohm: complex) -> tuple[float, float]:
        """Factor of least reflection, and that reflection: the best of a ladder, refined."""

        def at(logarithm: float) -> float:
            return self.reflection(element, name, float(np.exp(logarithm)), wanted_ohm)

        ladder = np.linspace(-np.log(_REACH), np.log(_REACH), 25)
        best = int(np.argmin([at(step) for step in ladder.tolist()]))
        low, high = ladder[max(best - 1, 0)], ladder[min(best + 1, len(ladder) - 1)]
        found = minimize_scalar(at, bounds=(low, high), method="bounded", options={"xatol": 1e-6})
        return float(np.exp(found.x)), float(found.fun)


def main_value(part: Part | Line) -> tuple[float, str]:
    """Value by which a part is known, and its SI unit.

    Parameters
    ----------
    part : Part or Line
        Fields are numbers.
    """
    match part:
        case Capacitor(capacitance_f=value):
            return float(value), "F"
        case Inductor(inductance_h=value):
            return float(value), "H"
        case Line(length_m=value):
            return float(value), "m"
        case PinDiode(forward_resistance_ohm=value) | CrossedDiodes(conducting_resistance_ohm=value):
            return float(value), "ohm"
        case Resistor(resistance_ohm=value) | OffGap(resistance_ohm=value) | Fuse(resistance_ohm=value):
            return float(value), "ohm"
    assert_never(part)
