"""Which part to turn, which way and by how much."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.main_values import main_value, printed_value, unit_of, with_value, with_values
from loopwright.circuits.spread.sensitivities import dip_hz, figures_now, receiving
from loopwright.circuits.surroundings import open_gaps_ohm
from loopwright.circuits.values.matching_problem import (
    DECOUPLING_COUNTS,
    MatchingProblem,
    of_one_element,
    response_of,
    settle,
)
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["ElementFiguresNow", "Turn", "turn_list", "turns_if_off"]

#: A part is turned to at most so many times its value, or to that part of it.
_FARTHEST = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementFiguresNow:
    """What the bench shows of an element.

    Attributes
    ----------
    dip_hz : float
        Frequency of best match. [Hz]
    reflection_db : float
        At the operating frequency. [dB]
    decoupling_db : float
        [dB]
    noise_figure_loss_db : float
        [dB]
    """

    dip_hz: float
    reflection_db: float
    decoupling_db: float
    noise_figure_loss_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One part turned to where its element matches best, all else left.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
    value_before, value_after : float
        In ``unit``.
    unit : str
        F, H or m.
    instruction : str
        In words.
    before, after : ElementFiguresNow
    """

    element: int
    part: str
    value_before: float
    value_after: float
    unit: str
    instruction: str
    before: ElementFiguresNow
    after: ElementFiguresNow

    @property
    def factor(self) -> float:
        """New value over old."""
        return self.value_after / self.value_before


def turn_list(
    ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted_ohm: ArrayLike, *, adjustable: Sequence[str]
) -> tuple[Turn, ...]:
    """For every element, the parts that can be turned, the one that mends most first.

    Parameters
    ----------
    ports : ArrayPorts
        Open gaps of all elements, sampled over a band.
    circuits : sequence of ElementCircuit
        As built, or as fitted to a measurement.
    wanted_ohm : array_like, shape () or (C,)
        Source that each receiver wants. [ohm]
    adjustable : sequence of str
        Names of the parts that can be turned.

    Returns
    -------
    tuple of Turn
        Element after element; within one, by the mismatch that is left, 100 dB of decoupling counted as 1 dB of it.

    Notes
    -----
    Each part by itself, between half and twice its value, the other elements as they stand: what it leaves is solved
    again in the whole array, not estimated. Where no single part does, all free ones have to be set together
    (:func:`loopwright.circuits.values.synthesis.synthesise`).
    """
    return tuple(
        turn
        for element in range(len(circuits))
        for turn in _of_element(ports, tuple(circuits), wanted_ohm, element, adjustable)
    )


def turns_if_off(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    wanted_ohm: ArrayLike,
    *,
    adjustable: Sequence[str],
    off: Mapping[str, float],
) -> tuple[Turn, ...]:
    """What to turn where parts of one element are off, all other elements as they shall be.

    Parameters
    ----------
    ports, circuits, wanted_ohm, adjustable
        As in ``turn_list``. [ohm]
    off : mapping of str to float
        By what factor parts are off, by name.

    Returns
    -------
    tuple of Turn
        Element after element; within one, by the mismatch that is left, 100 dB of decoupling counted as 1 dB of it.
    """
    found: list[Turn] = []
    for element, circuit in enumerate(circuits):
        names = [branch.name for branch in circuit.branches if branch.name in off]
        wrong = with_values(circuit, {name: main_value(circuit, name) * off[name] for name in names})
        array = (*circuits[:element], wrong, *circuits[element + 1 :])
        found += _of_element(ports, array, wanted_ohm, element, adjustable)
    return tuple(found)


def _of_element(
    ports: ArrayPorts,
    circuits: tuple[ElementCircuit, ...],
    wanted_ohm: ArrayLike,
    element: int,
    adjustable: Sequence[str],
) -> list[Turn]:
    problem = MatchingProblem(
        port_ohm=ports.at_operation_ohm,
        frequency_hz=ports.frequency_hz,
        circuits=circuits,
        free=(),
        wanted_ohm=np.broadcast_to(np.asarray(wanted_ohm, dtype=np.complex128), (len(circuits),)),
        phased=np.zeros(len(circuits)),
    )
    state = response_of(problem, np.zeros(0)).state
    own = open_gaps_ohm(state, [element])
    turns = _turns(ports, of_one_element(problem, element, own), problem, element, adjustable)
    return sorted(turns, key=_left_db)


def _left_db(turn: Turn) -> float:
    """Mismatch that a turn leaves, less the decoupling that it leaves by its count. [dB]"""
    mismatch_db = -10 * np.log10(max(1 - 10 ** (turn.after.reflection_db / 10), 1e-30))
    return float(mismatch_db - DECOUPLING_COUNTS * turn.after.decoupling_db)


def _turns(
    ports: ArrayPorts, among: MatchingProblem, problem: MatchingProblem, element: int, adjustable: Sequence[str]
) -> Iterator[Turn]:
    before = _figures(ports, problem, problem.circuits, element)
    circuit = problem.circuits[element]
    known = {branch.name for branch in circuit.branches}
    for name in adjustable:
        if name not in known:
            continue
        value = float(np.asarray(main_value(circuit, name)))
        alone = MatchingProblem(
            port_ohm=among.port_ohm,
            frequency_hz=among.frequency_hz,
            circuits=among.circuits,
            free=((0, name),),
            wanted_ohm=among.wanted_ohm,
            phased=among.phased,
            limits={name: (value / _FARTHEST, value * _FARTHEST)},
        )
        turned = float(np.exp(settle(alone, np.log([value])).logarithms[0]))
        changed = list(problem.circuits)
        changed[element] = with_value(circuit, name, turned)
        yield Turn(
            element=element,
            part=name,
            value_before=value,
            value_after=turned,
            unit=unit_of(circuit, name),
            instruction=_instruction(circuit, name, value, turned),
            before=before,
            after=_figures(ports, problem, changed, element),
        )


def _instruction(circuit: ElementCircuit, name: str, value: float, turned: float) -> str:
    percent = 100 * (turned / value - 1)
    if abs(percent) < 0.01:
        return f"leave {name} as it is"
    by = printed_value(circuit, name, abs(turned - value))
    size = f"{abs(percent):.2g}" if abs(percent) < 99.5 else f"{abs(percent):.0f}"
    return f"{'raise' if percent > 0 else 'lower'} {name} by {size} %, {by}"


def _figures(
    ports: ArrayPorts, problem: MatchingProblem, circuits: Sequence[ElementCircuit], element: int
) -> ElementFiguresNow:
    response = receiving(ports, circuits, problem.wanted_ohm, frequency_hz=ports.frequency_hz)
    reflected, decoupled, lost = figures_now(response, circuits)
    return ElementFiguresNow(
        dip_hz=dip_hz(ports, circuits, problem.wanted_ohm, element=element),
        reflection_db=float(20 * np.log10(max(reflected[element], 1e-15))),
        decoupling_db=float(decoupled[element]),
        noise_figure_loss_db=float(lost[element]),
    )
