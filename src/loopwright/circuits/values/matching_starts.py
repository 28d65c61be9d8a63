"""Where to start from when one element shall be matched: a grid over its free parts, one of them at its best.

In the admittance y of any one two-ended part the impedance at the receiver is (a + b y) / (1 + c y), so three solutions
tell it for every value of that part; the others run over a grid of reactances.
"""

from itertools import product

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.main_values import main_value, with_value
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, Line
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.matching_problem import MatchingProblem, with_logarithms
from loopwright.circuits.values.source_match import source_reflection
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["starts"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Reactances of the grid (common practice: what matching networks are built of). [ohm]
_REACTANCES_OHM = np.geomspace(4.0, 800.0, 9)
#: Lengths of a line over the grid, in turns of the phase.
_TURNS = np.linspace(0.02, 0.5, 9)
_FINE = 400
#: More than so many parts at a time are not searched; the others start from the values they have.
_MOST_SEARCHED = 3


def starts(problem: MatchingProblem, *, count: int) -> Reals:
    """Values to start from, the best first.

    Parameters
    ----------
    problem : MatchingProblem
        Of one element.
    count : int
        At most so many.

    Returns
    -------
    ndarray, shape (S, U)
        Logarithms of the free parts' values.
    """
    circuit = problem.circuits[0]
    names = [name for _, name in problem.free]
    given = np.array([float(np.log(np.asarray(main_value(circuit, name)))) for name in names])
    searched = range(min(len(names), _MOST_SEARCHED))
    found, missed = [], []
    for at in searched:
        if not isinstance(circuit.part(names[at]), Line):
            others = [n for n in searched if n != at]
            grid = np.tile(given, (len(_REACTANCES_OHM) ** len(others), 1))
            ladders = [_ladder(circuit, names[n], problem.frequency_hz) for n in others]
            grid[:, others] = np.log(list(product(*ladders))) if others else 0
            best, miss = _at_best(problem, grid, at)
            found.append(best)
            missed.append(miss)
    if not found:
        return given[None]
    order = np.argsort(np.concatenate(missed))[: count - 1]
    return np.concatenate((given[None], np.concatenate(found)[order]))


def _ladder(circuit: ElementCircuit, name: str, frequency_hz: float) -> Reals:
    """Values of one part over the grid."""
    w = 2 * np.pi * frequency_hz
    match part := circuit.part(name):
        case Capacitor():
            return np.asarray(1 / (w * _REACTANCES_OHM))
        case Inductor():
            return np.asarray(_REACTANCES_OHM / w)
        case Line():
            return np.asarray(_TURNS * np.asarray(part.velocity_factor) * 299792458.0 / frequency_hz)
    return np.full(len(_REACTANCES_OHM), main_value(circuit, name))


def _at_best(problem: MatchingProblem, grid: Reals, at: int) -> tuple[Reals, Reals]:
    """Put part ``at`` to the value of least reflection for every point of the grid; points and reflections."""
    name = problem.free[at][1]
    low, high = (bound[at] for bound in problem.bounds)
    probes = np.log(_ladder(problem.circuits[0], name, problem.frequency_hz)[[2, 4, 6]])
    points = np.repeat(grid[None], 3, axis=0)
    points[..., at] = probes[:, None]
    seen = _seen_ohm(problem, points)  # (3, G)
    fine = np.linspace(low, high, _FINE)
    unit = np.abs(_admittance(problem, name, probes[1:2]))[0]
    y, along = _admittance(problem, name, probes) / unit, _admittance(problem, name, fine) / unit
    # a + b y - c y z = z at three values of y.
    rows = np.stack((np.ones_like(seen), np.broadcast_to(y[:, None], seen.shape), -y[:, None] * seen), axis=-1)
    # A part that the receiver does not see leaves them undetermined: any that hold will do.
    a, b, c = np.moveaxis((np.linalg.pinv(np.swapaxes(rows, 0, 1)) @ seen.T[..., None])[..., 0], -1, 0)
    z = (a[:, None] + b[:, None] * along) / (1 + c[:, None] * along)
    miss = np.abs(source_reflection(z, problem.wanted_ohm[0]))
    least = np.argmin(miss, axis=-1)
    best = grid.copy()
    best[:, at] = fine[least]
    return best, miss[np.arange(len(grid)), least]


def _seen_ohm(problem: MatchingProblem, points: Reals) -> Complexes:
    circuits = with_logarithms(problem.circuits, problem.free, points)
    state = array_state(problem.port_ohm, circuits, [RECEIVING], frequency_hz=problem.frequency_hz)
    return np.asarray(state.seen_ohm[..., 0])


def _admittance(problem: MatchingProblem, name: str, logarithms: Reals) -> Complexes:
    part = with_value(problem.circuits[0], name, np.exp(logarithms)).part(name)
    if not isinstance(part, Capacitor | Inductor):
        raise TypeError(f"{name} has no admittance between two ends")
    return admittance_siemens(part, problem.frequency_hz)
