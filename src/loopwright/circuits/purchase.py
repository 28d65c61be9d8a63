"""From the values that were found to those that are bought, printed, wound and trimmed, and what to turn then."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, inf

import numpy as np

from loopwright.brief.records import CircuitRequest
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.gap_losses import across_gap
from loopwright.circuits.main_values import bounds_of, main_value
from loopwright.circuits.parts import Capacitor
from loopwright.circuits.requested import trimmed_of
from loopwright.circuits.requested_parts import part_tolerance
from loopwright.circuits.spread.sensitivities import PartSensitivity, sensitivities
from loopwright.circuits.spread.turn_list import Turn, turns_if_off
from loopwright.circuits.values.preferred_values import Ladder, Series
from loopwright.circuits.values.snapping import Snapped, snap
from loopwright.circuits.values.synthesis import Synthesis, Wanted
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.conductors import GapCapacitors
from loopwright.ground.progress import Progress

__all__ = ["Purchase", "TrimmerRange", "purchase"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimmerRange:
    """What a trimmer must reach so that its element is brought back to the operating frequency.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
    set_f, least_f, most_f : float
        Where it stands with all other parts at their values, and at the ends of their tolerances. [F]
    """

    element: int
    part: str
    set_f: float
    least_f: float
    most_f: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """The array as it is bought and built.

    Attributes
    ----------
    choices : mapping of str to Series or Ladder
        What fixed or printed capacitors were chosen from, by name.
    trimmed : tuple of str
        Capacitors that stay adjustable.
    printed : tuple of str
        Capacitors that are printed across gaps, fixed ones among them.
    cut_to : mapping of str to float
        How far a printed one may be off once it is cut, by name: half its finest tab over its value, the widest.
    made : tuple of str
        Inductors and lines that are wound or cut to the value found.
    snapped : Snapped
        Circuits of these values, and what they cost.
    moves : tuple of PartSensitivity
        What a per cent of every part does.
    ranges : tuple of TrimmerRange
    turns : tuple of Turn
        What to turn where all fixed capacitors of an element are high by their tolerance.
    off : mapping of str to float
        By what factor they are, by name.
    """

    choices: Mapping[str, Series | Ladder]
    trimmed: tuple[str, ...]
    printed: tuple[str, ...]
    cut_to: Mapping[str, float]
    made: tuple[str, ...]
    snapped: Snapped
    moves: tuple[PartSensitivity, ...]
    ranges: tuple[TrimmerRange, ...]
    turns: tuple[Turn, ...]
    off: Mapping[str, float]

    @property
    def circuits(self) -> tuple[ElementCircuit, ...]:
        """Circuits as bought."""
        return self.snapped.circuits

    @property
    def adjustable(self) -> tuple[str, ...]:
        """Everything that can still be turned, bent or cut."""
        return (*self.trimmed, *(name for name, of in self.choices.items() if isinstance(of, Ladder)), *self.made)


def purchase(
    request: CircuitRequest,
    ports: ArrayPorts,
    found: Synthesis,
    wanted: Wanted,
    *,
    printed: GapCapacitors | None,
    progress: Progress,
) -> Purchase:
    """Choose what is bought for every value that was found.

    Parameters
    ----------
    request : CircuitRequest
        The circuit of the brief.
    ports : ArrayPorts
        Conductors on the body, sampled over a band.
    found : Synthesis
        Exact values.
    wanted : Wanted
        Which parts were free.
    printed : GapCapacitors or None
        What bridges the gaps, where the brief tells it.
    progress : Progress
        Told of the search.

    Notes
    -----
    Values that the brief gives stay as given, and inductors are wound to the value found: wound for the rounded
    capacitors they would mend the match, which is good already, and lose the phase of the decoupling. A trimmer is told
    the range that its element needs by the linear bound sum |s_i| t_i / |s|: s how far the frequency of best match goes
    with the logarithm of its value, s_i and t_i the same and the tolerance of every other part of the element, all of
    them off in the same direction.
    """
    ladders = {} if printed is None else _ladders(found.circuits, wanted, printed)
    trimmed = trimmed_of(request, wanted, by_tabs=tuple(ladders))
    kinds = {name: type(circuit.part(name)) for circuit in found.circuits for name in _names(circuit)}
    capacitors = [name for name in wanted.free if kinds[name] is Capacitor and name not in trimmed]
    choices = {name: ladders.get(name) or Series[request.values] for name in capacitors}
    made = tuple(name for name in wanted.free if kinds[name] is not Capacitor)
    trimmers = {name: _limits(found.circuits, name) for name in trimmed}
    snapped = snap(ports, found, choices, trimmers=trimmers, progress=progress)
    moves = sensitivities(ports, snapped.circuits, found.wanted_ohm)
    off = {
        name: 1 + off_by
        for name, kind in kinds.items()
        if kind is Capacitor and name not in (*trimmed, *ladders) and (off_by := _off(request, found, name, printed))
    }
    plates = () if printed is None else _printed(found.circuits, trimmed, printed)
    turning = (*trimmed, *(name for name in ladders if name not in trimmed), *made)
    return Purchase(
        choices=choices,
        trimmed=trimmed,
        printed=plates,
        cut_to={name: _off(request, found, name, printed) for name in plates},
        made=made,
        snapped=snapped,
        moves=moves,
        ranges=tuple(_ranges(request, snapped.circuits, moves, trimmed, printed)),
        turns=turns_if_off(ports, snapped.circuits, found.wanted_ohm, adjustable=turning, off=off),
        off=off,
    )


def _names(circuit: ElementCircuit) -> list[str]:
    return [branch.name for branch in circuit.branches]


def _values(circuits: Sequence[ElementCircuit], name: str) -> list[float]:
    return [float(np.asarray(main_value(circuit, name))) for circuit in circuits if name in _names(circuit)]


def _limits(circuits: Sequence[ElementCircuit], name: str) -> tuple[float, float]:
    bounds = [bounds_of(circuit, name) for circuit in circuits if name in _names(circuit)]
    return min(low for low, _ in bounds), max(high for _, high in bounds)


def _ladders(circuits: Sequence[ElementCircuit], wanted: Wanted, printed: GapCapacitors) -> dict[str, Ladder]:
    """Steps of the finest tab, that of the element with the coarsest, for every free capacitor across a gap."""
    found = {}
    for name in wanted.free:
        owners = [c for c in circuits for branch in c.branches if branch.name == name and across_gap(c, branch)]
        values = _values(owners, name)
        steps = [step for value in values if (step := printed.step_f(value)) is not None]
        if steps:
            found[name] = Ladder(least=max(steps), most=2 * max(values), step=max(steps))
    return found


def _printed(circuits: Sequence[ElementCircuit], trimmed: Sequence[str], printed: GapCapacitors) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            branch.name
            for circuit in circuits
            for branch in circuit.branches
            if across_gap(circuit, branch)
            and branch.name not in trimmed
            and printed.step_f(float(np.asarray(main_value(circuit, branch.name)))) is not None
        )
    )


def _off(request: CircuitRequest, found: Synthesis, name: str, printed: GapCapacitors | None) -> float:
    """How far parts of a name may be off, the widest of all elements."""
    return max(_tolerance(request, c, b, printed) for c in found.circuits for b in c.branches if b.name == name)


def _tolerance(
    request: CircuitRequest, circuit: ElementCircuit, branch: Branch | Span, printed: GapCapacitors | None
) -> float:
    """Tolerance of a part as bought; a printed capacitor is cut to within half its finest tab."""
    if printed is not None and across_gap(circuit, branch):
        value_f = float(np.asarray(main_value(circuit, branch.name)))
        if (step_f := printed.step_f(value_f)) is not None:
            return step_f / value_f / 2
    return part_tolerance(request, branch) or 0.0


def _ranges(
    request: CircuitRequest,
    circuits: Sequence[ElementCircuit],
    moves: Sequence[PartSensitivity],
    trimmed: Sequence[str],
    printed: GapCapacitors | None,
) -> list[TrimmerRange]:
    found = []
    for element, circuit in enumerate(circuits):
        own = {one.part: abs(one.dip_hz) for one in moves if one.element == element}
        off_hz = sum(
            own[branch.name] * _tolerance(request, circuit, branch, printed)
            for branch in circuit.branches
            if branch.name in own and branch.name not in trimmed
        )
        for name in trimmed:
            if name in own:
                share = off_hz / own[name] if own[name] > 0 else inf
                value_f = float(np.asarray(main_value(circuit, name)))
                found.append(
                    TrimmerRange(
                        element=element,
                        part=name,
                        set_f=value_f,
                        least_f=value_f * exp(-share),
                        most_f=value_f * exp(min(share, 700.0)),
                    )
                )
    return found
