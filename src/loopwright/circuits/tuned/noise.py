"""Thermal noise of the array, in both of its forms.

Open circuit: covariance of the voltages at the open element ports. Matched: covariance of the waves that leave the
matched ports. Both are one-sided and rms, Psi_ij = <n_i n_j*>; they hold the same information.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.resistances import Resistances
from loopwright.ground.constants import BOLTZMANN_J_PER_K

__all__ = [
    "NoiseTemperatures",
    "RadiationInNoise",
    "RadiationOutsideNoise",
    "RadiationTreatment",
    "noise_correlation",
    "open_circuit_covariance_v2",
    "wave_covariance_w",
    "weighted_resistance_k_ohm",
]


@dataclass(frozen=True, slots=True)
class RadiationOutsideNoise:
    """Radiation resistance makes no noise: the bore is a closed shield."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RadiationInNoise:
    """Radiation resistance is as warm as the walls that take the radiation up."""

    wall_temperature_k: float


RadiationTreatment = RadiationOutsideNoise | RadiationInNoise


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseTemperatures:
    """Temperatures of the body, of the coil's parts, and what becomes of radiation."""

    body_temperature_k: float
    coil_temperature_k: float
    radiation: RadiationTreatment = RadiationOutsideNoise()

    def __post_init__(self) -> None:
        """Refuse temperatures below absolute zero."""
        if min(self.body_temperature_k, self.coil_temperature_k) < 0:
            raise ValueError(f"noise temperatures must not be negative: {self}")


def weighted_resistance_k_ohm(resistances: Resistances, temperatures: NoiseTemperatures) -> NDArray[np.complex128]:
    """Sum of the resistances, each times its temperature.

    Parameters
    ----------
    resistances : Resistances
        Matrices (E, E) by mechanism. [ohm]
    temperatures : NoiseTemperatures
        Temperature of each mechanism. [K]

    Returns
    -------
    ndarray, shape (E, E)
        Sum of T_m R_m over the mechanisms that make noise. [K ohm]
    """
    weighted = temperatures.body_temperature_k * resistances.body_ohm
    weighted = weighted + temperatures.coil_temperature_k * resistances.coil_ohm
    match temperatures.radiation:
        case RadiationInNoise(wall_temperature_k=wall_k):
            return np.asarray(weighted + wall_k * resistances.radiation_ohm)
        case RadiationOutsideNoise():
            return np.asarray(weighted)


def open_circuit_covariance_v2(
    resistances: Resistances, temperatures: NoiseTemperatures, *, bandwidth_hz: float = 1.0
) -> NDArray[np.complex128]:
    """Covariance of the noise voltages at the open element ports.

    Parameters
    ----------
    resistances : Resistances
        Matrices (E, E) by mechanism. [ohm]
    temperatures : NoiseTemperatures
        Temperature of each mechanism. [K]
    bandwidth_hz : float
        Bandwidth, one-sided. [Hz]

    Returns
    -------
    ndarray, shape (E, E)
        4 k df sum of T_m R_m, rms. [V^2]

    Notes
    -----
    Valid while h f is far below k T, which holds for every resonance frequency of a body or coil above 1 K.

    References
    ----------
    H. Nyquist, Thermal agitation of electric charge in conductors, Phys. Rev. 32, 110-113, 1928 (from memory).
    R. Q. Twiss, Nyquist's and Thevenin's theorems generalized for nonreciprocal linear networks, J. Appl. Phys. 26,
    599-602, 1955 (from memory).
    """
    weighted = weighted_resistance_k_ohm(resistances, temperatures)
    return np.asarray(4 * BOLTZMANN_J_PER_K * bandwidth_hz * weighted)


def wave_covariance_w(
    covariance_v2: NDArray[np.complexfloating], wave_matrix: NDArray[np.complexfloating]
) -> NDArray[np.complex128]:
    """Covariance of the noise waves that leave matched ports.

    Parameters
    ----------
    covariance_v2 : ndarray, shape (E, E)
        Covariance of the open-circuit voltages. [V^2]
    wave_matrix : ndarray, shape (E, E)
        Waves per open-circuit voltage, see ``noise_wave_matrix``. [ohm^-1/2]

    Returns
    -------
    ndarray, shape (E, E)
        T Psi T^H; at one temperature, radiation included, k T df (1 - S S^H). [W]

    References
    ----------
    H. Bosma, On the theory of linear noisy systems, Philips Res. Rep. Suppl. 10, 1967 (from memory).
    """
    return np.asarray(wave_matrix @ covariance_v2 @ wave_matrix.conj().T)


def noise_correlation(covariance: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """Correlation matrix of a covariance.

    Parameters
    ----------
    covariance : ndarray, shape (E, E)
        Hermitian covariance, in any unit.

    Returns
    -------
    ndarray, shape (E, E)
        Psi_ij / sqrt(Psi_ii Psi_jj); ones on the diagonal.
    """
    deviation = np.sqrt(np.diagonal(covariance).real)
    return np.asarray(covariance / np.outer(deviation, deviation))
