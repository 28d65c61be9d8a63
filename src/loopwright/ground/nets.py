"""Whether parts between named nodes make a circuit that can be solved.

Nodes go by names. Gap k of a conductor stands between ``gap k`` and ``return k``, k counted from one. Every group of
nodes that hang together has exactly one return; only lines reach from one group to another.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

__all__ = ["Net", "Tie", "gap_node", "net_complaints", "return_node"]

Pair = tuple[str, str]


def gap_node(gap: int) -> str:
    """Name of the node at the first side of a gap, counted from one."""
    return f"gap {gap}"


def return_node(gap: int) -> str:
    """Name of the node at the other side of a gap: the return of all that stands across it."""
    return f"return {gap}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """A part by name and the pairs of nodes that it joins: one for a part, one at either end of a line."""

    name: str
    pairs: tuple[Pair, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """All parts of one element's circuit, where its receiver stands, and returns that no gap brings along."""

    gap_count: int
    ties: Sequence[Tie]
    channel: Pair
    returns: tuple[str, ...] = ()

    @property
    def every_return(self) -> frozenset[str]:
        """Nodes at which voltages are counted from."""
        return frozenset((*self.returns, *(return_node(gap) for gap in range(1, self.gap_count + 1))))


def net_complaints(net: Net) -> tuple[str, ...]:
    """Say what is wrong with a circuit; empty where nothing is.

    Parameters
    ----------
    net : Net
        The circuit.

    Returns
    -------
    tuple of str
        One sentence for every repeated name, part across itself, channel that is not against a return, node that hangs
        on nothing, group of nodes with no return or with more than one, and end of a part that leads nowhere.
    """
    return (*_of_names(net), *_of_channel(net), *_of_groups(net), *_of_ends(net))


def _of_names(net: Net) -> Iterator[str]:
    names = [tie.name for tie in net.ties]
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        yield f"two parts are called {name}: results go by the name"
    for tie in net.ties:
        if any(one == other for one, other in tie.pairs):
            yield f"{tie.name} has both ends at one node"


def _of_channel(net: Net) -> Iterator[str]:
    node, reference = net.channel
    if reference not in net.every_return:
        yield f"the receiver stands against {reference}, which is no return; there are {_listed(net.every_return)}"
    if node in net.every_return:
        yield f"the receiver stands at {node}, which is a return: nothing would be received"


def _of_groups(net: Net) -> Iterator[str]:
    returns = net.every_return
    for group in _groups(net):
        held = group & returns
        if not held:
            yield f"{_listed(group)}: nothing joins {'them' if len(group) > 1 else 'it'} to a return"
        elif len(held) > 1:
            yield f"{_listed(held)} are joined by parts: only the conductor or a line may reach from gap to gap"


def _of_ends(net: Net) -> Iterator[str]:
    """Ends of parts at which nothing else stands; a line may end open, and an end without return is told of already."""
    gaps = {gap_node(gap) for gap in range(1, net.gap_count + 1)}
    meeting = Counter(node for tie in net.ties for pair in tie.pairs for node in pair)
    returned = set().union(*(group for group in _groups(net) if group & net.every_return))
    for tie in net.ties:
        if len(tie.pairs) == 1:
            for node in tie.pairs[0]:
                if meeting[node] == 1 and node in returned - gaps - net.every_return - {net.channel[0]}:
                    yield f"{node}: only {tie.name} ends there, so no current passes through it"


def _groups(net: Net) -> list[set[str]]:
    """Sets of nodes that hang together; a gap ties its two sides, a line those of each of its ends."""
    ties = [{gap_node(gap), return_node(gap)} for gap in range(1, net.gap_count + 1)]
    ties += [{reference} for reference in net.returns]
    ties += [{net.channel[0]}]
    ties += [set(pair) for tie in net.ties for pair in tie.pairs]
    groups: list[set[str]] = []
    for tie in ties:
        touching = [group for group in groups if group & tie]
        groups = [group for group in groups if not group & tie]
        groups.append(tie.union(*touching))
    return groups


def _listed(nodes: frozenset[str] | set[str]) -> str:
    return ", ".join(sorted(nodes))
