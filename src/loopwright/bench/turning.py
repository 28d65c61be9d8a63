"""Which part to turn, which way, by how much, to bring what was measured to what is wanted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.bench.fitting import BenchFit
from loopwright.bench.model import Kind, turned
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.main_values import value_of
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.surroundings import surroundings_ohm
from loopwright.circuits.wiring import ElementCircuit, stacked

__all__ = ["Turn", "turns", "with_load"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: A part is turned by no more than this factor.
_REACH = 1.6
#: Draws from the posterior that tell how well the turn is known.
_DRAWS = 48
#: Steps of the ladder of factors, and how often it is drawn finer round its best.
_STEPS = 25
_FINER = 4


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
    step, step_deviation : float
        The same in the unit of the part.
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
    step: float
    step_deviation: float
    reflection_before: float
    reflection_after: float

    @property
    def at_the_end(self) -> bool:
        """Whether the least reflection lies at the end of what was tried, or beyond."""
        return abs(np.log1p(self.change)) > 0.999 * np.log(_REACH)


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
    drawn = (fit.values, *generator.multivariate_normal(fit.values, fit.covariance, size=_DRAWS))
    bare = [_bare(fit, values) for values in drawn]
    found = []
    for element, circuit in enumerate(fit.model.circuits):
        ((_, many),) = stacked([circuits[element] for circuits, _ in bare])
        one = _Element(circuit=many, gaps_ohm=np.stack([gaps[element] for _, gaps in bare]),
                       frequency_hz=fit.model.frequency_hz, wanted_ohm=complex(wanted_ohm[element]))  # fmt: skip
        found += [_turn(one, element, branch.name) for branch in circuit.branches if branch.name in adjustable]
    return tuple(sorted(found, key=lambda turn: turn.reflection_after))


def with_load(fit: BenchFit, operation_ohm: Complexes) -> BenchFit:
    """What a measurement in air says of the same coil on a body.

    Parameters
    ----------
    fit : BenchFit
        Of the coil in air.
    operation_ohm : ndarray, shape (P, P)
        Impedance between its gaps on the body, at the operating frequency. [ohm]

    Returns
    -------
    BenchFit
        Parts, inductance, coupling and lines as fitted; the resistance of the loops is mostly the body's, of which air
        says nothing, so it is that of the design with the width of its prior.
    """
    told = np.array([one.kind is not Kind.RESISTANCE for one in fit.model.differences])
    return replace(
        fit,
        model=replace(fit.model, operation_ohm=operation_ohm),
        values=np.where(told, fit.values, 0.0),
        covariance=fit.covariance * np.outer(told, told) + np.diag(~told),
    )


def _bare(fit: BenchFit, values: Floats) -> tuple[tuple[ElementCircuit, ...], tuple[Complexes, ...]]:
    """Circuits of one draw, and what the gaps of each element see, the others in place with their receivers."""
    circuits = fit.model.circuits_with(values)
    state = array_state(
        fit.model.operation_ohm_with(values),
        circuits,
        [RECEIVING] * len(circuits),
        frequency_hz=fit.model.frequency_hz,
    )
    return circuits, surroundings_ohm(state)


def _turn(one: "_Element", element: int, name: str) -> Turn:
    factor, after = one.best_factors(name)
    values, unit = value_of(one.circuit.part(name))
    steps = np.broadcast_to(values, factor.shape) * (factor - 1)
    value = float(np.broadcast_to(values, factor.shape)[0])
    return Turn(
        element=element,
        part=name,
        value=value,
        wanted=value * float(factor[0]),
        unit=unit,
        change=float(factor[0]) - 1,
        change_deviation=float(np.std(factor[1:])),
        step=float(steps[0]),
        step_deviation=float(np.std(steps[1:])),
        reflection_before=float(one.reflections(name, np.ones((1, 1)))[0, 0]),
        reflection_after=float(after[0]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Element:
    """One element at the operating frequency, one entry for each draw of what may differ; the fit itself comes first.

    The others act through the impedance of the gaps, which does not change while this one is turned.
    """

    circuit: ElementCircuit
    gaps_ohm: Complexes
    frequency_hz: float
    wanted_ohm: complex

    def reflections(self, name: str, factors: Floats) -> Floats:
        """Size of the reflection with one part turned by factors of the shape (S, draws or 1)."""
        circuit = turned(self.circuit, name, np.broadcast_to(factors, (len(factors), len(self.gaps_ohm))))
        seen = array_state(
            self.gaps_ohm, [circuit], [RECEIVING], frequency_hz=self.frequency_hz, receiver_siemens=np.zeros(1)
        ).seen_ohm[..., 0]
        return np.asarray(np.abs((seen - self.wanted_ohm) / (seen + np.conj(self.wanted_ohm))))

    def best_factors(self, name: str) -> tuple[Floats, Floats]:
        """Factor of least reflection for every draw, and it: the best of a ladder, drawn finer round it."""
        every = np.arange(len(self.gaps_ohm))
        reach = float(np.log(_REACH))
        centre = np.zeros(len(every))
        for _ in range(_FINER + 1):
            ladder = np.clip(centre + reach * np.linspace(-1, 1, _STEPS)[:, None], -np.log(_REACH), np.log(_REACH))
            sizes = self.reflections(name, np.exp(ladder))
            best = np.argmin(sizes, axis=0)
            centre, reach = ladder[best, every], 2 * reach / (_STEPS - 1)
        return np.exp(centre), sizes[best, every]
