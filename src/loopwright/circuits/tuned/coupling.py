"""How strongly elements see each other."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["coupling_coefficient", "coupling_db"]


def coupling_db(scattering: NDArray[np.complexfloating]) -> NDArray[np.float64]:
    """Magnitude of a scattering matrix in decibels.

    Parameters
    ----------
    scattering : ndarray, shape (E, E)
        Scattering matrix.

    Returns
    -------
    ndarray, shape (E, E)
        20 log10 |S|; minus infinity where S is zero. [dB]
    """
    with np.errstate(divide="ignore"):
        return np.asarray(20 * np.log10(np.abs(scattering)), dtype=np.float64)


def coupling_coefficient(
    mutual_reactance_ohm: NDArray[np.floating], inductance_h: NDArray[np.floating], *, frequency_hz: float
) -> NDArray[np.float64]:
    """Coefficient of inductive coupling, X_ij / (w sqrt(L_i L_j)).

    Parameters
    ----------
    mutual_reactance_ohm : ndarray, shape (E, E)
        Reactance between elements; the diagonal is not used. [ohm]
    inductance_h : ndarray, shape (E,)
        Inductance of each element. [H]
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (E, E)
        Coefficient, with its sign; ones on the diagonal.
    """
    root = np.sqrt(inductance_h)
    k = np.asarray(mutual_reactance_ohm / (2 * np.pi * frequency_hz * np.outer(root, root)), dtype=np.float64)
    np.fill_diagonal(k, 1.0)
    return k
