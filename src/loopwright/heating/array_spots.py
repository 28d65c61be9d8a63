"""Where an array makes heat: every part at its gap, every conductor at its hottest node, in every case."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records.heat import HeatRequest
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, return_node
from loopwright.heating.asked import part_asked
from loopwright.heating.hot_spots import SpotKind
from loopwright.heating.spot import SpotStack, Stretch, Trace
from loopwright.transmit.answers import CaseAnswer

__all__ = ["CONDUCTOR", "ArraySpots", "SourceOfHeat", "array_spots", "gap_of_part"]

Floats = NDArray[np.float64]

#: What the spot of an element's conductor goes by.
CONDUCTOR = "conductor"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceOfHeat:
    """A part of one element, or its conductor.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
        Its name, or ``CONDUCTOR``.
    position_m : tuple of 3 floats
        Of a part the node of its gap, of a conductor its hottest node in its worst case. [m]
    kind : int
        Of the kinds of the array's spots.
    """

    element: int
    part: str
    position_m: tuple[float, float, float]
    kind: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArraySpots:
    """All sources of heat of an array.

    Attributes
    ----------
    sources : tuple of SourceOfHeat
    power_w : ndarray, shape (sources, cases)
        Mean over the sequence; of a conductor as if all of the straight trace carried what its hottest node does. [W]
    kinds : tuple of SpotKind
    ring_m : tuple of ndarray
        Nodes of every element, shape (n, 3) each. [m]
    """

    sources: tuple[SourceOfHeat, ...]
    power_w: Floats
    kinds: tuple[SpotKind, ...]
    ring_m: tuple[Floats, ...]


def gap_of_part(circuit: ElementCircuit, part: str) -> int:
    """Gap, counted from one, at which a part sits; one behind a line counts to the gap where the line begins."""
    groups: dict[str, set[str]] = {}
    for branch in circuit.branches:
        pairs = (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)
        joined = {node for pair in pairs for node in pair}
        joined = joined.union(*(groups.get(node, {node}) for node in joined))
        groups.update(dict.fromkeys(joined, joined))
    own = next((branch for branch in circuit.branches if branch.name == part), None)
    if own is None:
        return 1
    node = own.near[0] if isinstance(own, Span) else own.between[0]
    reached = groups[node]
    gaps = range(1, circuit.gap_count + 1)
    direct = [gap for gap in gaps if {gap_node(gap), return_node(gap)} & set(_ends(own))]
    return next(iter(direct + [gap for gap in gaps if {gap_node(gap), return_node(gap)} & reached]), 1)


def _ends(branch: Branch | Span) -> tuple[str, ...]:
    return (*branch.near, *branch.far) if isinstance(branch, Span) else branch.between


def array_spots(
    answers: Sequence[CaseAnswer],
    circuits: Sequence[ElementCircuit],
    *,
    gap_nodes: Sequence[Sequence[int]],
    ring_m: Sequence[Floats],
    request: HeatRequest,
    stack: SpotStack,
    trace: Trace,
) -> ArraySpots:
    """Gather what every part and conductor turns into heat.

    Parameters
    ----------
    answers : sequence of CaseAnswer
        Of all cases.
    circuits : sequence of ElementCircuit
        One for each element.
    gap_nodes : sequence of sequence of int
        Nodes of each element at which its gaps sit.
    ring_m : sequence of ndarray, shape (n, 3)
        Nodes of each element. [m]
    request : HeatRequest
        Sizes of parts.
    stack : SpotStack
        Layers round all of them.
    trace : Trace
        The conductor.

    Returns
    -------
    ArraySpots
        Lines are left out: their heat is spread over their length.
    """
    kinds: dict[SpotKind, int] = {}
    sources, powers = [], []
    for element, circuit in enumerate(circuits):
        own = [answer.elements[element] for answer in answers]
        lines = {branch.name for branch in circuit.branches if isinstance(branch, Span)}
        found = [{part.name: part.power_w for part in case.parts} for case in own]
        for name in dict.fromkeys(name for case in found for name in case):
            if name in lines:
                continue
            kind = SpotKind(heat=part_asked(request, name), trace=trace, stack=stack)
            node = gap_nodes[element][gap_of_part(circuit, name) - 1]
            sources.append(_source(element, name, ring_m[element][node], kinds.setdefault(kind, len(kinds))))
            powers.append([case.get(name, 0.0) for case in found])
        kind = SpotKind(heat=Stretch(length_m=trace.length_m), trace=trace, stack=stack)
        per_m = [case.largest_trace_w_per_m for case in own]
        node = own[int(np.argmax(per_m))].hottest_at
        sources.append(_source(element, CONDUCTOR, ring_m[element][node], kinds.setdefault(kind, len(kinds))))
        powers.append([trace.length_m * one for one in per_m])
    return ArraySpots(sources=tuple(sources), power_w=np.array(powers), kinds=tuple(kinds), ring_m=tuple(ring_m))


def _source(element: int, part: str, place_m: Floats, kind: int) -> SourceOfHeat:
    x, y, z = place_m.tolist()
    return SourceOfHeat(element=element, part=part, position_m=(x, y, z), kind=kind)
