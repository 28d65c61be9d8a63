"""Conditions that the free parts of an array shall meet, and their derivatives.

For every element: the reflection of what its receiver sees against the wanted source, two real numbers; where three
parts are free also the imaginary part of A / Am, the loop's current with its receiver over that with a power-matched
one (:mod:`loopwright.circuits.loop_response`). A wave that the receiver throws back changes the loop's current
by an amount whose size the receiver alone decides while the loss of the network is small; its phase is best where
A / Am is real and small.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.loop_response import LoopResponse, loop_response, part_slopes
from loopwright.circuits.main_values import bounds_of, with_value
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.source_match import source_reflection
from loopwright.circuits.wiring import ElementCircuit

__all__ = [
    "CONDITIONS",
    "DECOUPLING_COUNTS",
    "SOLVED",
    "MatchingProblem",
    "Settled",
    "conditions",
    "of_one_element",
    "response_of",
    "settle",
    "with_logarithms",
]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Largest change of a value in one step, as a logarithm.
_LONGEST_STEP = 0.5
#: Root of the sum of squares of the conditions at which they are met.
MET = 1e-9
#: What may be left of the conditions where a descent counts as a solution.
SOLVED = 1e-6
#: What a decibel of decoupling counts beside one of mismatch, where values are ranked.
DECOUPLING_COUNTS = 0.01
#: Of an element: resistance, reactance and phase.
CONDITIONS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchingProblem:
    """Free parts of an array and what they shall do.

    Attributes
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps. [ohm]
    frequency_hz : float
        [Hz]
    circuits : tuple of ElementCircuit
        One per element; what is not free stays.
    free : tuple of (int, str)
        Element and name of each free part.
    wanted_ohm : ndarray, shape (C,)
        Source that each receiver shall see. [ohm]
    phased : ndarray, shape (C,)
        One where the third condition counts, else nothing.
    limits : mapping of str to (float, float)
        Least and most value of parts, by name, where they are narrower than those of the kind. [F], [H], [m]
    """

    port_ohm: Complexes
    frequency_hz: float
    circuits: tuple[ElementCircuit, ...]
    free: tuple[tuple[int, str], ...]
    wanted_ohm: Complexes
    phased: Reals
    limits: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def bounds(self) -> tuple[Reals, Reals]:
        """Logarithms of the least and the most value of each free part."""
        both = np.log([self.limits.get(name) or bounds_of(self.circuits[e], name) for e, name in self.free])
        return both[:, 0], both[:, 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Where the descent came to rest.

    Attributes
    ----------
    logarithms : ndarray, shape (..., U)
        Of the free parts' values.
    misses : ndarray, shape (..., 3, C)
        What is left of the conditions.
    iterations : int
    """

    logarithms: Reals
    misses: Reals
    iterations: int

    @property
    def distance(self) -> Reals:
        """Root of the sum of squares of what is left, shape (...)."""
        return np.asarray(np.sqrt(np.sum(self.misses**2, axis=(-2, -1))))


def of_one_element(problem: MatchingProblem, element: int, own_ohm: Complexes) -> MatchingProblem:
    """One element by itself, its gaps seeing ``own_ohm``, shape (g, g). [ohm]"""
    return replace(
        problem,
        port_ohm=own_ohm,
        circuits=(problem.circuits[element],),
        free=tuple((0, name) for owner, name in problem.free if owner == element),
        wanted_ohm=problem.wanted_ohm[[element]],
        phased=problem.phased[[element]],
    )


def with_logarithms(
    circuits: Sequence[ElementCircuit], free: Sequence[tuple[int, str]], logarithms: Reals
) -> tuple[ElementCircuit, ...]:
    """Circuits with the free parts at the exponentials of ``logarithms``, shape (..., U)."""
    changed = list(circuits)
    for number, (element, name) in enumerate(free):
        value = np.exp(logarithms[..., number])
        changed[element] = with_value(changed[element], name, float(value) if value.ndim == 0 else value)
    return tuple(changed)


def response_of(problem: MatchingProblem, logarithms: Reals) -> LoopResponse:
    """Response of the receiving array at values of the free parts, shape (..., U)."""
    circuits = with_logarithms(problem.circuits, problem.free, logarithms)
    state = array_state(problem.port_ohm, circuits, [RECEIVING] * len(circuits), frequency_hz=problem.frequency_hz)
    return loop_response(state, problem.wanted_ohm)


def conditions(problem: MatchingProblem, logarithms: Reals) -> tuple[Reals, Reals]:
    """Say how far the conditions are missed, and how that goes with the free parts.

    Parameters
    ----------
    problem : MatchingProblem
        Free parts and conditions.
    logarithms : ndarray, shape (..., U)
        Of the free parts' values.

    Returns
    -------
    misses : ndarray, shape (..., 3, C)
        Real and imaginary part of the reflection, imaginary part of A / Am where it counts.
    slopes : ndarray, shape (..., 3, C, U)
        Their derivatives.
    """
    response = response_of(problem, logarithms)
    number = {free: at for at, free in enumerate(problem.free)}
    seen, wanted = response.state.seen_ohm, problem.wanted_ohm
    ratio = response.loop_siemens / response.matched_siemens
    rows = [source_reflection(seen, wanted)]
    misses = np.stack((rows[0].real, rows[0].imag, problem.phased * ratio.imag), axis=-2)
    slopes = np.zeros((*misses.shape, len(problem.free)))
    by_seen = 2 * wanted.real / (seen + wanted.conj()) ** 2
    for group, name, slope in part_slopes(response):
        for place, element in enumerate(group.elements.tolist()):
            if (at := number.get((element, name))) is not None:
                of_match = by_seen * slope.seen_ohm[..., place, :]
                relative = slope.loop_siemens[..., place, :] - ratio * slope.matched_siemens[..., place, :]
                slopes[..., 0, :, at], slopes[..., 1, :, at] = of_match.real, of_match.imag
                slopes[..., 2, :, at] = problem.phased * (relative / response.matched_siemens).imag
    return misses, slopes


def settle(problem: MatchingProblem, start: Reals, *, most_iterations: int = 60) -> Settled:
    """Descend from given values until the conditions are met or nothing helps.

    Parameters
    ----------
    problem : MatchingProblem
        Free parts and conditions.
    start : ndarray, shape (..., U)
        Logarithms of the values to start from; several starts go in front and are followed side by side.
    most_iterations : int
        At most so many steps.

    Returns
    -------
    Settled

    Notes
    -----
    Damped least squares with the derivatives of ``conditions``; a part at its bound stays there while the slope of the
    sum of squares points outward. The damping shrinks with the miss, so that the end is Newton's.

    References
    ----------
    J. Nocedal, S. J. Wright, Numerical Optimization, 2nd ed., Springer 2006, chapter 10 (from memory).
    """
    low, high = problem.bounds
    x = np.clip(start, low, high)
    misses, slopes = conditions(problem, x)
    damping = np.full(x.shape[:-1], 1e-2)
    iteration = 0
    for iteration in range(1, most_iterations + 1):  # noqa: B007 - told afterwards
        r = misses.reshape(*x.shape[:-1], -1)
        size = np.linalg.norm(r, axis=-1)
        if np.all((size < MET) | (damping > 1e8)):
            break
        trial = np.clip(x + _step(r, slopes, damping * np.minimum(size, 1), x, low, high), low, high)
        new_misses, new_slopes = conditions(problem, trial)
        new_size = np.linalg.norm(new_misses.reshape(r.shape), axis=-1)
        better = new_size < size
        x = np.where(better[..., None], trial, x)
        misses = np.where(better[..., None, None], new_misses, misses)
        slopes = np.where(better[..., None, None, None], new_slopes, slopes)
        damping = np.where(better, np.maximum(damping / 10, 1e-12), np.maximum(damping, 1e-6) * 8)
        # A minimum that is no solution: nothing is gained any more.
        damping = np.where(better & (size - new_size < 1e-9 * size), 1e9, damping)
    return Settled(logarithms=x, misses=misses, iterations=iteration)


def _step(r: Reals, slopes: Reals, damping: Reals, x: Reals, low: Reals, high: Reals) -> Reals:
    """Damped least-squares step, no longer than the longest."""
    jacobian = slopes.reshape(*r.shape, x.shape[-1])
    downhill = -np.einsum("...mu,...m->...u", jacobian, r)
    held = ((x <= low) & (downhill < 0)) | ((x >= high) & (downhill > 0))
    jacobian = np.where(held[..., None, :], 0.0, jacobian)
    normal = np.swapaxes(jacobian, -1, -2) @ jacobian
    here = np.arange(x.shape[-1])
    scale = np.trace(normal, axis1=-2, axis2=-1) / x.shape[-1]
    # The least share keeps the matrix regular where more parts are free than conditions count.
    normal[..., here, here] += ((damping + 1e-13) * scale + 1e-300)[..., None]
    downhill = np.where(held, 0.0, downhill)
    step = np.linalg.solve(normal, downhill[..., None])[..., 0]
    longest = np.max(np.abs(step), axis=-1, keepdims=True)
    return np.asarray(step * np.minimum(1, _LONGEST_STEP / np.maximum(longest, 1e-300)))
