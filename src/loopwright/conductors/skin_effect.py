"""Skin depth, surface resistance, and the inner impedances of a round wire and of a tube."""

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ive, kve

from loopwright.ground.constants import MU_0_H_PER_M

__all__ = ["round_wire_impedance_ohm_per_m", "skin_depth_m", "surface_resistance_ohm", "tube_impedance_ohm_per_m"]


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


def tube_impedance_ohm_per_m(
    frequency_hz: ArrayLike, *, inner_diameter_m: float, outer_diameter_m: float, conductivity_s_per_m: float
) -> NDArray[np.complex128]:
    r"""Inner impedance of a tube that carries the return current of a conductor inside it, per metre, exactly.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        [Hz]
    inner_diameter_m, outer_diameter_m : float
        [m]
    conductivity_s_per_m : float
        [S/m]

    Returns
    -------
    ndarray of complex, shape (...)
        Resistance and reactance of the field in the tube; that of direct current at low frequency. [ohm/m]

    References
    ----------
    S. A. Schelkunoff, The electromagnetic theory of coaxial transmission lines and cylindrical shields, Bell Syst.
    Tech. J. 13, 532-579, 1934 (from memory).
    """
    b, c = inner_diameter_m / 2, outer_diameter_m / 2
    gamma = (1 + 1j) / skin_depth_m(frequency_hz, conductivity_s_per_m)
    # iv(x) = ive(x) exp(Re x), kv(x) = kve(x) exp(-x): I(c) K(b) takes exp(Re (c - b)g) and a phase more than it shows.
    falling = ive(1, gamma * c)
    growing = kve(1, gamma * c) * np.exp(-(c - b) * (gamma + gamma.real))
    top = kve(0, gamma * b) * falling + ive(0, gamma * b) * growing
    bottom = kve(1, gamma * b) * falling - ive(1, gamma * b) * growing
    return np.asarray(gamma / (2 * pi * b * conductivity_s_per_m) * top / bottom)
