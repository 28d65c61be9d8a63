"""One element among all others as they stand, and what to say when it cannot be matched there."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState, gap_voltages_v
from loopwright.circuits.main_values import printed_value
from loopwright.circuits.matching_problem import MatchingProblem, Settled, conditions, response_of
from loopwright.ground.errors import OutsideModelError

__all__ = ["among_the_others_ohm", "out_of_reach"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]


def among_the_others_ohm(state: ArrayState, gaps: NDArray[np.intp]) -> Complexes:
    """Impedance between one element's open gaps, the circuits of all others in place.

    Parameters
    ----------
    state : ArrayState
        Without leading axes.
    gaps : ndarray of int, shape (g,)
        The element's gaps.

    Returns
    -------
    ndarray, shape (g, g)
        (G^{-1} - Y)^{-1} with G the block of (1 + ZY)^{-1} Z and Y the element's own circuit. [ohm]
    """
    block = gap_voltages_v(state, state.port_ohm[:, gaps])[gaps]
    for group in state.groups:
        for place, ports in enumerate(group.ports):
            if ports[0] == gaps[0]:
                own = group.reduced.gap_siemens[place]
                # G (1 - YG)^{-1}: nothing has to be inverted that could be singular with a shorted gap.
                return np.asarray(block @ np.linalg.inv(np.eye(len(gaps)) - own @ block))
    raise OutsideModelError(f"no element starts at gap {gaps[0]}")


def out_of_reach(problem: MatchingProblem, element: int, settled: Settled) -> OutsideModelError:
    """Say why one element cannot be matched.

    Parameters
    ----------
    problem : MatchingProblem
        Of that element alone.
    element : int
        Its number, counted from nought.
    settled : Settled
        The best that was found from each start.

    Returns
    -------
    OutsideModelError
        With the nearest source that can be had, the parts at their bounds, what they would have to be, and a remedy.
    """
    best = settled.logarithms[np.argmin(settled.distance)]
    seen, wanted = complex(response_of(problem, best).state.seen_ohm[0]), complex(problem.wanted_ohm[0])
    free = ", ".join(name for _, name in problem.free)
    at_bounds = list(_at_bounds(problem, best))
    why = "; ".join(at_bounds) if at_bounds else "no value of these parts does better"
    return OutsideModelError(
        f"element {element + 1}: {free} cannot make its receiver see {_said(wanted)}; the nearest is {_said(seen)}. "
        f"{why[0].upper()}{why[1:]}. Free another part, choose another ready circuit, or ask for another source"
    )


def _at_bounds(problem: MatchingProblem, logarithms: Reals) -> Iterator[str]:
    """Parts at their bounds, and the values that the slopes there ask for."""
    misses, slopes = conditions(problem, logarithms)
    values = np.exp(logarithms)
    per_value = slopes[:2, 0] / values  # by the value itself, which a straight line may take below zero
    wanted = values + np.linalg.lstsq(per_value * values, -misses[:2, 0], rcond=None)[0] * values
    low, high = problem.bounds
    circuit = problem.circuits[0]
    for number, (_, name) in enumerate(problem.free):
        at_low, at_high = logarithms[number] <= low[number], logarithms[number] >= high[number]
        if at_low or at_high:
            bound = printed_value(circuit, name, float(values[number]))
            asked = printed_value(circuit, name, float(wanted[number]))
            yield f"{name} stands at its {'least' if at_low else 'most'}, {bound}; straight on, {asked} would be needed"


def _said(impedance_ohm: complex) -> str:
    sign = "+" if impedance_ohm.imag >= 0 else "-"
    return f"{impedance_ohm.real:.3g} {sign} {abs(impedance_ohm.imag):.3g}j ohm"
