"""Answers to what a brief may ask beside the array itself; None where it does not ask."""

from dataclasses import dataclass

from loopwright.circuits import (
    ArrayUnderField,
    BuiltSpread,
    CircuitOutcome,
    CoaxialOutcome,
    InterfaceCheck,
    WornFamily,
)
from loopwright.designs import ConductorChoice, DrapedArray, LoadingEquivalence
from loopwright.imaging import CircuitCost
from loopwright.limits import WhileTransmitting

__all__ = ["NOTHING_ASKED", "OnRequest"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRequest:
    """One field for each question.

    Attributes
    ----------
    conductor_choice : ConductorChoice or None
        The conductor held against a rigid coil.
    interface : InterfaceCheck or None
        The array at the scanner's plugs.
    circuit : CircuitOutcome or None
        The array with its circuits.
    coaxial : CoaxialOutcome or None
        Its elements of coaxial line.
    circuit_cost : CircuitCost or None
        Images through the circuits against those of the array matched without loss.
    under_field : ArrayUnderField or None
        The same in the transmit field, state by state and fault by fault.
    while_transmitting : WhileTransmitting or None
        The same on the body in the scanner's transmit field, with faults, heat and limits.
    built : BuiltSpread or None
        Arrays as they are built.
    worn : WornFamily or None
        The array as it is worn.
    loading : LoadingEquivalence or None
        Patients and phantoms that load one element.
    draped : DrapedArray or None
        How it lies on the body.
    """

    conductor_choice: ConductorChoice | None = None
    interface: InterfaceCheck | None = None
    circuit: CircuitOutcome | None = None
    coaxial: CoaxialOutcome | None = None
    circuit_cost: CircuitCost | None = None
    under_field: ArrayUnderField | None = None
    while_transmitting: WhileTransmitting | None = None
    built: BuiltSpread | None = None
    worn: WornFamily | None = None
    loading: LoadingEquivalence | None = None
    draped: DrapedArray | None = None


#: Of a brief that asks nothing more.
NOTHING_ASKED = OnRequest()
