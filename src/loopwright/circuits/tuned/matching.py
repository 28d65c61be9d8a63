"""Scattering at the element ports, and a lossless match of every element."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["match_elements", "noise_wave_matrix", "scattering"]


def scattering(impedance_ohm: NDArray[np.complexfloating], reference_ohm: ArrayLike) -> NDArray[np.complex128]:
    """Scattering matrix of power waves at real reference resistances.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (..., E, E)
        Impedance matrix. [ohm]
    reference_ohm : array_like, shape () or (E,)
        Real reference of each port. [ohm]

    Returns
    -------
    ndarray, shape (..., E, E)
        S = 1 - 2 sqrt(R) (Z + R)^-1 sqrt(R).

    References
    ----------
    K. Kurokawa, Power waves and the scattering matrix, IEEE Trans. Microw. Theory Tech. 13, 194-202, 1965 (from
    memory).
    """
    z = np.asarray(impedance_ohm, dtype=np.complex128)
    root = np.sqrt(np.broadcast_to(np.asarray(reference_ohm, dtype=np.float64), z.shape[-1:]))
    return np.eye(z.shape[-1]) - 2 * noise_wave_matrix(z, root**2) * root


def noise_wave_matrix(impedance_ohm: NDArray[np.complexfloating], reference_ohm: ArrayLike) -> NDArray[np.complex128]:
    """Outgoing waves at terminated ports per unit open-circuit voltages.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (..., E, E)
        Impedance matrix. [ohm]
    reference_ohm : array_like, shape () or (E,)
        Real reference, and termination, of each port. [ohm]

    Returns
    -------
    ndarray, shape (..., E, E)
        T = sqrt(R) (Z + R)^-1, b = T v with rms v; signal and noise pass through the same matrix. [ohm^-1/2]
    """
    z = np.asarray(impedance_ohm, dtype=np.complex128)
    r = np.broadcast_to(np.asarray(reference_ohm, dtype=np.float64), z.shape[-1:])
    return np.asarray(np.sqrt(r)[:, None] * np.linalg.inv(z + np.diag(r)))


def match_elements(
    impedance_ohm: NDArray[np.complexfloating],
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Put a lossless match on every element.

    Each port gets a series reactance that cancels its own, then an ideal transformer from its resistance to the
    line's. Waves referred to the element's own resistance are then the waves on the line, so the transformer does not
    appear; any other lossless match turns the phases of S and leaves its magnitudes.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (E, E)
        Impedance between the element ports. [ohm]

    Returns
    -------
    matched_ohm : ndarray, shape (E, E)
        Impedance behind the series reactances. [ohm]
    reference_ohm : ndarray, shape (E,)
        Resistance that each transformer presents as the line's. [ohm]

    Raises
    ------
    OutsideModelError
        If an element has no positive resistance: it cannot be matched.
    """
    z = np.array(impedance_ohm, dtype=np.complex128)
    own = np.diagonal(z).copy()
    if not np.all(own.real > 0):
        worst = int(np.argmin(own.real))
        raise OutsideModelError(f"element {worst} has resistance {own[worst].real:.3g} ohm: it cannot be matched")
    z[np.diag_indices(len(z))] -= 1j * own.imag
    return z, own.real
