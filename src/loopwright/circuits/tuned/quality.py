"""Quality factors and what the coil's own noise costs."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["coil_noise_figure_db", "quality_factor", "snr_retained"]


def quality_factor(inductance_h: ArrayLike, resistance_ohm: ArrayLike, *, frequency_hz: float) -> NDArray[np.float64]:
    """Quality factor of a series resonant loop, w L / R.

    Parameters
    ----------
    inductance_h : array_like, shape (...)
        Inductance of the loop at uniform current. [H]
    resistance_ohm : array_like, shape (...)
        Series resistance. [ohm]
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        Quality factor; infinite without resistance.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(2 * np.pi * frequency_hz * np.asarray(inductance_h) / np.asarray(resistance_ohm))


def coil_noise_figure_db(
    body_ohm: ArrayLike, coil_ohm: ArrayLike, *, body_temperature_k: float, coil_temperature_k: float
) -> NDArray[np.float64]:
    """Noise figure of the coil: total noise over the body's noise.

    Parameters
    ----------
    body_ohm, coil_ohm : array_like, shape (...)
        Series resistance of the body and of the coil. [ohm]
    body_temperature_k, coil_temperature_k : float
        Their temperatures. [K]

    Returns
    -------
    ndarray, shape (...)
        10 log10((T_b R_b + T_c R_c) / (T_b R_b)); infinite without a body. [dB]

    References
    ----------
    A. Kumar, W. A. Edelstein, P. A. Bottomley, Noise figure limits for circular loop MR coils, Magn. Reson. Med. 61,
    1201, 2009.
    """
    coil_k_ohm = coil_temperature_k * np.asarray(coil_ohm, dtype=np.float64)
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(1 + coil_k_ohm / (body_temperature_k * np.asarray(body_ohm))))


def snr_retained(q_loaded: ArrayLike, q_unloaded: ArrayLike) -> NDArray[np.float64]:
    """Part of the SNR that the coil's noise leaves, at equal temperatures.

    Parameters
    ----------
    q_loaded, q_unloaded : array_like, shape (...)
        Quality factor with and without the body.

    Returns
    -------
    ndarray, shape (...)
        sqrt(1 - QL / QU); zero where the body loads nothing.

    Notes
    -----
    Common practice; exact while the coil's own resistance is the same with and without the body.
    """
    return np.asarray(np.sqrt(np.clip(1 - np.asarray(q_loaded) / np.asarray(q_unloaded), 0, None)))
