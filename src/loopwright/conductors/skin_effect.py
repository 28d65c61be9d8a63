"""Skin depth, surface resistance, and the inner impedance of a round wire."""

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ive

from loopwright.ground.constants import MU_0_H_PER_M

__all__ = ["round_wire_impedance_ohm_per_m", "skin_depth_m", "surface_resistance_ohm"]


def skin_depth_m(frequency_hz: ArrayLike, conductivity_s_per_m: ArrayLike) -> NDArray[np.float64]:
    """Depth at which the current in a plane good conductor has fallen to 1/e.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    conductivity_s_per_m : array_like, shape (...)
        Conductivity of a non-magnetic metal. [S/m]

    Returns
    -------
    ndarray, shape (...)
        Skin depth. [m]

    Notes
    -----
    Displacement current is ignored, as it may be in any metal at radio frequency.
    """
    f, sigma = np.asarray(frequency_hz, dtype=np.float64), np.asarray(conductivity_s_per_m, dtype=np.float64)
    return np.asarray(1 / np.sqrt(pi * f * MU_0_H_PER_M * sigma))


def surface_resistance_ohm(frequency_hz: ArrayLike, conductivity_s_per_m: ArrayLike) -> NDArray[np.float64]:
    """Resistance of a square of surface, current on one face of a metal much thicker than the skin depth.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    conductivity_s_per_m : array_like, shape (...)
        Conductivity. [S/m]

    Returns
    -------
    ndarray, shape (...)
        Surface resistance, per square. [ohm]
    """
    sigma = np.asarray(conductivity_s_per_m, dtype=np.float64)
    return np.asarray(1 / (sigma * skin_depth_m(frequency_hz, sigma)))


def round_wire_impedance_ohm_per_m(
    frequency_hz: ArrayLike, *, diameter_m: ArrayLike, conductivity_s_per_m: ArrayLike
) -> NDArray[np.complex128]:
    r"""Inner impedance of a straight round wire per metre, exactly.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    diameter_m : array_like, shape (...)
        Diameter of the wire. [m]
    conductivity_s_per_m : array_like, shape (...)
        Conductivity. [S/m]

    Returns
    -------
    ndarray of complex, shape (...)
        Resistance and reactance of the inner field. [ohm/m]

    Notes
    -----
    :math:`Z = \gamma I_0(\gamma a) / (2\pi a \sigma I_1(\gamma a))`, :math:`\gamma = (1+j)/\delta`, with scaled Bessel
    functions, which do not overflow.  Curvature and neighbouring conductors are ignored.  By hand:
    :math:`1/[2\pi\sigma\delta(a - \delta/2)]` is within 0.02 % of the resistance for :math:`a > 17\delta`.

    References
    ----------
    W. Thomson (Lord Kelvin), 1889; tables in NBS Circular 74 (from memory).
    """
    a = np.asarray(diameter_m, dtype=np.float64) / 2
    sigma = np.asarray(conductivity_s_per_m, dtype=np.float64)
    gamma = (1 + 1j) / skin_depth_m(frequency_hz, sigma)
    ratio = ive(0, gamma * a) / ive(1, gamma * a)  # both scaled by the same exp(-Re)
    return np.asarray(gamma * ratio / (2 * pi * a * sigma), dtype=np.complex128)
