"""Would the scanner's watch over the bias lines notice a fault?"""

from collections.abc import Iterator, Sequence
from enum import Enum

from loopwright.circuits.bias.bias_lines import DIODE_OPEN, DIODE_SHORT, LINE_BROKEN, LineCheck
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.parts import Capacitor, CrossedDiodes, PinDiode
from loopwright.circuits.states import CableBroken, Fault, NoBias, PartOpen, PartShort, Plug
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.transmit.finding import Finding, Told, surest

__all__ = ["by_bias_monitor"]


class _Effect(Enum):
    """What a fault does to the direct current of its element's bias line."""

    DIODE_OPEN = DIODE_OPEN
    DIODE_SHORT = DIODE_SHORT
    ELEMENT_LOST = "all branches of the element open"
    LINE_BROKEN = LINE_BROKEN
    NONE = "the bias does not pass there"
    UNKNOWN = "how the bias is fed is not described"


def by_bias_monitor(
    case: ArrayCase, circuits: Sequence[ElementCircuit], *, names: Sequence[str], lines: Sequence[LineCheck]
) -> Finding:
    """Ask whether some threshold of the interface tells that a fault is there, while the array is plugged in.

    Parameters
    ----------
    case : ArrayCase
        With the fault.
    circuits : sequence of ElementCircuit
        One for each element, diodes as they are.
    names : sequence of str
        Of the elements.
    lines : sequence of LineCheck
        Bias lines of the interface, checked; none where the brief describes none.

    Returns
    -------
    Finding

    Notes
    -----
    Circuits hold what matters at radio frequency, not the wires of the bias. What is open or short beside a PIN diode
    may or may not be in the way of its bias: that cannot be told.
    """
    if not case.failed:
        return _of_normal(case)
    if case.wearing is not Wearing.AS_DESIGNED:
        return Finding(told=Told.NOT_NOTICED, words="the bias does not ask how the carrier lies")
    if not lines:
        return Finding(told=Told.UNKNOWN, words="no bias line described")
    return surest([_of_element(case, element, circuits[element], names, lines) for element in case.failed])


def _of_normal(case: ArrayCase) -> Finding:
    if any(state.plug is Plug.OUT for state in case.states):
        return Finding(told=Told.UNKNOWN, words="nobody has described what the scanner does with an array unplugged")
    return Finding(told=Told.NOT_NOTICED, words="nothing of the array has failed")


def _of_element(
    case: ArrayCase, element: int, circuit: ElementCircuit, names: Sequence[str], lines: Sequence[LineCheck]
) -> Finding:
    effects = [_effect(fault, circuit) for fault in case.states[element].faults] or [_Effect.LINE_BROKEN]
    return surest([_read(effect, names[element], circuit, names, lines) for effect in effects])


def _effect(fault: Fault, circuit: ElementCircuit) -> _Effect:
    match fault:
        case NoBias():
            return _Effect.DIODE_OPEN
        case CableBroken():
            return _Effect.ELEMENT_LOST
        case PartOpen() | PartShort():
            return _effect_of_part(fault, circuit)
        case _:
            return _Effect.NONE


def _effect_of_part(fault: PartOpen | PartShort, circuit: ElementCircuit) -> _Effect:
    part, is_open = circuit.part(fault.part), isinstance(fault, PartOpen)
    if isinstance(part, PinDiode):
        return _Effect.DIODE_OPEN if is_open else _Effect.DIODE_SHORT
    # What carried no direct current changes none by coming off.
    if is_open and isinstance(part, Capacitor | CrossedDiodes):
        return _Effect.NONE
    return _Effect.UNKNOWN if fault.part in _beside_pin_diodes(circuit) else _Effect.NONE


def _beside_pin_diodes(circuit: ElementCircuit) -> frozenset[str]:
    """Parts that hang together with a PIN diode at some gap, and lines: the bias may come through these."""
    lines = {branch.name for branch in circuit.branches if isinstance(branch, Span)}
    parts = [branch for branch in circuit.branches if isinstance(branch, Branch)]
    nodes = {node for branch in parts if isinstance(branch.part, PinDiode) for node in branch.between}
    grown = -1
    while grown != len(nodes):
        grown = len(nodes)
        nodes |= {node for branch in parts if nodes & set(branch.between) for node in branch.between}
    return frozenset(lines | {branch.name for branch in parts if nodes & set(branch.between)})


def _read(
    effect: _Effect, name: str, circuit: ElementCircuit, names: Sequence[str], lines: Sequence[LineCheck]
) -> Finding:
    if effect is _Effect.NONE:
        return Finding(told=Told.NOT_NOTICED, words=effect.value)
    if not any(isinstance(b, Branch) and isinstance(b.part, PinDiode) for b in circuit.branches):
        return Finding(told=Told.NOT_NOTICED, words="the element has no diode under bias")
    own = next((line for line in lines if name in line.line.elements or "all" in line.line.elements), None)
    if own is None:
        return Finding(told=Told.UNKNOWN, words=f"no bias line is said to serve {name}")
    what = _what(effect, own, names)
    if what is None:
        return Finding(told=Told.UNKNOWN, words=_Effect.UNKNOWN.value)
    (fault,) = (one for one in own.faults if one.what == what)
    if fault.noticed_by:
        return Finding(told=Told.NOTICED, words=f"bias line {own.line.name}: {fault.noticed_by}")
    return Finding(told=Told.NOT_NOTICED, words=f"bias line {own.line.name}: inside all thresholds")


def _what(effect: _Effect, line: LineCheck, names: Sequence[str]) -> str | None:
    """Name of the line's fault that an effect is; None where the brief does not say enough."""
    served = len(list(_served(line, names)))
    match effect:
        case _Effect.ELEMENT_LOST if served == 1:
            return LINE_BROKEN
        case _Effect.ELEMENT_LOST:
            return DIODE_OPEN if served == line.line.branches else None
        case _Effect.UNKNOWN:
            return None
        case _:
            return effect.value


def _served(line: LineCheck, names: Sequence[str]) -> Iterator[str]:
    return (name for name in names if name in line.line.elements or "all" in line.line.elements)
