"""The parts that circuits are made of.

Fields may be numbers or arrays: parts of equal wiring are stacked, one entry per element, and a tolerance study puts
its draws in front. Values are those at the temperature of the coil and near the operating frequency. Diodes and fuses
are not linear; a state (:mod:`loopwright.circuits.states`) says what each of them is at the moment.
"""

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Capacitor",
    "CrossedDiodes",
    "Fuse",
    "Inductor",
    "Line",
    "NoiseParameters",
    "OffGap",
    "Part",
    "PassivePart",
    "PinDiode",
    "Preamplifier",
    "Resistor",
    "Values",
]

#: A number, or an array of them that broadcasts against the other fields and the frequency.
Values = float | NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Resistor:
    """Resistance with the inductance of its leads in series. [ohm], [H]"""

    resistance_ohm: Values
    inductance_h: Values = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capacitor:
    """Capacitor with its losses in series: 1 / (w C Q) and a fixed resistance, either of which may be nothing.

    Attributes
    ----------
    capacitance_f : float or ndarray
        [F]
    quality_factor : float or ndarray
        Constant over the band.
    series_resistance_ohm : float or ndarray
        Beside what the quality factor says. [ohm]
    rated_voltage_v : float or ndarray
        Peak voltage that it may see; infinite where nobody said. [V]
    """

    capacitance_f: Values
    quality_factor: Values = inf
    series_resistance_ohm: Values = 0.0
    rated_voltage_v: Values = inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inductor:
    """Inductor or choke: series loss w L / Q, the whole across the capacitance of its self-resonance.

    Attributes
    ----------
    inductance_h : float or ndarray
        Far below the self-resonance. [H]
    quality_factor : float or ndarray
        Constant over the band, of inductance and loss alone.
    self_resonance_hz : float or ndarray
        Infinite where it lies far above. [Hz]
    rated_current_a : float or ndarray
        Peak current that it may carry. [A]
    """

    inductance_h: Values
    quality_factor: Values = inf
    self_resonance_hz: Values = inf
    rated_current_a: Values = inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OffGap:
    """What is left of a part that does not conduct: a resistance and a capacitance side by side. [ohm], [F]"""

    resistance_ohm: Values
    capacitance_f: Values


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PinDiode:
    """PIN diode: resistance and inductance under forward bias; resistance and capacitance side by side without it.

    Attributes
    ----------
    forward_resistance_ohm, forward_inductance_h : float or ndarray
        In series. [ohm], [H]
    reverse_resistance_ohm, reverse_capacitance_f : float or ndarray
        Side by side. [ohm], [F]
    rated_current_a, rated_voltage_v : float or ndarray
        Peak radio-frequency current on, peak voltage off. [A], [V]
    """

    forward_resistance_ohm: Values
    reverse_resistance_ohm: Values
    reverse_capacitance_f: Values
    forward_inductance_h: Values = 0.0
    rated_current_a: Values = inf
    rated_voltage_v: Values = inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CrossedDiodes:
    """Two diodes back to back: what they are while they conduct, and while they do not. [ohm], [F]"""

    conducting_resistance_ohm: Values
    blocking_resistance_ohm: Values
    blocking_capacitance_f: Values


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fuse:
    """Fuse: resistance while it is whole, capacitance once it has opened. [ohm], [F], [A] rms."""

    resistance_ohm: Values
    open_capacitance_f: Values
    rated_current_rms_a: Values = inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Piece of coaxial or other two-conductor line, ideal but for its loss.

    Attributes
    ----------
    length_m : float or ndarray
        [m]
    characteristic_ohm : float or ndarray
        Taken as real. [ohm]
    velocity_factor : float or ndarray
        Speed of the wave over that of light.
    loss_db_per_m : float or ndarray
        Attenuation at ``loss_frequency_hz``; it goes with the root of the frequency. [dB/m]
    loss_frequency_hz : float or ndarray
        [Hz]
    """

    length_m: Values
    characteristic_ohm: Values
    velocity_factor: Values
    loss_db_per_m: Values = 0.0
    loss_frequency_hz: Values = 1e8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoiseParameters:
    """Noise of an amplifier as a function of the source that it sees.

    Attributes
    ----------
    least_noise_figure_db : float
        Fmin. [dB]
    noise_resistance_ohm : float
        Rn: how fast the noise rises away from the best source. [ohm]
    best_source_ohm : complex
        Impedance of the best source, Z_opt. [ohm]
    """

    least_noise_figure_db: Values
    noise_resistance_ohm: Values
    best_source_ohm: complex | NDArray[np.complex128] = 50.0 + 0.0j


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Preamplifier:
    """Input of the receiver: the impedance that it puts across the element, and its noise. [ohm]"""

    input_ohm: complex | NDArray[np.complex128]
    noise: NoiseParameters | None = None


PassivePart = Resistor | Capacitor | Inductor | OffGap
Part = PassivePart | PinDiode | CrossedDiodes | Fuse
