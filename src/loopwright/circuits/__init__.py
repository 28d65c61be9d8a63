"""What does the array do between its element ports once it is tuned on this body, and how loud is it?

From the port network of the conductors (:mod:`loopwright.fields.wires`) and the body's reply
(:mod:`loopwright.fields.body`) to capacitors, resistances by mechanism, quality factors, scattering and noise. By nodal
analysis on the port network: capacitors close the gaps, so that every state of the circuit is algebra on one solution
of the fields. Losses are quadratic forms of the currents; noise follows from them by Nyquist's theorem, each resistance
at its own temperature.
"""

from loopwright.circuits.array import ElementFigures, TunedArray
from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.array_tuning import REFERENCE_OHM, tune
from loopwright.circuits.matching import match_elements, noise_wave_matrix, scattering
from loopwright.circuits.noise import (
    NoiseTemperatures,
    RadiationInNoise,
    RadiationOutsideNoise,
    noise_correlation,
    open_circuit_covariance_v2,
    wave_covariance_w,
)
from loopwright.circuits.outcome import CIRCUIT_LIMITS, CircuitOutcome, wire_up, with_joints
from loopwright.circuits.quality import coil_noise_figure_db, quality_factor, snr_retained
from loopwright.circuits.resistances import Resistances

__all__ = [
    "CIRCUIT_LIMITS",
    "REFERENCE_OHM",
    "ArrayPorts",
    "CircuitOutcome",
    "ElementFigures",
    "NoiseTemperatures",
    "RadiationInNoise",
    "RadiationOutsideNoise",
    "Resistances",
    "TunedArray",
    "array_ports",
    "coil_noise_figure_db",
    "match_elements",
    "noise_correlation",
    "noise_wave_matrix",
    "open_circuit_covariance_v2",
    "quality_factor",
    "scattering",
    "snr_retained",
    "tune",
    "wave_covariance_w",
    "wire_up",
    "with_joints",
]
