"""Every condition of the array while the scanner transmits: the normal ones, and every single fault within them."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from loopwright.brief.records import BiasLineRequest
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.faults.rules import possible_faults
from loopwright.circuits.parts import CrossedDiodes, PinDiode
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
    Diodes,
    ElementState,
    Fault,
    NoBias,
)
from loopwright.circuits.wiring import Branch, ElementCircuit

__all__ = ["FAULT_LIMITS", "as_case", "fault_cases", "normal_cases", "states_of", "transmit_conditions"]

#: What the list of faults does not hold, and how its parts fail.
FAULT_LIMITS = (
    (
        "Conductors of two elements that touch are not modelled: circuits join parts of one element only, and a bridge "
        "is a port network of its own. Whoever cannot rule it out by the build has to measure it."
    ),
    (
        "One thing fails at a time. Where a fuse opens, the time until then is told, and the open fuse is a case of "
        "its own among those of its condition; a fault and the fuse that it opens are not solved together."
    ),
    (
        "Open parts leave the capacitance of their pads, short ones a twentieth of an ohm; values are off by a tenth; "
        "a plug that sits half puts ten ohms in series with the receiver, an amplifier without supply shows a small "
        "capacitance (common practice, orders of size)."
    ),
    (
        "Crossed diodes fail both at once. One that is open leaves the other to charge what stands across it, and then "
        "neither conducts: that is told as open; one that is short is a pair that is short."
    ),
    "Lines break, or are crushed, at the element; their outside belongs to the conductors and is not changed.",
)


def normal_cases(circuits: Sequence[ElementCircuit]) -> tuple[ArrayCase, ...]:
    """Conditions in which nothing is wrong with the array itself, all elements alike.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element.

    Returns
    -------
    tuple of ArrayCase
        Receiving; detuned by bias, by both; plugged without bias; unplugged with its passive traps acting; unplugged
        with none acting. What the circuits have no diodes for is left out.
    """
    return tuple(as_case(state, len(circuits)) for state in states_of(circuits))


def states_of(circuits: Sequence[ElementCircuit]) -> tuple[ElementState, ...]:
    """States that the diodes and the plug of these circuits can bring about; the tuned array comes last."""
    active, passive = _has(circuits, PinDiode), _has(circuits, CrossedDiodes)
    return (
        RECEIVING,
        *((ACTIVELY_DETUNED,) if active else ()),
        *((DETUNED_BY_BOTH,) if active and passive else ()),
        *((BIAS_MISSING, PASSIVELY_DETUNED) if passive else ()),
        UNPLUGGED,
    )


def as_case(state: ElementState, elements: int) -> ArrayCase:
    """All elements in one state, nothing failed."""
    return ArrayCase(name=state.name, states=(state,) * elements, family=state.name)


def transmit_conditions(circuits: Sequence[ElementCircuit]) -> tuple[ElementState, ...]:
    """Conditions in which the scanner transmits, plugged and unplugged, all that is there to detune acting.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element.

    Returns
    -------
    tuple of ElementState
        Plugged with bias and conducting crossed diodes, as far as there are diodes; then the same unplugged.

    Notes
    -----
    Below the field from which crossed diodes conduct, ``ACTIVELY_DETUNED`` and ``UNPLUGGED`` are the conditions.
    """
    passive = Diodes.CONDUCT if _has(circuits, CrossedDiodes) else Diodes.BLOCK
    plugged = {
        (True, Diodes.CONDUCT): DETUNED_BY_BOTH,
        (True, Diodes.BLOCK): ACTIVELY_DETUNED,
        (False, Diodes.CONDUCT): BIAS_MISSING,
        (False, Diodes.BLOCK): RECEIVING,
    }[_has(circuits, PinDiode), passive]
    return plugged, PASSIVELY_DETUNED if passive is Diodes.CONDUCT else UNPLUGGED


def _has(circuits: Sequence[ElementCircuit], kind: type[PinDiode | CrossedDiodes]) -> bool:
    return any(isinstance(b, Branch) and isinstance(b.part, kind) for circuit in circuits for b in circuit.branches)


def fault_cases(
    circuits: Sequence[ElementCircuit],
    *,
    names: Sequence[str],
    bias_lines: Sequence[BiasLineRequest] = (),
    within: Sequence[ElementState] = (),
) -> tuple[ArrayCase, ...]:
    """Every single fault of every element, and of every bias line, within the conditions in which it matters.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element, diodes and fuses as they are.
    names : sequence of str
        Of the elements.
    bias_lines : sequence of BiasLineRequest
        Lines of the brief; each may be open as a whole, at its wire or at its contact in the plug.
    within : sequence of ElementState
        Conditions of all other elements; those of ``transmit_conditions`` when left out.

    Returns
    -------
    tuple of ArrayCase
        Condition after condition, element after element. Equal elements are listed each: their places in the field
        differ.

    Raises
    ------
    OutsideModelError
        If a part is of a type that has no rule.
    """
    possible = [possible_faults(circuit) for circuit in circuits]
    found: list[ArrayCase] = []
    for condition in within or transmit_conditions(circuits):
        for element, (name, own) in enumerate(zip(names, possible, strict=True)):
            found += [
                _case(f"{name}: {one.words}", condition, {element: condition.with_faults(one.fault)}, len(circuits))
                for one in own
                if condition.plug in one.matters and _can_act(condition, one.fault)
            ]
        found += _line_cases(circuits, condition, names, bias_lines)
    return tuple(found)


def _can_act(condition: ElementState, fault: Fault) -> bool:
    """A diode cannot lose the bias that it does not have."""
    return condition.pin_diodes is Diodes.CONDUCT or not isinstance(fault, NoBias)


def _line_cases(
    circuits: Sequence[ElementCircuit],
    condition: ElementState,
    names: Sequence[str],
    bias_lines: Sequence[BiasLineRequest],
) -> Iterator[ArrayCase]:
    if condition.pin_diodes is Diodes.BLOCK:
        return
    without = replace(condition, name=f"{condition.name}, no bias", pin_diodes=Diodes.BLOCK)
    for line in bias_lines:
        served = [e for e, name in enumerate(names) if name in line.elements or "all" in line.elements]
        what = f"bias line {line.name}: open, at its wire or its contact in the plug"
        yield _case(what, condition, dict.fromkeys(served, without), len(circuits))


def _case(what: str, condition: ElementState, failed: dict[int, ElementState], elements: int) -> ArrayCase:
    return ArrayCase(
        name=f"{what} ({condition.name})",
        states=tuple(failed.get(element, condition) for element in range(elements)),
        failed=tuple(failed),
        family=condition.name,
    )
