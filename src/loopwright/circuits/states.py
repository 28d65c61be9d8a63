"""What an element's circuit is at the moment: which diodes conduct, what is plugged in, what has failed.

States are values. ``in_state`` takes a circuit and a state and gives the linear circuit that is left.
"""

from dataclasses import dataclass, replace
from enum import Enum
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.failures import (
    AmplifierOff,
    CableBroken,
    Fault,
    NoBias,
    PartFault,
    PartOff,
    PartOpen,
    PartShort,
    PlugContact,
)
from loopwright.circuits.main_values import scaled
from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    OffGap,
    Part,
    PassivePart,
    PinDiode,
    Preamplifier,
    Resistor,
)
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "ACTIVELY_DETUNED",
    "BIAS_MISSING",
    "DETUNED_BY_BOTH",
    "PASSIVELY_DETUNED",
    "RECEIVING",
    "UNPLUGGED",
    "AmplifierOff",
    "CableBroken",
    "Diodes",
    "ElementState",
    "Fault",
    "NoBias",
    "PairInField",
    "PartFault",
    "PartOff",
    "PartOpen",
    "PartShort",
    "Plug",
    "PlugContact",
    "bias_reaches",
    "channel_siemens",
    "in_state",
    "pin_diode_conducts",
]

#: What stays of a part that has cracked or come off: the capacitance of its pads (common practice, 0.05 to 0.2 pF). [F]
OPEN_PADS_F = 0.1e-12
#: A part that has failed short, or a bridge of solder (common practice). [ohm]
SHORT_OHM = 0.05


class Diodes(Enum):
    """Whether diodes of one kind conduct."""

    CONDUCT = "conduct"
    BLOCK = "block"


class Plug(Enum):
    """Whether the receiver is there."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True, slots=True, kw_only=True)
class PairInField:
    """What a pair of crossed diodes is to the fundamental in one field: both side by side. [ohm], [F]"""

    part: str
    resistance_ohm: float
    capacitance_f: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementState:
    """State of one element's circuit; crossed diodes that conduct are what ``pairs`` says, where it names them."""

    name: str
    pin_diodes: Diodes = Diodes.BLOCK
    crossed_diodes: Diodes = Diodes.BLOCK
    plug: Plug = Plug.IN
    faults: tuple[Fault, ...] = ()
    pairs: tuple[PairInField, ...] = ()

    def with_faults(self, *faults: Fault) -> "ElementState":
        """Return the same state with something failed."""
        named = ", ".join(fault.said for fault in faults)
        return replace(self, name=f"{self.name}, {named}", faults=(*self.faults, *faults))

    def faults_of(self, part: str) -> tuple[PartFault, ...]:
        """What has failed of one part."""
        return tuple(fault for fault in self.faults if isinstance(fault, PartFault) and fault.part == part)


RECEIVING = ElementState(name="receiving")
ACTIVELY_DETUNED = ElementState(name="actively detuned", pin_diodes=Diodes.CONDUCT)
PASSIVELY_DETUNED = ElementState(name="passively detuned, unplugged", crossed_diodes=Diodes.CONDUCT, plug=Plug.OUT)
DETUNED_BY_BOTH = ElementState(
    name="actively and passively detuned", pin_diodes=Diodes.CONDUCT, crossed_diodes=Diodes.CONDUCT
)
BIAS_MISSING = ElementState(name="plugged, no bias, crossed diodes conducting", crossed_diodes=Diodes.CONDUCT)
UNPLUGGED = ElementState(name="unplugged, no diode acting", plug=Plug.OUT)


def in_state(circuit: ElementCircuit, state: ElementState) -> ElementCircuit:
    """Take every part as what it is in a state.

    Parameters
    ----------
    circuit : ElementCircuit
        With diodes and fuses.
    state : ElementState
        What conducts, and what has failed. The plug is no part: it decides what stands behind the channel.

    Returns
    -------
    ElementCircuit
        Passive parts and lines only.

    Raises
    ------
    OutsideModelError
        If a fault names a part that the circuit does not have.
    """
    known = tuple(branch.name for branch in circuit.branches)
    strange = [fault.part for fault in state.faults if isinstance(fault, PartFault) and fault.part not in known]
    if strange:
        raise OutsideModelError(f"no part is called {', '.join(strange)}; there are {', '.join(known)}")
    return replace(circuit, branches=tuple(left for branch in circuit.branches for left in _left_of(branch, state)))


def pin_diode_conducts(name: str, state: ElementState) -> bool:
    """Whether the bias of a state reaches the PIN diode of this name."""
    return state.pin_diodes is Diodes.CONDUCT and bias_reaches(name, state)


def bias_reaches(name: str, state: ElementState) -> bool:
    """Whether no fault stands between the bias, forward or reverse, and the PIN diode of this name."""
    return not any(
        isinstance(fault, CableBroken) or (isinstance(fault, NoBias) and fault.part == name) for fault in state.faults
    )


def channel_siemens(receiver: Preamplifier, state: ElementState) -> complex | NDArray[np.complex128]:
    """Admittance that stands at the channel of an element in a state; none where nothing reaches it. [S]"""
    if state.plug is Plug.OUT or any(isinstance(fault, CableBroken) for fault in state.faults):
        return 0.0
    ohm = receiver.input_ohm
    for fault in state.faults:
        match fault:
            case AmplifierOff(input_ohm=off_ohm):
                ohm = off_ohm
            case PlugContact(resistance_ohm=contact_ohm):
                ohm = ohm + contact_ohm
    return 1 / ohm


def _left_of(branch: Branch | Span, state: ElementState) -> tuple[Branch | Span, ...]:
    faults = state.faults_of(branch.name)
    if isinstance(branch, Span):
        left: tuple[Branch | Span, ...] = (branch,)
        for fault in faults:
            left = _span_after(branch, fault)
        return left
    part: Part = branch.part
    for fault in faults:
        part = _after(part, fault)
    return (replace(branch, part=_linear(part, branch.name, state)),)


def _linear(part: Part, name: str, state: ElementState) -> PassivePart:
    """Return the passive part that a diode or fuse is in this state."""
    match part:
        case PinDiode():
            if pin_diode_conducts(name, state):
                return Resistor(resistance_ohm=part.forward_resistance_ohm, inductance_h=part.forward_inductance_h)
            return OffGap(resistance_ohm=part.reverse_resistance_ohm, capacitance_f=part.reverse_capacitance_f)
        case CrossedDiodes():
            if state.crossed_diodes is Diodes.CONDUCT:
                return _conducting(part, name, state)
            return OffGap(resistance_ohm=part.blocking_resistance_ohm, capacitance_f=part.blocking_capacitance_f)
        case Fuse():
            return Resistor(resistance_ohm=part.resistance_ohm)
        case _:
            return part


def _conducting(part: CrossedDiodes, name: str, state: ElementState) -> PassivePart:
    for pair in state.pairs:
        if pair.part == name:
            return OffGap(resistance_ohm=pair.resistance_ohm, capacitance_f=pair.capacitance_f)
    return Resistor(resistance_ohm=part.conducting_resistance_ohm)


def _after(part: Part, fault: PartFault) -> Part:
    """Return what a fault leaves of a part."""
    match fault:
        case PartOpen():
            return Capacitor(capacitance_f=part.open_capacitance_f if isinstance(part, Fuse) else OPEN_PADS_F)
        case PartShort():
            return Resistor(resistance_ohm=SHORT_OHM)
        case PartOff(factor=factor):
            return scaled(part, factor)
        case NoBias():
            return part
    assert_never(fault)


def _span_after(span: Span, fault: PartFault) -> tuple[Branch | Span, ...]:
    """Lines break, or are crushed, at their near end, where they are soldered to the element."""
    top, bottom = span.near
    match fault:
        case PartOpen():
            end = f"{span.name}, broken end"
            gap = Branch(name=f"{span.name} break", part=Capacitor(capacitance_f=OPEN_PADS_F), between=(top, end))
            return gap, replace(span, near=(end, bottom))
        case PartShort():
            short = Branch(name=f"{span.name} short", part=Resistor(resistance_ohm=SHORT_OHM), between=span.near)
            return short, span
        case PartOff(factor=factor):
            return (replace(span, line=scaled(span.line, factor)),)
        case NoBias():
            raise OutsideModelError(f"{span.name} is a line: no bias opens or closes it")
    assert_never(fault)
