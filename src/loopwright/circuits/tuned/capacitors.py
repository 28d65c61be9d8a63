"""The capacitors in an element's gaps."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["capacitor_impedance_ohm"]


def capacitor_impedance_ohm(
    capacitance_f: ArrayLike, *, quality_factor: ArrayLike, frequency_hz: ArrayLike
) -> NDArray[np.complex128]:
    """Impedance of a capacitor with its series loss.

    Parameters
    ----------
    capacitance_f : array_like, shape (...)
        Capacitance. [F]
    quality_factor : array_like, shape (...)
        Reactance over series resistance; infinite for a lossless part.
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        (1/Q - j) / (w C). [ohm]

    Notes
    -----
    Q is held constant over the band, so the series resistance falls as one over the frequency (common practice for a
    band of a few per cent; over octaves the loss of a real part follows another law).
    """
    w = 2 * np.pi * np.asarray(frequency_hz, dtype=np.float64)
    reactance_ohm = 1 / (w * np.asarray(capacitance_f))
    return np.asarray((1 / np.asarray(quality_factor, dtype=np.float64) - 1j) * reactance_ohm, dtype=np.complex128)
