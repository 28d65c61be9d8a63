"""What do the bare conductors do by themselves: as a network of their gaps, and as sources of fields?

From a dressed layout to its N-port impedance over a band, the currents behind it, and the vector potential and magnetic
field of each element's uniform current.  Thin-wire mixed-potential integral equation, Galerkin's method with rooftop
currents (Harrington 1968), gaps as ports by Schur reduction.
"""

from loopwright.fields.wires.bending_shift import BendingShift, bending_shift
from loopwright.fields.wires.bundling import ArrayWires, array_wires, mesh_wires, split_segments
from loopwright.fields.wires.filament_fields import (
    magnetic_field_t_per_a,
    vector_potential_component,
    vector_potential_kernel,
)
from loopwright.fields.wires.flexed_frequency import flexed_frequencies_hz
from loopwright.fields.wires.impedance_gradient import (
    impedance_gradient_ohm,
    impedance_gradients_ohm,
    linearisation_error,
)
from loopwright.fields.wires.neighbour_coupling import LoopCoupling, loop_reactances_ohm
from loopwright.fields.wires.port_network import PortNetwork, solve_network
from loopwright.fields.wires.wire_limits import wire_limits

__all__ = [
    "ArrayWires",
    "BendingShift",
    "LoopCoupling",
    "PortNetwork",
    "array_wires",
    "bending_shift",
    "flexed_frequencies_hz",
    "impedance_gradient_ohm",
    "impedance_gradients_ohm",
    "linearisation_error",
    "loop_reactances_ohm",
    "magnetic_field_t_per_a",
    "mesh_wires",
    "solve_network",
    "split_segments",
    "vector_potential_component",
    "vector_potential_kernel",
    "wire_limits",
]
