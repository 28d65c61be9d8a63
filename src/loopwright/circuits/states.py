"""What an element's circuit is at the moment: which diodes conduct, what is plugged in, what has failed.

States are values. ``in_state`` takes a circuit and a state and gives the linear circuit that is left.
"""

from dataclasses import dataclass, replace
from enum import Enum
from typing import assert_never

from loopwright.circuits.main_values import scaled
from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Line,
    OffGap,
    Part,
    PassivePart,
    PinDiode,
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
    "Diodes",
    "ElementState",
    "Fault",
    "PartOff",
    "PartOpen",
    "PartShort",
    "Plug",
    "in_state",
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
class PartOpen:
    """A part that has come off or cracked."""

    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartShort:
    """A part that is bridged."""

    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOff:
    """A part whose value (capacitance, inductance, resistance, length) is so many times what it should be."""

    part: str
    factor: float


Fault = PartOpen | PartShort | PartOff


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementState:
    """State of one element's circuit."""

    name: str
    pin_diodes: Diodes = Diodes.BLOCK
    crossed_diodes: Diodes = Diodes.BLOCK
    plug: Plug = Plug.IN
    faults: tuple[Fault, ...] = ()

    def with_faults(self, *faults: Fault) -> "ElementState":
        """Return the same state with something failed."""
        named = ", ".join(f"{fault.part} {_said(fault)}" for fault in faults)
        return replace(self, name=f"{self.name}, {named}", faults=(*self.faults, *faults))


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
    strange = [fault.part for fault in state.faults if fault.part not in known]
    if strange:
        raise OutsideModelError(f"no part is called {', '.join(strange)}; there are {', '.join(known)}")
    return replace(circuit, branches=tuple(_branch_in(branch, state) for branch in circuit.branches))


def _branch_in(branch: Branch | Span, state: ElementState) -> Branch | Span:
    faults = [fault for fault in state.faults if fault.part == branch.name]
    if isinstance(branch, Span):
        line = branch.line
        for fault in faults:
            line = _line_after(line, fault)
        return replace(branch, line=line)
    part: Part = branch.part
    for fault in faults:
        part = _after(part, fault)
    return replace(branch, part=_linear(part, state))


def _linear(part: Part, state: ElementState) -> PassivePart:
    """Return the passive part that a diode or fuse is in this state."""
    match part:
        case PinDiode():
            if state.pin_diodes is Diodes.CONDUCT:
                return Resistor(resistance_ohm=part.forward_resistance_ohm, inductance_h=part.forward_inductance_h)
            return OffGap(resistance_ohm=part.reverse_resistance_ohm, capacitance_f=part.reverse_capacitance_f)
        case CrossedDiodes():
            if state.crossed_diodes is Diodes.CONDUCT:
                return Resistor(resistance_ohm=part.conducting_resistance_ohm)
            return OffGap(resistance_ohm=part.blocking_resistance_ohm, capacitance_f=part.blocking_capacitance_f)
        case Fuse():
            return Resistor(resistance_ohm=part.resistance_ohm)
        case _:
            return part


def _after(part: Part, fault: Fault) -> Part:
    """Return what a fault leaves of a part."""
    match fault:
        case PartOpen():
            return Capacitor(capacitance_f=part.open_capacitance_f if isinstance(part, Fuse) else OPEN_PADS_F)
        case PartShort():
            return Resistor(resistance_ohm=SHORT_OHM)
        case PartOff(factor=factor):
            return scaled(part, factor)
    assert_never(fault)


def _line_after(line: Line, fault: Fault) -> Line:
    match fault:
        case PartOff(factor=factor):
            return scaled(line, factor)
        case _:
            raise OutsideModelError(
                f"{fault.part} is a line: only its length can be off; open or short a part beside it"
            )


def _said(fault: Fault) -> str:
    match fault:
        case PartOpen():
            return "open"
        case PartShort():
            return "short"
        case PartOff(factor=factor):
            return f"at {factor:g} of its value"
    assert_never(fault)
