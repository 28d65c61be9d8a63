"""Heat that the bias itself makes in PIN diodes, beside that of the transmit field."""

from collections.abc import Sequence
from dataclasses import replace

from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.parts import PinDiode
from loopwright.circuits.states import ElementState, PartOpen, PartShort, Plug, pin_diode_conducts
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.transmit.answers import CaseAnswer, ElementAnswer

__all__ = ["BIAS_HEAT_LIMITS", "with_bias_heat"]

#: What the heat of the bias takes for granted.
BIAS_HEAT_LIMITS = (
    (
        "Temperatures of PIN diodes that conduct count the heat of their bias, as if it never ended. Chokes have no "
        "place in the circuits: their heat and that of the wires is told for the coil as a whole."
    ),
)


def with_bias_heat(answer: CaseAnswer, circuits: Sequence[ElementCircuit], lines: Sequence[LineCheck]) -> CaseAnswer:
    """The same case with the heat of the bias in its PIN diodes.

    Parameters
    ----------
    answer : CaseAnswer
    circuits : sequence of ElementCircuit
        One for each element.
    lines : sequence of LineCheck
        Bias lines, checked; without any nothing is added.

    Returns
    -------
    CaseAnswer
        Diodes that their bias makes conduct and that have not failed are warmer; nothing else has changed.
    """
    elements = [
        _warmed(element, circuit, state, lines)
        for element, circuit, state in zip(answer.elements, circuits, answer.case.states, strict=True)
    ]
    return replace(answer, elements=tuple(elements))


def _warmed(
    element: ElementAnswer, circuit: ElementCircuit, state: ElementState, lines: Sequence[LineCheck]
) -> ElementAnswer:
    line = next((one for one in lines if {element.name, "all"} & set(one.line.elements)), None)
    if line is None or state.plug is Plug.OUT:
        return element
    diodes = {b.name for b in circuit.branches if isinstance(b, Branch) and isinstance(b.part, PinDiode)}
    gone = {fault.part for fault in state.faults if isinstance(fault, PartOpen | PartShort)}
    warm = {name for name in diodes - gone if pin_diode_conducts(name, state)}
    return replace(
        element,
        parts=tuple(
            replace(part, power_w=part.power_w + line.diode_w) if part.name in warm else part for part in element.parts
        ),
    )
