"""How each type of part can fail: one rule for every type, from which all single faults of a circuit follow.

The kinds of failure are those that the trade lists (common practice): open, cracked or off its pads, bridged, a value
off, a diode without bias, an amplifier without supply, a plug that sits half, a broken cable.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Inductor,
    Line,
    OffGap,
    Part,
    PinDiode,
    Preamplifier,
    Resistor,
)
from loopwright.circuits.states import (
    AmplifierOff,
    CableBroken,
    Fault,
    NoBias,
    PartOff,
    PartOpen,
    PartShort,
    Plug,
    PlugContact,
)
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.ground.errors import OutsideModelError

__all__ = ["OFF_VALUE", "RECEIVER", "RULES", "Place", "PossibleFault", "possible_faults"]

#: By how much a value is taken to be off, to either side: parts mixed up, cracked, bent or wet (common practice).
OFF_VALUE = 0.1
#: What the receiver of an element goes by in lists of parts.
RECEIVER = "receiver"

_ALWAYS = (Plug.IN, Plug.OUT)
_PLUGGED = (Plug.IN,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a part sits.

    Attributes
    ----------
    name : str
        Of the part.
    closes_trap : bool
        Whether it is in series with a diode and nothing else: without it the diode closes nothing.
    """

    name: str
    closes_trap: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PossibleFault:
    """One thing that can go wrong in one element.

    Attributes
    ----------
    part : str
        Name of the part, or ``RECEIVER``.
    words : str
        The part and how it failed.
    fault : Fault
        What a state has to hold.
    matters : tuple of Plug
        Conditions of the plug in which it can change anything while the scanner transmits.
    """

    part: str
    words: str
    fault: Fault
    matters: tuple[Plug, ...]


Rule = Callable[[Place], Iterator[PossibleFault]]


def possible_faults(circuit: ElementCircuit) -> tuple[PossibleFault, ...]:
    """List every single fault of one element.

    Parameters
    ----------
    circuit : ElementCircuit
        With diodes and fuses.

    Returns
    -------
    tuple of PossibleFault
        Part after part, the receiver last.

    Raises
    ------
    OutsideModelError
        If a part is of a type that has no rule.
    """
    closing = _closing_traps(circuit)
    found = [
        possible
        for branch in circuit.branches
        for possible in _rule_of(branch)(Place(name=branch.name, closes_trap=branch.name in closing))
    ]
    return (*found, *RULES[type(circuit.receiver)](Place(name=RECEIVER, closes_trap=False)))


def _rule_of(branch: Branch | Span) -> Rule:
    part = branch.line if isinstance(branch, Span) else branch.part
    if type(part) not in RULES:
        raise OutsideModelError(f"{branch.name} is a {type(part).__name__}: nobody has said how such a part fails")
    return RULES[type(part)]


def _closing_traps(circuit: ElementCircuit) -> frozenset[str]:
    """Diodes, and parts that share with a diode a node at which nothing else hangs."""
    at_node: dict[str, list[Branch | Span]] = {}
    for branch in circuit.branches:
        pairs = (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)
        for node in {node for pair in pairs for node in pair} - circuit.every_return:
            at_node.setdefault(node, []).append(branch)
    inner = [own for node, own in at_node.items() if len(own) == 2 and node != circuit.channel[0]]
    chained = {branch.name for own in inner if any(_is_diode(branch) for branch in own) for branch in own}
    return frozenset(chained | {branch.name for branch in circuit.branches if _is_diode(branch)})


def _is_diode(branch: Branch | Span) -> bool:
    return isinstance(branch, Branch) and isinstance(branch.part, PinDiode | CrossedDiodes)


def _open(place: Place, how: str = "open: cracked, or off its pads") -> PossibleFault:
    lost = "; trap lost" if place.closes_trap else ""
    return PossibleFault(
        part=place.name, words=f"{place.name} {how}{lost}", fault=PartOpen(part=place.name), matters=_ALWAYS
    )


def _short(place: Place, how: str = "short") -> PossibleFault:
    return PossibleFault(
        part=place.name, words=f"{place.name} {how}", fault=PartShort(part=place.name), matters=_ALWAYS
    )


def _drifts(place: Place, of: str) -> Iterator[PossibleFault]:
    for change in (-OFF_VALUE, OFF_VALUE):
        yield PossibleFault(
            part=place.name,
            words=f"{place.name} {of} {100 * change:+.0f} %",
            fault=PartOff(part=place.name, factor=1 + change),
            matters=_ALWAYS,
        )


def _resistor(place: Place) -> Iterator[PossibleFault]:
    yield _open(place)
    yield _short(place)
    yield from _drifts(place, "resistance")


def _capacitor(place: Place) -> Iterator[PossibleFault]:
    yield _open(place)
    yield _short(place)
    yield from _drifts(place, "capacitance")


def _inductor(place: Place) -> Iterator[PossibleFault]:
    yield _open(place, "open")
    yield _short(place, "short, turns bridged")
    yield from _drifts(place, "inductance")


def _off_gap(place: Place) -> Iterator[PossibleFault]:
    yield _open(place)
    yield _short(place)


def _pin_diode(place: Place) -> Iterator[PossibleFault]:
    yield _open(place, "open")
    yield _short(place, "short; trap always closed")
    yield PossibleFault(
        part=place.name,
        words=f"{place.name} without bias: its choke or bias wire open",
        fault=NoBias(part=place.name),
        matters=_PLUGGED,
    )


def _crossed_diodes(place: Place) -> Iterator[PossibleFault]:
    yield _open(place, "open")
    yield _short(place, "short; trap always closed")


def _fuse(place: Place) -> Iterator[PossibleFault]:
    yield _open(place, "open")
    yield _short(place, "bridged: it cannot open any more")


def _line(place: Place) -> Iterator[PossibleFault]:
    yield _open(place, "broken at the element: shield or inner conductor")
    yield _short(place, "short at the element: crushed")
    yield from _drifts(place, "length")


def _preamplifier(place: Place) -> Iterator[PossibleFault]:
    for words, fault in (
        ("preamplifier off: without supply", AmplifierOff()),
        ("plug half mated: contact resistance in series with the receiver", PlugContact()),
        ("cable to the element broken: neither receiver nor bias", CableBroken()),
    ):
        yield PossibleFault(part=place.name, words=words, fault=fault, matters=_PLUGGED)


#: How each type of part fails.
RULES: Mapping[type[Part | Line | Preamplifier], Rule] = {
    Resistor: _resistor,
    Capacitor: _capacitor,
    Inductor: _inductor,
    OffGap: _off_gap,
    PinDiode: _pin_diode,
    CrossedDiodes: _crossed_diodes,
    Fuse: _fuse,
    Line: _line,
    Preamplifier: _preamplifier,
}
