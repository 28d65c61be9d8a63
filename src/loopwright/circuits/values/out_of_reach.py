"""What to say when one element cannot be matched among all others as they stand."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.main_values import LEAST_AND_MOST, printed_value
from loopwright.circuits.values.matching_problem import SOLVED, MatchingProblem, Settled, response_of, settle
from loopwright.ground.errors import OutsideModelError

__all__ = ["out_of_reach"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: How far beyond the bounds of its kind a value is looked for that would do.
_WIDER = 30.0
#: Resistances that differ by less than this share count as equal: only the reactance is missing.
_SAME_RESISTANCE = 0.2


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
        With the nearest source that can be had, what would be needed, and a remedy.
    """
    best = settled.logarithms[np.argmin(settled.distance)]
    seen, wanted = complex(response_of(problem, best).state.seen_ohm[0]), complex(problem.wanted_ohm[0])
    free = [name for _, name in problem.free]
    circuit = problem.circuits[0]
    others = [b.name for b in circuit.branches if type(circuit.part(b.name)) in LEAST_AND_MOST and b.name not in free]
    why = _beyond_bounds(problem, settled) or _what_is_missing(problem, seen, wanted)
    named = f" ({', '.join(others)})" if others else ""
    return OutsideModelError(
        f"element {element + 1}: {', '.join(free)} cannot make its receiver see {_said(wanted)}; the nearest is "
        f"{_said(seen)}. {why}. Free another part{named}, choose another ready circuit, or ask for another source"
    )


def _beyond_bounds(problem: MatchingProblem, settled: Settled) -> str:
    """Values that would do but cannot be had; nothing where none would."""
    low, high = (np.exp(bound) for bound in problem.bounds)
    names = [name for _, name in problem.free]
    wider = {name: (a / _WIDER, b * _WIDER) for name, a, b in zip(names, low.tolist(), high.tolist(), strict=True)}
    found = settle(replace(problem, limits=wider), settled.logarithms)
    if not np.any(found.distance < SOLVED):
        return ""
    solutions = np.exp(found.logarithms[found.distance < SOLVED])
    beyond = np.log(np.maximum(np.maximum(solutions / high, low / solutions), 1))
    values = solutions[np.argmin(beyond.sum(axis=-1))]
    circuit = problem.circuits[0]
    return "; ".join(
        f"{name} would have to be {printed_value(circuit, name, float(value))}, beyond "
        f"{printed_value(circuit, name, float(least if value < least else most))}"
        for name, value, least, most in zip(names, values, low, high, strict=True)
        if not least <= value <= most
    )


def _what_is_missing(problem: MatchingProblem, seen: complex, wanted: complex) -> str:
    """Say which reactance would still be needed, or that the resistance is what the fixed parts make of it."""
    missing = wanted - seen
    if abs(missing.real) > _SAME_RESISTANCE * wanted.real:
        way = "up" if missing.real > 0 else "down"
        times = max(wanted.real / seen.real, seen.real / wanted.real)
        return f"The resistance would still have to be stepped {way} {times:.3g} times: no positive values do it"
    w = 2 * np.pi * problem.frequency_hz
    part = f"{missing.imag / w * 1e9:.3g} nH" if missing.imag > 0 else f"{-1e12 / (w * missing.imag):.3g} pF"
    return (
        f"{missing.imag:.3g} ohm more would be needed in series with the receiver, {part}, which no positive values of "
        "these parts make"
    )


def _said(impedance_ohm: complex) -> str:
    sign = "+" if impedance_ohm.imag >= 0 else "-"
    return f"{impedance_ohm.real:.3g} {sign} {abs(impedance_ohm.imag):.3g}j ohm"
