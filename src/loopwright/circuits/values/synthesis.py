"""Values of the free parts, for all elements of the coupled array together."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.loop_response import decoupling_db
from loopwright.circuits.main_values import bounds_of, main_value, printed_value, with_value
from loopwright.circuits.values.coupled_matching import all_together, element_alone
from loopwright.circuits.values.matching_problem import (
    CONDITIONS,
    SOLVED,
    MatchingProblem,
    response_of,
    settle,
    with_logarithms,
)
from loopwright.circuits.values.source_match import noise_figure_losses_db
from loopwright.circuits.wiring import ElementCircuit, complaints
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress

__all__ = ["Synthesis", "Wanted", "matching_problem", "synthesise"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a synthesis shall reach, and by which parts.

    Attributes
    ----------
    free : tuple of str
        Names of the parts whose main value is free; a circuit that lacks one goes without.
    source_ohm : complex or None
        Impedance that every receiver shall see; None for the best source of its own preamplifier. [ohm]
    """

    free: tuple[str, ...]
    source_ohm: complex | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Synthesis:
    """Circuits with their values, and what they do in the receiving array.

    Attributes
    ----------
    circuits : tuple of ElementCircuit
    wanted_ohm, seen_ohm : ndarray, shape (C,)
        Source that was wanted, and the one that each receiver sees, all others in place. [ohm]
    noise_figure_loss_db : ndarray, shape (C,)
        Noise figure of each preamplifier above its best; not a number where its noise is not told. [dB]
    decoupling_db : ndarray, shape (C,)
        Loop current with a power-matched receiver over that with the preamplifier. [dB]
    iterations : int
        Solutions of the whole array.
    notes : tuple of str
    """

    circuits: tuple[ElementCircuit, ...]
    wanted_ohm: Complexes
    seen_ohm: Complexes
    noise_figure_loss_db: Reals
    decoupling_db: Reals
    iterations: int
    notes: tuple[str, ...]


def synthesise(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    wanted: Wanted,
    *,
    progress: Progress,
    values: Mapping[str, ArrayLike] | None = None,
) -> Synthesis:
    """Choose the values of the free parts so that every receiver sees the wanted source, all others in place.

    Parameters
    ----------
    ports : ArrayPorts
        Open gaps of all elements, body included.
    circuits : sequence of ElementCircuit
        One per element; the values of the free parts are the first guess.
    wanted : Wanted
        Free parts and source. Two free parts in an element make the source; a third also the phase at which the
        preamplifier's reflection holds the loop's current down; of more, the solution nearest to the first guess is
        taken.
    progress : Progress
        One step for each element and one for the whole.
    values : mapping of str to array_like, shape () or (C,), optional
        Better first guesses, by the part's name; where Newton's method gets home from them, no other start is looked
        at. [F], [H], [m]

    Returns
    -------
    Synthesis

    Raises
    ------
    OutsideModelError
        If a name is strange, an element has fewer than two free parts, or no value within its bounds gives the wanted
        source; the element, the part and what would be needed are told.
    NotConvergedError
        If each element can be matched alone but the coupled array does not settle.

    Notes
    -----
    Each element is solved alone first, the gaps of the others open, which is what preamplifiers make of them; of the
    solutions found from a grid of starts the best is taken, 10 dB of decoupling counted as 1 dB of loss. All elements
    are then solved together by Newton's method, the coupling raised in steps where one step does not do.
    """
    problem = matching_problem(ports, circuits, wanted, values=values)
    progress.begin("Values of the free parts", len(problem.circuits) + 1)
    logarithms = np.array([_logarithm(problem.circuits[e], name) for e, name in problem.free])
    if values and (settled := settle(problem, logarithms)).distance < SOLVED:
        progress.advance(len(problem.circuits) + 1)
        return _told(problem, settled.logarithms, settled.iterations)
    phased = problem.phased.copy()
    for element in range(len(problem.circuits)):
        own = [at for at, (owner, _) in enumerate(problem.free) if owner == element]
        logarithms[own], phased[element] = element_alone(problem, ports, element=element, found=logarithms)
        progress.advance()
    problem, logarithms, iterations = all_together(replace(problem, phased=phased), ports, logarithms)
    progress.advance()
    return _told(problem, logarithms, iterations)


def matching_problem(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    wanted: Wanted,
    *,
    values: Mapping[str, ArrayLike] | None = None,
) -> MatchingProblem:
    """Pose the problem of ``synthesise``, whose parameters these are, [F], [H], [m]; refuse what cannot be posed."""
    if len(circuits) != ports.element_count:
        raise OutsideModelError(f"there are {len(circuits)} circuits for {ports.element_count} elements")
    for element, circuit in enumerate(circuits):
        if wrong := complaints(circuit):
            raise OutsideModelError(f"element {element + 1}: {'; '.join(wrong)}")
    free = _free(circuits, wanted)
    count = np.bincount([element for element, _ in free], minlength=len(circuits))
    return MatchingProblem(
        port_ohm=ports.at_operation_ohm,
        frequency_hz=ports.frequency_hz,
        circuits=tuple(_guessed(e, circuit, values or {}) for e, circuit in enumerate(circuits)),
        free=free,
        wanted_ohm=_sources_ohm(circuits, wanted),
        phased=np.where(count >= CONDITIONS, 1.0, 0.0),
    )


def _free(circuits: Sequence[ElementCircuit], wanted: Wanted) -> tuple[tuple[int, str], ...]:
    names = [{branch.name for branch in circuit.branches} for circuit in circuits]
    strange = [name for name in wanted.free if not any(name in own for own in names)]
    if strange:
        known = ", ".join(sorted(set().union(*names)))
        raise OutsideModelError(f"no part is called {', '.join(strange)}; there are {known}")
    free = tuple((e, name) for e, own in enumerate(names) for name in dict.fromkeys(wanted.free) if name in own)
    for element, circuit in enumerate(circuits):
        mine = [name for owner, name in free if owner == element]
        for name in mine:
            main_value(circuit, name)
        if len(mine) < 2:
            raise OutsideModelError(
                f"element {element + 1}: {len(mine)} free part{'' if len(mine) == 1 else 's'} of "
                f"{', '.join(wanted.free) or 'none'}; resistance and reactance at the receiver need two. "
                f"Free another of {', '.join(b.name for b in circuit.branches)}"
            )
    return free


def _guessed(element: int, circuit: ElementCircuit, values: Mapping[str, ArrayLike]) -> ElementCircuit:
    for name, value in values.items():
        if any(branch.name == name for branch in circuit.branches):
            guess = np.asarray(value, dtype=np.float64)
            circuit = with_value(circuit, name, float(guess if guess.ndim == 0 else guess[element]))
    return circuit


def _sources_ohm(circuits: Sequence[ElementCircuit], wanted: Wanted) -> Complexes:
    found = []
    for element, circuit in enumerate(circuits):
        noise = circuit.receiver.noise
        if wanted.source_ohm is None and noise is None:
            raise OutsideModelError(
                f"element {element + 1}: nobody told the noise of its preamplifier, so its best source is not known; "
                "give its noise parameters or the source that it shall see, 50 ohm for instance"
            )
        source = complex(noise.best_source_ohm if wanted.source_ohm is None and noise else wanted.source_ohm or 0)
        if source.real <= 0:
            raise OutsideModelError(f"element {element + 1}: a source of {source:g} ohm has no positive resistance")
        found.append(source)
    return np.array(found, dtype=np.complex128)


def _logarithm(circuit: ElementCircuit, name: str) -> float:
    value = float(np.asarray(main_value(circuit, name)))
    if value <= 0:
        low, high = bounds_of(circuit, name)
        raise OutsideModelError(f"{name} = {value:g}: start from a positive value, between {low:g} and {high:g}")
    return float(np.log(value))


def _told(problem: MatchingProblem, logarithms: Reals, iterations: int) -> Synthesis:
    response = response_of(problem, logarithms)
    seen = response.state.seen_ohm
    return Synthesis(
        circuits=with_logarithms(problem.circuits, problem.free, logarithms),
        wanted_ohm=problem.wanted_ohm,
        seen_ohm=seen,
        noise_figure_loss_db=noise_figure_losses_db((c.receiver for c in problem.circuits), seen),
        decoupling_db=decoupling_db(response),
        iterations=iterations,
        notes=tuple(_notes(problem, logarithms)),
    )


def _notes(problem: MatchingProblem, logarithms: Reals) -> Iterator[str]:
    count = np.bincount([element for element, _ in problem.free])
    few = [str(e + 1) for e in np.flatnonzero(count < CONDITIONS)]
    if few:
        yield f"two free parts in element {', '.join(few)}: the match takes both, the decoupling is what results"
    short = [str(e + 1) for e in np.flatnonzero((count >= CONDITIONS) & (problem.phased == 0))]
    if short:
        yield f"no values within bounds hold the loop current down at its best phase in element {', '.join(short)}"
    low, high = problem.bounds
    for (element, name), x, least, most in zip(problem.free, logarithms, low, high, strict=True):
        if x <= least or x >= most:
            circuit = problem.circuits[element]
            yield f"element {element + 1}: {name} stands at its bound, {printed_value(circuit, name, float(np.exp(x)))}"
