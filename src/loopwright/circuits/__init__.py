"""What does the array do between its element ports once it is tuned on this body, and how loud is it?

From the port network of the conductors (:mod:`loopwright.fields.wires`) and the body's reply
(:mod:`loopwright.fields.body`) to capacitors, resistances by mechanism, quality factors, scattering and noise. By nodal
analysis on the port network: capacitors or lines close the gaps, so that every state of the circuit is algebra on one
solution of the fields. Losses are quadratic forms of the currents; noise follows from them by Nyquist's theorem, each
resistance at its own temperature.
"""

from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.bias.fuse import (
    GENERIC_FUSE,
    FuseWindow,
    fuse_resistance_ohm,
    fuse_window,
    noise_cost_db,
)
from loopwright.circuits.bias.interface_check import ChannelUse, InterfaceCheck, check_interface
from loopwright.circuits.bias.pin_charge import held_current_a
from loopwright.circuits.bias.pin_diode import GENERIC_PIN_DIODE, pin_diode_limits
from loopwright.circuits.bias.retuning import Retuning, length_per_degree_m, retuning
from loopwright.circuits.coaxial.coaxial_outcome import CoaxialOutcome, coaxial_outcome
from loopwright.circuits.outcome import CIRCUIT_LIMITS, CircuitOutcome, wire_up, with_joints
from loopwright.circuits.spread.built import BuiltSpread, built_spread
from loopwright.circuits.spread.worn import WornFamily, worn_family
from loopwright.circuits.tuned.array import ElementFigures, TunedArray
from loopwright.circuits.tuned.noise import NoiseTemperatures, RadiationInNoise
from loopwright.circuits.tuned.quality import coil_noise_figure_db
from loopwright.circuits.tuned.resistances import Resistances
from loopwright.circuits.tuned_array import tune
from loopwright.circuits.under_field.array_under_field import ArrayUnderField, in_transmit_field
from loopwright.circuits.under_field.driven_diodes import driven_diode_limits
from loopwright.circuits.under_field.induced import induced_emf_v, rotating_field_t

__all__ = [
    "CIRCUIT_LIMITS",
    "GENERIC_FUSE",
    "GENERIC_PIN_DIODE",
    "ArrayPorts",
    "ArrayUnderField",
    "BuiltSpread",
    "ChannelUse",
    "CircuitOutcome",
    "CoaxialOutcome",
    "ElementFigures",
    "FuseWindow",
    "InterfaceCheck",
    "LineCheck",
    "NoiseTemperatures",
    "RadiationInNoise",
    "Resistances",
    "Retuning",
    "TunedArray",
    "WornFamily",
    "array_ports",
    "built_spread",
    "check_interface",
    "coaxial_outcome",
    "coil_noise_figure_db",
    "driven_diode_limits",
    "fuse_resistance_ohm",
    "fuse_window",
    "held_current_a",
    "in_transmit_field",
    "induced_emf_v",
    "length_per_degree_m",
    "noise_cost_db",
    "pin_diode_limits",
    "retuning",
    "rotating_field_t",
    "tune",
    "wire_up",
    "with_joints",
    "worn_family",
]
