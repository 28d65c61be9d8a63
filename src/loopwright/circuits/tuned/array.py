"""The stage's answer: the array tuned on this body, with its networks, losses and noise."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.resistances import Resistances

__all__ = ["ElementFigures", "TunedArray"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementFigures:
    """One tuned element. Resistances are those at its port, the other element ports open.

    Attributes
    ----------
    name : str
    inductance_h : float
        At uniform current, without body (loop mode). [H]
    capacitance_f : float
        In each of its gaps, tuned on the body. [F]
    capacitor_q : float
        Quality factor of its capacitors.
    gaps : int
    body_ohm, conductor_ohm, capacitor_ohm, other_ohm, radiation_ohm : float
        Series resistance by mechanism, tuned on the body. [ohm]
    q_unloaded : float
        w L / R of the coil alone, retuned without body, radiation left out.
    q_loaded : float
        w L / R of coil and body, radiation left out.
    q_unloaded_with_radiation, q_loaded_with_radiation : float
        The same with radiation, as an open room would show them.
    noise_figure_db : float
        Noise of body and coil over noise of the body, each at its temperature. [dB]
    snr_retained : float
        sqrt(1 - QL / QU).
    frequency_shift_hz : float
        Resonance with the same capacitors when the body is taken away, less the operating frequency. [Hz]
    """

    name: str
    inductance_h: float
    capacitance_f: float
    capacitor_q: float
    gaps: int
    body_ohm: float
    conductor_ohm: float
    capacitor_ohm: float
    other_ohm: float
    radiation_ohm: float
    q_unloaded: float
    q_loaded: float
    q_unloaded_with_radiation: float
    q_loaded_with_radiation: float
    noise_figure_db: float
    snr_retained: float
    frequency_shift_hz: float

    @property
    def resistance_ohm(self) -> float:
        """Total series resistance, radiation included. [ohm]"""
        return self.body_ohm + self.conductor_ohm + self.capacitor_ohm + self.other_ohm + self.radiation_ohm

    @property
    def q_ratio(self) -> float:
        """Unloaded over loaded quality factor."""
        return self.q_unloaded / self.q_loaded


@dataclass(frozen=True, slots=True, kw_only=True)
class TunedArray:
    """The array, every element resonant on this body, seen from its element ports.

    Attributes
    ----------
    frequency_hz : float
        Operating frequency. [Hz]
    elements : tuple of ElementFigures
    impedance_ohm : ndarray, shape (element, element)
        Between the element ports at the operating frequency. [ohm]
    resistances : Resistances
        Its Hermitian part by mechanism (element, element), in the order of the noise covariance. [ohm]
    port_current : ndarray, shape (port, element)
        Gap currents per unit element-port current, the other element ports open. [A/A]
    node_current : ndarray, shape (node, element)
        Conductor currents per unit element-port current. [A/A]
    loop_current : ndarray, shape (element, element)
        Mean current of each loop (row) per unit element-port current (column). [A/A]
    body_source_current : ndarray, shape (source, element)
        Amplitude of each source that the body was solved for, per unit element-port current. [A/A]
    loop_reactance_ohm : ndarray, shape (element, element)
        Reactance between uniform loop currents, without body. [ohm]
    mutual_reactance_ohm : ndarray, shape (element, element)
        Reactance between the element ports, body included. [ohm]
    coupling : ndarray, shape (element, element)
        Coefficient X_ij / (w sqrt(L_i L_j)) of the latter.
    matched_scattering : ndarray, shape (element, element)
        At the operating frequency, a lossless match on every element.
    coupling_db : ndarray, shape (element, element)
        Its magnitude. [dB]
    sweep_frequencies_hz : ndarray, shape (frequency,)
        [Hz]
    sweep_impedance_ohm, sweep_scattering : ndarray, shape (frequency, element, element)
        Element ports before matching, the second at 50 ohm. [ohm], [1]
    temperatures : NoiseTemperatures
    weighted_resistance_k_ohm : ndarray, shape (element, element)
        Sum of temperature times resistance over what makes noise. [K ohm]
    open_circuit_noise_v2_per_hz : ndarray, shape (element, element)
        Covariance of the open-circuit voltages, one-sided, rms. [V^2/Hz]
    matched_noise_w_per_hz : ndarray, shape (element, element)
        Covariance of the waves that leave the matched ports, one-sided, rms. [W/Hz]
    wave_matrix : ndarray, shape (element, element)
        Waves that leave the matched ports per open-circuit voltage; signal and noise alike. [ohm^-1/2]
    unassigned_resistance : float
        What the split leaves of the Hermitian part, over its largest diagonal entry.
    notes : tuple of str
    """

    frequency_hz: float
    elements: tuple[ElementFigures, ...]
    impedance_ohm: NDArray[np.complex128]
    resistances: Resistances
    port_current: NDArray[np.complex128]
    node_current: NDArray[np.complex128]
    loop_current: NDArray[np.complex128]
    body_source_current: NDArray[np.complex128]
    loop_reactance_ohm: NDArray[np.float64]
    mutual_reactance_ohm: NDArray[np.float64]
    coupling: NDArray[np.float64]
    matched_scattering: NDArray[np.complex128]
    coupling_db: NDArray[np.float64]
    sweep_frequencies_hz: NDArray[np.float64]
    sweep_impedance_ohm: NDArray[np.complex128]
    sweep_scattering: NDArray[np.complex128]
    temperatures: NoiseTemperatures
    weighted_resistance_k_ohm: NDArray[np.complex128]
    open_circuit_noise_v2_per_hz: NDArray[np.complex128]
    matched_noise_w_per_hz: NDArray[np.complex128]
    wave_matrix: NDArray[np.complex128]
    unassigned_resistance: float
    notes: tuple[str, ...]

    @property
    def wave_noise_w_per_hz(self) -> NDArray[np.complex128]:
        """Noise of the waves that ``wave_matrix`` makes of the voltages, the matched noise. [W/Hz]"""
        return self.matched_noise_w_per_hz
