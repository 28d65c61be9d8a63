"""Answers to what a brief may ask beside the array itself; None where it does not ask."""

from dataclasses import dataclass

from loopwright.circuits import BuiltSpread, CircuitOutcome, InterfaceCheck, WornFamily
from loopwright.designs import ConductorChoice

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
    built : BuiltSpread or None
        Arrays as they are built.
    worn : WornFamily or None
        The array as it is worn.
    """

    conductor_choice: ConductorChoice | None = None
    interface: InterfaceCheck | None = None
    circuit: CircuitOutcome | None = None
    built: BuiltSpread | None = None
    worn: WornFamily | None = None


#: Of a brief that asks nothing more.
NOTHING_ASKED = OnRequest()
