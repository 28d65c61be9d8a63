"""Values that can be bought or cut, and trimmers set again beside them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.loop_response import LoopResponse, decoupling_db
from loopwright.circuits.main_values import main_value, with_value
from loopwright.circuits.surroundings import open_gaps_ohm
from loopwright.circuits.values.matching_problem import (
    DECOUPLING_COUNTS,
    MatchingProblem,
    of_one_element,
    response_of,
    settle,
    with_logarithms,
)
from loopwright.circuits.values.preferred_values import Ladder, Series, nearest
from loopwright.circuits.values.source_match import noise_figure_losses_db, source_reflection
from loopwright.circuits.values.synthesis import Synthesis
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress

__all__ = ["Snapped", "snap"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Values on offer that are tried for each part: the nearest of them.
_TRIED = 4
#: Times round the array: neighbours' values move what each element sees.
_ROUNDS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapped:
    """Circuits of values on offer, and what that costs.

    Attributes
    ----------
    circuits : tuple of ElementCircuit
    seen_ohm : ndarray, shape (C,)
        By each receiver, all others in place. [ohm]
    noise_figure_loss_db : ndarray, shape (C,)
        Above the best of each preamplifier. [dB]
    reflection : ndarray, shape (C,)
        Against the wanted source.
    decoupling_db : ndarray, shape (C,)
        [dB]
    tried : int
        Sets of values looked at.
    """

    circuits: tuple[ElementCircuit, ...]
    seen_ohm: Complexes
    noise_figure_loss_db: Reals
    reflection: Complexes
    decoupling_db: Reals
    tried: int


def snap(
    ports: ArrayPorts,
    synthesis: Synthesis,
    choices: Mapping[str, Series | Ladder],
    *,
    trimmers: Mapping[str, tuple[float, float]],
    progress: Progress,
) -> Snapped:
    """Exchange exact values for those on offer, the trimmers set again for each set of values.

    Parameters
    ----------
    ports : ArrayPorts
        Open gaps of all elements.
    synthesis : Synthesis
        Exact values.
    choices : mapping of str to Series or Ladder
        What is on offer for each part, by name.
    trimmers : mapping of str to (float, float)
        Parts that stay adjustable, with their range. [F], [H], [m]
    progress : Progress
        One step for each element and round.

    Returns
    -------
    Snapped

    Raises
    ------
    OutsideModelError
        If a part is both, or a name is strange.

    Notes
    -----
    Element after element among all others as they stand, the four nearest values of each part in all combinations; the
    set of least mismatch against the wanted source is kept, 100 dB of decoupling counted as 1 dB of mismatch. At last
    all trimmers are set together. The noise figure rises with the mismatch alone, so the least of one is that of both.
    """
    _agree(synthesis.circuits, choices, trimmers)
    circuits, tried = synthesis.circuits, 0
    progress.begin("Values on offer", _ROUNDS * len(circuits))
    for element in [*range(len(circuits))] * _ROUNDS:
        problem = _problem(ports, circuits, synthesis.wanted_ohm, trimmers)
        among = open_gaps_ohm(response_of(problem, _logarithms(problem)).state, [element])
        exact = synthesis.circuits[element]
        best, count = _best_set(of_one_element(problem, element, among), exact, choices)
        circuits = (*circuits[:element], best, *circuits[element + 1 :])
        tried += count
        progress.advance()
    problem = _problem(ports, circuits, synthesis.wanted_ohm, trimmers)
    logarithms = settle(problem, _logarithms(problem)).logarithms if problem.free else _logarithms(problem)
    return _told(problem, logarithms, tried)


def _agree(
    circuits: tuple[ElementCircuit, ...], choices: Mapping[str, Series | Ladder], trimmers: Mapping[str, object]
) -> None:
    if both := sorted(set(choices) & set(trimmers)):
        raise OutsideModelError(f"{', '.join(both)}: either a value on offer or a trimmer, not both")
    known = {branch.name for circuit in circuits for branch in circuit.branches}
    if strange := sorted((set(choices) | set(trimmers)) - known):
        raise OutsideModelError(f"no part is called {', '.join(strange)}; there are {', '.join(sorted(known))}")


def _problem(
    ports: ArrayPorts,
    circuits: tuple[ElementCircuit, ...],
    wanted_ohm: Complexes,
    trimmers: Mapping[str, tuple[float, float]],
) -> MatchingProblem:
    free = [(e, b.name) for e, circuit in enumerate(circuits) for b in circuit.branches if b.name in trimmers]
    return MatchingProblem(
        port_ohm=ports.at_operation_ohm,
        frequency_hz=ports.frequency_hz,
        circuits=circuits,
        free=tuple(free),
        wanted_ohm=wanted_ohm,
        phased=np.zeros(len(circuits)),
        limits=trimmers,
    )


def _logarithms(problem: MatchingProblem) -> Reals:
    return np.array([float(np.log(np.asarray(main_value(problem.circuits[e], name)))) for e, name in problem.free])


def _best_set(
    problem: MatchingProblem, exact: ElementCircuit, choices: Mapping[str, Series | Ladder]
) -> tuple[ElementCircuit, int]:
    """Best combination of nearest values for one element among the others; and how many were looked at."""
    names = [branch.name for branch in exact.branches if branch.name in choices]
    offers = [nearest(float(np.asarray(main_value(exact, name))), choices[name], count=_TRIED) for name in names]
    sets = np.array(list(product(*offers)))  # one empty set where nothing is on offer
    circuit = problem.circuits[0]
    for number, name in enumerate(names):
        circuit = with_value(circuit, name, sets[:, number])
    tried = replace(problem, circuits=(circuit,))
    logarithms = np.tile(_logarithms(problem), (len(sets), 1))
    if problem.free:
        logarithms = settle(tried, logarithms).logarithms
    best = int(np.argmin(_cost(response_of(tried, logarithms))))
    for number, name in enumerate(names):
        circuit = with_value(circuit, name, float(sets[best, number]))
    return with_logarithms((circuit,), problem.free, logarithms[best])[0], len(sets)


def _cost(response: LoopResponse) -> Reals:
    reflected = np.abs(source_reflection(response.state.seen_ohm, response.matched_ohm)) ** 2
    mismatch_db = -10 * np.log10(np.maximum(1 - reflected, 1e-30))
    return np.asarray(
        np.broadcast_to((mismatch_db - DECOUPLING_COUNTS * decoupling_db(response))[..., 0], reflected.shape[:-1])
    )


def _told(problem: MatchingProblem, logarithms: Reals, tried: int) -> Snapped:
    response = response_of(problem, logarithms)
    seen = response.state.seen_ohm
    return Snapped(
        circuits=with_logarithms(problem.circuits, problem.free, logarithms),
        seen_ohm=seen,
        noise_figure_loss_db=noise_figure_losses_db((c.receiver for c in problem.circuits), seen),
        reflection=source_reflection(seen, problem.wanted_ohm),
        decoupling_db=decoupling_db(response),
        tried=tried,
    )
