"""Element by element, then all together: the descent of a whole array to its values."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.loop_response import decoupling_db
from loopwright.circuits.surroundings import open_gaps_ohm
from loopwright.circuits.values.matching_problem import (
    CONDITIONS,
    SOLVED,
    MatchingProblem,
    of_one_element,
    response_of,
    settle,
)
from loopwright.circuits.values.matching_starts import starts
from loopwright.circuits.values.out_of_reach import out_of_reach
from loopwright.ground.errors import NotConvergedError

__all__ = ["all_together", "element_alone"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Starts that are followed for an element that no neighbour's values serve.
_STARTS = 40
#: What a decibel of decoupling counts beside one of loss in the network.
_DECOUPLING_COUNTS = 0.1
#: Shares of the coupling between elements through which a stubborn array is led.
_COUPLING = (0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95)


def element_alone(problem: MatchingProblem, ports: ArrayPorts, *, element: int, found: Reals) -> tuple[Reals, float]:
    """Solve one element, the gaps of the others open.

    Parameters
    ----------
    problem : MatchingProblem
        Of the whole array.
    ports : ArrayPorts
        Its gaps.
    element : int
        Which.
    found : ndarray, shape (U,)
        Logarithms so far; those of the element before it, where its free parts are the same, are tried first.

    Returns
    -------
    ndarray, shape (free parts of the element,)
        Logarithms.
    float
        One where its phase counts, nothing where no values within bounds reach it.

    Raises
    ------
    OutsideModelError
        If nothing matches it.
    """
    gaps = np.flatnonzero(ports.port_element == element)
    alone = of_one_element(problem, element, problem.port_ohm[np.ix_(gaps, gaps)])
    names = [name for _, name in alone.free]
    for before in range(element - 1, -1, -1):
        start = found[[at for at, (owner, _) in enumerate(problem.free) if owner == before]]
        if [name for owner, name in problem.free if owner == before] == names:
            if (near := settle(alone, start[None])).distance[0] < SOLVED:
                return np.asarray(near.logarithms[0]), float(alone.phased[0])
            break
    return _from_many_starts(alone, element)


def _from_many_starts(alone: MatchingProblem, element: int) -> tuple[Reals, float]:
    begun = starts(alone, count=_STARTS)
    settled = settle(alone, begun)
    if not np.any(settled.distance < SOLVED) and alone.phased[0]:
        # The match comes first; without room for the phase, the phase is what results.
        alone = replace(alone, phased=np.zeros(1))
        settled = settle(alone, settled.logarithms)
    solved = settled.distance < SOLVED
    if not solved.any():
        raise out_of_reach(alone, element, settled)
    candidates = settled.logarithms[solved]
    if len(alone.free) > CONDITIONS:
        # Solutions without number: the one nearest to the given values, which start the list.
        return np.asarray(candidates[np.argmin(np.sum((candidates - begun[0]) ** 2, axis=-1))]), float(alone.phased[0])
    return _best(alone, candidates), float(alone.phased[0])


def _best(alone: MatchingProblem, candidates: Reals) -> Reals:
    """Of the solutions for one element the best, 10 dB of decoupling counted as 1 dB of loss."""
    response = response_of(alone, candidates)
    # All see the same source, so the voltage at the receiver tells the power available there.
    received_db = 20 * np.log10(np.abs(response.at_receiver[..., 0]))
    return np.asarray(candidates[np.argmax(received_db + _DECOUPLING_COUNTS * decoupling_db(response)[..., 0])])


def all_together(problem: MatchingProblem, ports: ArrayPorts, alone: Reals) -> tuple[MatchingProblem, Reals, int]:
    """Solve all elements at once: in one go, else by raising the coupling, else element after element first.

    Parameters
    ----------
    problem : MatchingProblem
        Of the whole array.
    ports : ArrayPorts
        Its gaps.
    alone : ndarray, shape (U,)
        Logarithms that serve each element alone.

    Returns
    -------
    MatchingProblem, ndarray, int
        The problem, phases that could not be had no longer in it; logarithms, shape (U,); solutions of the whole array.

    Raises
    ------
    NotConvergedError
        If the coupled array does not settle.
    """
    settled = settle(problem, alone)
    iterations = settled.iterations
    if settled.distance < SOLVED:
        return problem, settled.logarithms, iterations
    raised = alone
    for share in _COUPLING:
        raised = settle(
            replace(problem, port_ohm=_coupled(problem, ports, share)), raised, most_iterations=20
        ).logarithms
    for start in (raised, settled.logarithms):
        again = settle(problem, start)
        iterations += again.iterations
        if again.distance < SOLVED:
            return problem, again.logarithms, iterations
    problem, one_by_one = _one_by_one(problem, settled.logarithms)
    settled = settle(problem, one_by_one)
    if settled.distance < SOLVED:
        return problem, settled.logarithms, iterations + settled.iterations
    worst = int(np.argmax(np.max(np.abs(settled.misses), axis=0)))
    third = "" if problem.phased.all() else "free a third part in each element, so that the preamplifiers decouple; "
    raise NotConvergedError(
        f"each element can be matched, but the coupled array does not settle: element {worst + 1} keeps a reflection "
        f"of {np.hypot(*settled.misses[:2, worst]):.2g}. What helps: {third}overlap the elements more; a receiver of "
        "lower input impedance"
    )


def _coupled(problem: MatchingProblem, ports: ArrayPorts, share: float) -> Complexes:
    same = ports.port_element[:, None] == ports.port_element
    return np.asarray(np.where(same, 1.0, share) * problem.port_ohm)


def _one_by_one(problem: MatchingProblem, logarithms: Reals) -> tuple[MatchingProblem, Reals]:
    """Twice round the array, each element solved among all others as they stand."""
    logarithms, phased = logarithms.copy(), problem.phased.copy()
    for element in [*range(len(problem.circuits))] * 2:
        own = [at for at, (owner, _) in enumerate(problem.free) if owner == element]
        among = of_one_element(problem, element, open_gaps_ohm(response_of(problem, logarithms).state, [element]))
        near = settle(among, logarithms[own][None])
        if near.distance[0] < SOLVED:
            logarithms[own] = near.logarithms[0]
        else:
            among = replace(among, phased=np.zeros(1))
            logarithms[own], phased[element] = settle(among, near.logarithms).logarithms[0], 0.0
    return replace(problem, phased=phased), logarithms
