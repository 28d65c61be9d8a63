"""How many units will do: thousands of arrays, each with parts, places and conductors that stray.

Every draw is one solution of the whole array for each of three frequencies, with its couplings; only the influence of
places on the impedance between the gaps is taken to first order.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.spread.spreads import Cause, Draws, drawn_circuits, drawn_port_change_ohm, standard_draws
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.source_match import noise_figure_losses_db, source_reflection
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress

__all__ = ["CauseShare", "Limits", "ToleranceStudy", "tolerance_study"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Draws solved at once: bounds the memory.
_AT_ONCE = 250
#: How far the parabola through three frequencies is followed, in steps between them.
_FARTHEST_STEPS = 3.0
#: Draws for each term of the regression below which shares of causes are not told.
_LEAST_DRAWS_PER_TERM = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What an element has to keep; infinite where nothing is asked.

    Attributes
    ----------
    reflection_db : float
        Largest reflection at the operating frequency against the source that is wanted. [dB]
    noise_loss_db : float
        Largest rise of the preamplifier's noise figure over its least. [dB]
    shift_hz : float
        Largest distance of the best match from the operating frequency; what lies at three steps of the study or
        beyond is never within it. [Hz]
    """

    reflection_db: float = np.inf
    noise_loss_db: float = np.inf
    shift_hz: float = np.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseShare:
    """Part of the variance that a cause explains by itself, to first order, mean over the elements; by criterion.

    Not a number where there are fewer than two draws for each term of the regression.
    """

    name: str
    reflection: float
    noise_loss: float
    shift: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceStudy:
    """Outcome of all draws.

    Attributes
    ----------
    frequencies_hz : ndarray, shape (3,)
        [Hz]
    reflection_db : ndarray, shape (draws, E)
        At the operating frequency. [dB]
    noise_loss_db : ndarray, shape (draws, E)
        [dB]
    shift_hz : ndarray, shape (draws, E)
        Where the reflection is least, from the parabola through three frequencies, less the operating frequency; held
        within three times the distance of the outer ones. [Hz]
    passed : ndarray of bool, shape (draws, E)
    element_yield : ndarray, shape (E,)
        Share of the draws in which each element keeps its limits.
    array_yield : float
        Share in which all do.
    array_yield_error : float
        Standard error of the latter; one draw at least, as where all passed the next may not.
    causes : tuple of CauseShare
        In falling order of what they do to the noise figure.
    unexplained : CauseShare
        What no cause explains by itself: curvature, and causes that act together.
    """

    frequencies_hz: Floats
    reflection_db: Floats
    noise_loss_db: Floats
    shift_hz: Floats
    passed: NDArray[np.bool_]
    element_yield: Floats
    array_yield: float
    array_yield_error: float
    causes: tuple[CauseShare, ...]
    unexplained: CauseShare


def tolerance_study(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    causes: Sequence[Cause],
    *,
    limits: Limits,
    step_hz: float,
    count: int,
    seed: int,
    progress: Progress,
) -> ToleranceStudy:
    """Draw arrays and see how many keep their limits.

    Parameters
    ----------
    ports : ArrayPorts
        Impedance between the gaps, body included.
    circuits : sequence of ElementCircuit
        With the values that are meant; their preamplifiers have noise parameters.
    causes : sequence of Cause
        What strays.
    limits : Limits
        What every element has to keep.
    step_hz : float
        The outer two frequencies lie this far from the operating one; about half a loaded bandwidth. [Hz]
    count : int
        Number of draws.
    seed : int
        Of the random numbers: the same seed gives the same study.
    progress : Progress
        Told every chunk of draws.

    Returns
    -------
    ToleranceStudy

    Raises
    ------
    OutsideModelError
        If a preamplifier has no noise parameters, or the band does not hold the three frequencies.
    """
    if any(circuit.receiver.noise is None for circuit in circuits):
        raise OutsideModelError("a tolerance study needs the noise parameters of every preamplifier")
    draws = standard_draws(causes, circuits, count=count, generator=np.random.default_rng(seed))
    frequencies_hz = ports.frequency_hz + step_hz * np.array([-1.0, 0.0, 1.0])
    port_ohm = [ports.at(float(f)) for f in frequencies_hz]
    seen = []
    for start in range(0, count, _AT_ONCE):
        seen.append(_seen_ohm(port_ohm, circuits, causes, draws.part(slice(start, start + _AT_ONCE)), frequencies_hz))
        progress.note(f"tolerance: {min(start + _AT_ONCE, count)} of {count} draws")
    return _judged(np.concatenate(seen, axis=1), circuits, causes, draws, limits, frequencies_hz)


def _seen_ohm(
    port_ohm: list[Complexes],
    circuits: Sequence[ElementCircuit],
    causes: Sequence[Cause],
    draws: Draws,
    frequencies_hz: Floats,
) -> Complexes:
    """What the receivers see, shape (frequency, draws, E). [ohm]"""
    drawn = drawn_circuits(circuits, causes, draws)
    change = drawn_port_change_ohm(causes, draws, ports=port_ohm[0].shape[-1])
    moved = np.broadcast_to(change, (len(port_ohm), *change.shape[-3:])) + np.stack(port_ohm)[:, None]
    states = [RECEIVING] * len(circuits)
    return np.stack(
        [
            array_state(here, drawn, states, frequency_hz=float(f)).seen_ohm
            for here, f in zip(moved, frequencies_hz, strict=True)
        ]
    )


def _judged(
    seen_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    causes: Sequence[Cause],
    draws: Draws,
    limits: Limits,
    frequencies_hz: Floats,
) -> ToleranceStudy:
    noises = [circuit.receiver.noise for circuit in circuits]
    wanted = np.array([noise.best_source_ohm for noise in noises if noise is not None])
    reflection = np.abs(source_reflection(seen_ohm, wanted))
    reflection_db = 20 * np.log10(np.maximum(reflection[1], 1e-6))
    noise_loss_db = noise_figure_losses_db((circuit.receiver for circuit in circuits), seen_ohm[1])
    step_hz = float(frequencies_hz[2] - frequencies_hz[1])
    shift_hz = _least_at(reflection**2, step_hz)
    # A shift at the end of what the parabola tells may be any larger one.
    near = (np.abs(shift_hz) <= limits.shift_hz) & (np.abs(shift_hz) < _FARTHEST_STEPS * step_hz)
    passed = (
        (reflection_db <= limits.reflection_db)
        & (noise_loss_db <= limits.noise_loss_db)
        & (near | np.isinf(limits.shift_hz))
    )
    whole = float(passed.all(axis=1).mean())
    shares = _shares(causes, draws, (reflection_db, noise_loss_db, shift_hz))
    return ToleranceStudy(
        frequencies_hz=frequencies_hz,
        reflection_db=reflection_db,
        noise_loss_db=noise_loss_db,
        shift_hz=shift_hz,
        passed=passed,
        element_yield=passed.mean(axis=0),
        array_yield=whole,
        array_yield_error=max(float(np.sqrt(whole * (1 - whole) / len(passed))), 1 / len(passed)),
        causes=tuple(sorted(shares[:-1], key=lambda share: -share.noise_loss)),
        unexplained=shares[-1],
    )


def _least_at(power: Floats, step_hz: float) -> Floats:
    """Place of the least of a parabola through three points, shape (3, ...) to (...). [Hz]"""
    low, middle, high = power
    curve = low - 2 * middle + high
    slope = (high - low) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        place = np.where(curve > 0, -slope / curve, -np.sign(slope) * np.inf)
    return np.asarray(step_hz * np.clip(np.nan_to_num(place), -_FARTHEST_STEPS, _FARTHEST_STEPS))


def _shares(causes: Sequence[Cause], draws: Draws, outcomes: tuple[Floats, ...]) -> tuple[CauseShare, ...]:
    """Variance that each cause explains by a linear and a square term of its own variables; the rest comes last.

    A noise loss is least where everything is as meant, so it goes with the square of what strays.
    """
    columns = [np.concatenate((one, one**2 - (one**2).mean(axis=0)), axis=1) for one in draws.variables]
    table = np.array([_explained(columns, outcome) for outcome in outcomes])
    names = (*(cause.name for cause in causes), "together, and the rest")
    values = np.concatenate((table, 1 - table.sum(axis=1, keepdims=True)), axis=1).T
    return tuple(
        CauseShare(name=name, reflection=float(row[0]), noise_loss=float(row[1]), shift=float(row[2]))
        for name, row in zip(names, values, strict=True)
    )


def _explained(columns: list[Floats], outcome: Floats) -> Floats:
    """Share of the variance of an outcome (draws, E) that each cause explains, mean over the elements.

    A regression explains something of pure chance, by the number of its columns over that of the draws: taken off.
    """
    centred = outcome - outcome.mean(axis=0)
    design = np.concatenate(columns, axis=1)
    design = design - design.mean(axis=0)
    if len(design) < _LEAST_DRAWS_PER_TERM * design.shape[1]:
        return np.full(len(columns), np.nan)
    weights, *_ = np.linalg.lstsq(design, centred, rcond=None)
    free = len(design) - 1 - design.shape[1]
    by_chance = ((centred - design @ weights) ** 2).sum(axis=0) / free / len(design)
    total = np.maximum(centred.var(axis=0), np.finfo(np.float64).tiny)
    ends = np.cumsum([0, *(column.shape[1] for column in columns)])
    explained = [(design[:, a:b] @ weights[a:b]).var(axis=0) - (b - a) * by_chance for a, b in pairwise(ends.tolist())]
    return np.array([float((one / total).mean()) for one in explained])
