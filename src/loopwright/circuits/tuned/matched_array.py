"""From the element ports of a tuned array to everything that is told of it, whatever it was tuned by."""

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.array import ElementFigures, TunedArray
from loopwright.circuits.tuned.coupling import coupling_coefficient, coupling_db
from loopwright.circuits.tuned.matching import match_elements, noise_wave_matrix, scattering
from loopwright.circuits.tuned.noise import (
    NoiseTemperatures,
    open_circuit_covariance_v2,
    wave_covariance_w,
    weighted_resistance_k_ohm,
)
from loopwright.circuits.tuned.resistances import Resistances
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork

__all__ = ["REFERENCE_OHM", "SWEEP_POINTS", "matched_array", "sweep_frequencies_hz", "unassigned_resistance"]

#: Reference resistance of the scattering matrices, and of the line behind every match. [ohm]
REFERENCE_OHM = 50.0

#: Points of the sweep over the network's band.
SWEEP_POINTS = 101


def sweep_frequencies_hz(network: PortNetwork) -> NDArray[np.float64]:
    """Frequencies of the sweep over the band of a network. [Hz]"""
    return np.linspace(network.frequencies_hz[0], network.frequencies_hz[-1], SWEEP_POINTS)


def unassigned_resistance(impedance_ohm: NDArray[np.complex128], resistances: Resistances) -> float:
    """Part of the Hermitian impedance that no mechanism accounts for, over its largest diagonal entry.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (E, E)
        Between the element ports. [ohm]
    resistances : Resistances
        Its split by mechanism.
    """
    left = (impedance_ohm + impedance_ohm.conj().T) / 2 - resistances.total_ohm
    return float(np.max(np.abs(left)) / np.max(np.abs(np.diagonal(impedance_ohm).real)))


def matched_array(
    network: PortNetwork,
    reply: BodyReply,
    *,
    elements: tuple[ElementFigures, ...],
    impedance_ohm: NDArray[np.complex128],
    resistances: Resistances,
    port_current: NDArray[np.complex128],
    inductance_h: NDArray[np.float64],
    sweep_impedance_ohm: NDArray[np.complex128],
    temperatures: NoiseTemperatures,
    notes: tuple[str, ...],
) -> TunedArray:
    """Match every element without loss, and tell what the array then is.

    Parameters
    ----------
    network : PortNetwork
        The conductors in air.
    reply : BodyReply
        What the body does to them.
    elements : tuple of ElementFigures
        One for each element.
    impedance_ohm : ndarray, shape (E, E)
        Between the element ports at the operating frequency. [ohm]
    resistances : Resistances
        Its Hermitian part by mechanism.
    port_current : ndarray, shape (P, E)
        Gap currents per element-port current.
    inductance_h : ndarray, shape (E,)
        By which the coupling coefficients are told. [H]
    sweep_impedance_ohm : ndarray, shape (F, E, E)
        Between the element ports at ``sweep_frequencies_hz``. [ohm]
    temperatures : NoiseTemperatures
        Of what makes noise.
    notes : tuple of str
        What a reader should know.

    Returns
    -------
    TunedArray

    Raises
    ------
    OutsideModelError
        If an element has no positive resistance.
    """
    matched_ohm, reference_ohm = match_elements(impedance_ohm)
    matched = scattering(matched_ohm, reference_ohm)
    waves = noise_wave_matrix(matched_ohm, reference_ohm)
    open_noise = open_circuit_covariance_v2(resistances, temperatures)
    return TunedArray(
        frequency_hz=network.frequency_hz,
        elements=elements,
        impedance_ohm=impedance_ohm,
        resistances=resistances,
        port_current=port_current,
        node_current=network.node_current @ port_current,
        loop_current=network.mean_loop_current @ port_current,
        body_source_current=reply.source_per_port_current @ port_current,
        loop_reactance_ohm=network.loop_impedance_ohm.imag,
        mutual_reactance_ohm=impedance_ohm.imag,
        coupling=coupling_coefficient(impedance_ohm.imag, inductance_h, frequency_hz=network.frequency_hz),
        matched_scattering=matched,
        coupling_db=coupling_db(matched),
        sweep_frequencies_hz=sweep_frequencies_hz(network),
        sweep_impedance_ohm=sweep_impedance_ohm,
        sweep_scattering=scattering(sweep_impedance_ohm, REFERENCE_OHM),
        temperatures=temperatures,
        weighted_resistance_k_ohm=weighted_resistance_k_ohm(resistances, temperatures),
        open_circuit_noise_v2_per_hz=open_noise,
        matched_noise_w_per_hz=wave_covariance_w(open_noise, waves),
        wave_matrix=waves,
        unassigned_resistance=unassigned_resistance(impedance_ohm, resistances),
        notes=notes,
    )
