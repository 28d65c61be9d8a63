"""How the parts of one element are wired to its gaps and to its receiver.

Nodes go by names. Gap k of the conductor stands between the nodes ``gap k`` and ``return k``, k counted from one. The
port network knows voltages across gaps, not between them, so parts of two gaps may not be joined; every group of nodes
that hang together has a return of its own. Only lines reach from one group to another: what they carry is the wave
inside, and the current on their outside belongs to the conductors.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np

from loopwright.circuits.parts import Line, Part, Preamplifier
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.nets import Net, Tie, gap_node, net_complaints, return_node

__all__ = ["Branch", "ElementCircuit", "Span", "complaints", "gap_node", "nodes_of", "return_node", "stacked"]

Pair = tuple[str, str]
Whole = TypeVar("Whole")


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A part between two nodes."""

    name: str
    part: Part
    between: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A piece of line between two pairs of nodes: inner and outer conductor at either end."""

    name: str
    line: Line
    near: Pair
    far: Pair


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementCircuit:
    """The circuit of one element.

    Attributes
    ----------
    gap_count : int
        Gaps of the element's conductor, each a port of the array's network.
    branches : tuple of Branch and Span
        Parts by name.
    channel : tuple of str
        Node and return between which the receiver stands.
    receiver : Preamplifier
        What stands there.
    returns : tuple of str
        Returns of groups of nodes that hold no gap, such as the far end of a line.
    """

    gap_count: int
    branches: tuple[Branch | Span, ...]
    channel: Pair
    receiver: Preamplifier
    returns: tuple[str, ...] = ()

    @property
    def every_return(self) -> frozenset[str]:
        """Nodes at which voltages are counted from."""
        return frozenset((*self.returns, *(return_node(gap) for gap in range(1, self.gap_count + 1))))

    def part(self, name: str) -> Part | Line:
        """Return the part, or line, of this name.

        Raises
        ------
        OutsideModelError
            If there is none.
        """
        for branch in self.branches:
            if branch.name == name:
                return branch.line if isinstance(branch, Span) else branch.part
        raise OutsideModelError(f"no part is called {name}; there are {', '.join(b.name for b in self.branches)}")

    def with_part(self, name: str, part: Part | Line) -> "ElementCircuit":
        """Return the same circuit with another part of this name."""
        self.part(name)
        return replace(self, branches=tuple(_exchanged(b, part) if b.name == name else b for b in self.branches))


def _exchanged(branch: Branch | Span, part: Part | Line) -> Branch | Span:
    if isinstance(branch, Span) and isinstance(part, Line):
        return replace(branch, line=part)
    if isinstance(branch, Branch) and not isinstance(part, Line):
        return replace(branch, part=part)
    raise OutsideModelError(f"{branch.name} cannot become a {type(part).__name__}")


def nodes_of(circuit: ElementCircuit) -> tuple[str, ...]:
    """Nodes whose voltages are unknown: first the gaps in order, then the channel unless it is one, then the others."""
    known = circuit.every_return
    listed = [gap_node(gap) for gap in range(1, circuit.gap_count + 1)]
    listed.append(circuit.channel[0])
    listed += [node for branch in circuit.branches for node in _nodes(branch)]
    return tuple(node for node in dict.fromkeys(listed) if node not in known)


def _nodes(branch: Branch | Span) -> Iterator[str]:
    yield from (*branch.near, *branch.far) if isinstance(branch, Span) else branch.between


def complaints(circuit: ElementCircuit) -> tuple[str, ...]:
    """Say what is wrong with a circuit; empty where nothing is.

    Parameters
    ----------
    circuit : ElementCircuit
        The circuit.

    Returns
    -------
    tuple of str
        One sentence for every repeated name, part across itself, channel that is not against a return, node that hangs
        on nothing, group of nodes with no return or with more than one, and end of a part that leads nowhere.
    """
    ties = [Tie(name=b.name, pairs=(b.near, b.far) if isinstance(b, Span) else (b.between,)) for b in circuit.branches]
    return net_complaints(Net(gap_count=circuit.gap_count, ties=ties, channel=circuit.channel, returns=circuit.returns))


def stacked(circuits: Sequence[ElementCircuit]) -> tuple[tuple[tuple[int, ...], ElementCircuit], ...]:
    """Gather circuits of equal wiring into one each, whose parts hold arrays.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One per element, their parts' fields numbers, or arrays of equal shape (...).

    Returns
    -------
    tuple of (tuple of int, ElementCircuit)
        Numbers of the elements, and a circuit whose fields have the shape (..., elements of the group).
    """
    groups: dict[Any, list[int]] = {}
    for number, circuit in enumerate(circuits):
        groups.setdefault(_wiring(circuit), []).append(number)
    return tuple((tuple(own), _stack([circuits[n] for n in own])) for own in groups.values())


def _wiring(circuit: ElementCircuit) -> tuple[Any, ...]:
    """Everything but the values."""
    ends = tuple(
        (b.name, Line, b.near, b.far) if isinstance(b, Span) else (b.name, type(b.part), b.between)
        for b in circuit.branches
    )
    return circuit.gap_count, ends, circuit.channel, circuit.returns, circuit.receiver.noise is None


def _stack(alike: list[ElementCircuit]) -> ElementCircuit:
    columns = zip(*(circuit.branches for circuit in alike), strict=True)
    return replace(
        alike[0],
        branches=tuple(_stack_branch(column) for column in columns),
        receiver=_stack_fields([circuit.receiver for circuit in alike]),
    )


def _stack_branch(column: tuple[Branch | Span, ...]) -> Branch | Span:
    first = column[0]
    if isinstance(first, Span):
        return replace(first, line=_stack_fields([b.line for b in column if isinstance(b, Span)]))
    return replace(first, part=_stack_fields([b.part for b in column if isinstance(b, Branch)]))


def _stack_fields(alike: list[Whole]) -> Whole:
    """Put the values of equal records side by side, along a new last axis."""
    if all(isinstance(one, float | complex) for one in alike):  # far quicker than broadcasting them
        return np.array(alike)  # type: ignore[return-value]
    if not hasattr(alike[0], "__dataclass_fields__"):
        return alike[0] if alike[0] is None else np.stack(np.broadcast_arrays(*alike), axis=-1)  # type: ignore[return-value,arg-type]
    columns = {field.name: [getattr(one, field.name) for one in alike] for field in fields(alike[0])}  # type: ignore[arg-type]
    return type(alike[0])(**{name: _stack_fields(values) for name, values in columns.items()})
