"""Capacitors across gaps with the loss that the brief tells of them."""

from dataclasses import replace

from loopwright.circuits.parts import Capacitor
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, return_node
from loopwright.conductors import GapCapacitors

__all__ = ["across_gap", "with_gap_losses"]


def across_gap(circuit: ElementCircuit, branch: Branch | Span) -> bool:
    """Whether a part is a capacitor that bridges a gap of the conductor."""
    gaps = {frozenset((gap_node(gap), return_node(gap))) for gap in range(1, circuit.gap_count + 1)}
    return isinstance(branch, Branch) and isinstance(branch.part, Capacitor) and frozenset(branch.between) in gaps


def with_gap_losses(circuit: ElementCircuit, capacitors: GapCapacitors) -> ElementCircuit:
    """Give every capacitor across a gap the quality of its value; where none can be printed it keeps its own.

    Parameters
    ----------
    circuit : ElementCircuit
        Values are numbers.
    capacitors : GapCapacitors
        What bridges the gaps.
    """
    for branch in circuit.branches:
        if across_gap(circuit, branch) and isinstance(part := circuit.part(branch.name), Capacitor):
            quality = capacitors.quality(float(part.capacitance_f))
            if quality is not None:
                circuit = circuit.with_part(branch.name, replace(part, quality_factor=quality))
    return circuit
