"""What does the array do between its element ports once it is tuned on this body, and how loud is it?

From the port network of the conductors (:mod:`loopwright.fields.wires`) and the body's reply
(:mod:`loopwright.fields.body`) to capacitors, resistances by mechanism, quality factors, scattering and noise. By nodal
analysis on the port network: capacitors or lines close the gaps, so that every state of the circuit is algebra on one
solution of the fields. Losses are quadratic forms of the currents; noise follows from them by Nyquist's theorem, each
resistance at its own temperature.
"""

from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.bias.bias_lines import LineCheck, LineFault, check_line
from loopwright.circuits.bias.crossed_diodes import (
    GENERIC_CROSSED_DIODES,
    CrossedDiodes,
    CrossedDiodeState,
    crossed_diode_limits,
    drive_crossed_diodes,
    transition_emf_v,
)
from loopwright.circuits.bias.fuse import (
    GENERIC_FUSE,
    Fuse,
    FuseWindow,
    fuse_resistance_ohm,
    fuse_window,
    noise_cost_db,
)
from loopwright.circuits.bias.interface_check import ChannelUse, InterfaceCheck, check_interface
from loopwright.circuits.bias.pin_charge import held_current_a, recovery_time_s, reverse_voltage_needed_v
from loopwright.circuits.bias.pin_diode import (
    GENERIC_PIN_DIODE,
    PinDiode,
    forward_resistance_ohm,
    off_admittance_s,
    pin_diode_limits,
)
from loopwright.circuits.bias.retuning import Retuning, length_per_degree_m, retuning
from loopwright.circuits.coaxial.coaxial_outcome import CoaxialOutcome, coaxial_outcome
from loopwright.circuits.outcome import CIRCUIT_LIMITS, CircuitOutcome, wire_up, with_joints
from loopwright.circuits.spread.built import BuiltSpread, built_spread
from loopwright.circuits.spread.worn import WornFamily, worn_family
from loopwright.circuits.tuned.array import ElementFigures, TunedArray
from loopwright.circuits.tuned.array_tuning import REFERENCE_OHM
from loopwright.circuits.tuned.matching import match_elements, noise_wave_matrix, scattering
from loopwright.circuits.tuned.noise import (
    NoiseTemperatures,
    RadiationInNoise,
    RadiationOutsideNoise,
    noise_correlation,
    open_circuit_covariance_v2,
    wave_covariance_w,
)
from loopwright.circuits.tuned.quality import coil_noise_figure_db, quality_factor, snr_retained
from loopwright.circuits.tuned.resistances import Resistances
from loopwright.circuits.tuned_array import tune
from loopwright.circuits.under_field.array_under_field import ArrayUnderField, in_transmit_field
from loopwright.circuits.under_field.induced import (
    ElectricField,
    induced_emf_v,
    port_emf_v,
    rotating_field_t,
    segment_emf_v,
)

__all__ = [
    "CIRCUIT_LIMITS",
    "GENERIC_CROSSED_DIODES",
    "GENERIC_FUSE",
    "GENERIC_PIN_DIODE",
    "REFERENCE_OHM",
    "ArrayPorts",
    "ArrayUnderField",
    "BuiltSpread",
    "ChannelUse",
    "CircuitOutcome",
    "CoaxialOutcome",
    "CrossedDiodeState",
    "CrossedDiodes",
    "ElectricField",
    "ElementFigures",
    "Fuse",
    "FuseWindow",
    "InterfaceCheck",
    "LineCheck",
    "LineFault",
    "NoiseTemperatures",
    "PinDiode",
    "RadiationInNoise",
    "RadiationOutsideNoise",
    "Resistances",
    "Retuning",
    "TunedArray",
    "WornFamily",
    "array_ports",
    "built_spread",
    "check_interface",
    "check_line",
    "coaxial_outcome",
    "coil_noise_figure_db",
    "crossed_diode_limits",
    "drive_crossed_diodes",
    "forward_resistance_ohm",
    "fuse_resistance_ohm",
    "fuse_window",
    "held_current_a",
    "in_transmit_field",
    "induced_emf_v",
    "length_per_degree_m",
    "match_elements",
    "noise_correlation",
    "noise_cost_db",
    "noise_wave_matrix",
    "off_admittance_s",
    "open_circuit_covariance_v2",
    "pin_diode_limits",
    "port_emf_v",
    "quality_factor",
    "recovery_time_s",
    "retuning",
    "reverse_voltage_needed_v",
    "rotating_field_t",
    "scattering",
    "segment_emf_v",
    "snr_retained",
    "transition_emf_v",
    "tune",
    "wave_covariance_w",
    "wire_up",
    "with_joints",
    "worn_family",
]
