"""Signal-to-noise ratio of the array: how its elements are combined, and in which units."""

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular

from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "absolute_snr_factor",
    "optimum_sensitivity",
    "root_sum_of_squares_sensitivity",
    "whitened",
]

#: Points whitened at once: bounds the working memory without changing any result.
_POINTS = 65536


def whitened(signal: NDArray[np.complexfloating], noise: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """Turn signals into those of channels with uncorrelated noise of unit strength.

    Parameters
    ----------
    signal : ndarray, shape (element, point)
        Signal of each element, e.g. reception field. [T/A]
    noise : ndarray, shape (element, element)
        Noise covariance <n_i n_j*>, e.g. resistance matrix. [ohm]

    Returns
    -------
    ndarray, shape (element, point)
        L^-1 s with L the Cholesky factor of the covariance.

    Raises
    ------
    OutsideModelError
        If the covariance is not positive definite: an element, or a combination of elements, would be without noise.
    """
    hermitian = (noise + noise.conj().T) / 2
    try:
        factor = cholesky(hermitian, lower=True)
    except np.linalg.LinAlgError as error:
        least = float(np.linalg.eigvalsh(hermitian)[0])
        raise OutsideModelError(
            f"the noise covariance is not positive definite (least eigenvalue {least:.3g}): "
            "a combination of the elements would be free of noise. Give the conductor a resistance."
        ) from error
    white = np.empty(signal.shape, dtype=np.complex128)
    for start in range(0, signal.shape[1], _POINTS):
        part = slice(start, start + _POINTS)
        white[:, part] = solve_triangular(factor, signal[:, part].astype(np.complex128), lower=True)
    return white


def optimum_sensitivity(signal: NDArray[np.complexfloating], noise: NDArray[np.complexfloating]) -> NDArray[np.float64]:
    """Signal over noise of the best linear combination of the elements at each point.

    Parameters
    ----------
    signal : ndarray, shape (element, point)
        Reception field per unit element-port current. [T/A]
    noise : ndarray, shape (element, element)
        Noise resistance <n_i n_j*>. [ohm]

    Returns
    -------
    ndarray, shape (point,)
        sqrt(s^H Psi^-1 s). [T A^-1 ohm^-1/2]

    References
    ----------
    P. B. Roemer, W. A. Edelstein, C. E. Hayes, S. P. Souza, O. M. Mueller, The NMR phased array, Magn. Reson. Med. 16,
    192-225, 1990.
    """
    return np.asarray(np.linalg.norm(whitened(signal, noise), axis=0), dtype=np.float64)


def root_sum_of_squares_sensitivity(
    signal: NDArray[np.complexfloating], noise: NDArray[np.complexfloating]
) -> NDArray[np.float64]:
    """Signal over noise of the root-sum-of-squares combination, where the signal is far above the noise.

    Parameters
    ----------
    signal : ndarray, shape (element, point)
        Reception field per unit element-port current. [T/A]
    noise : ndarray, shape (element, element)
        Noise resistance <n_i n_j*>. [ohm]

    Returns
    -------
    ndarray, shape (point,)
        s^H s / sqrt(s^H Psi s); zero where there is no signal. [T A^-1 ohm^-1/2]

    Notes
    -----
    Unlike the optimum it depends on how each channel is scaled: here every element per unit current at its port.

    References
    ----------
    Roemer et al. 1990, as for the optimum.
    """
    s = signal.astype(np.complex128)
    power = np.sum(np.abs(s) ** 2, axis=0)
    variance = np.einsum("ip,ip->p", s.conj(), noise @ s).real
    return np.divide(power, np.sqrt(variance), out=np.zeros_like(power), where=power > 0)


def absolute_snr_factor(
    *,
    frequency_hz: float,
    magnetisation_a_per_m: float,
    voxel_volume_m3: float,
    bandwidth_hz: float,
    noise_temperature_k: float,
) -> float:
    """Absolute SNR per unit of sensitivity.

    Parameters
    ----------
    frequency_hz : float
        Larmor frequency. [Hz]
    magnetisation_a_per_m : float
        Transverse magnetisation, all of it tipped. [A/m]
    voxel_volume_m3 : float
        Volume of an image voxel. [m^3]
    bandwidth_hz : float
        Noise bandwidth of one sample: the receiver's. [Hz]
    noise_temperature_k : float
        Temperature to which the noise resistance is referred. [K]

    Returns
    -------
    float
        2 w M0 V / sqrt(4 k T df): peak signal over the standard deviation of one real channel, per unit of
        T A^-1 ohm^-1/2. [A ohm^1/2 T^-1]

    References
    ----------
    D. I. Hoult, R. E. Richards, The signal-to-noise ratio of the nuclear magnetic resonance experiment, J. Magn. Reson.
    24, 71-85, 1976 (from memory).
    """
    signal = 2 * 2 * np.pi * frequency_hz * magnetisation_a_per_m * voxel_volume_m3
    return float(signal / np.sqrt(4 * BOLTZMANN_J_PER_K * noise_temperature_k * bandwidth_hz))
