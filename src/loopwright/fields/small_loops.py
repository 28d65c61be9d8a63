"""Electric and magnetic field of closed loops so small that only their moment counts.

A small closed loop of moment m has the vector potential mu0 curl(g m), g = exp(-j k R)/(4 pi R), and no charge::

    E = -j omega mu0 grad g x m        B = mu0 (grad div + k^2)(g m)

exp(+j omega t), peak phasors. Exact for a point moment.
"""

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["electric_component_v_per_m", "magnetic_component_t"]

Real = NDArray[np.float64]
Complex = NDArray[np.complex64]


def electric_component_v_per_m(points_m: Real, loops_m: Real, *, axis: int, frequency_hz: float) -> Complex:
    """One component of E per unit moment along x, y and z of every loop.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted. [m]
    loops_m : ndarray, shape (loops, 3)
        Where the small loops lie. [m]
    axis : int
        Component wanted: 0, 1 or 2.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (points, loops, 3)
        Last axis: direction of the moment. [V/m per A m^2]
    """
    r, distance, wavenumber = _apart(points_m, loops_m, frequency_hz)
    slope = -(1 + 1j * wavenumber * distance) * np.exp(-1j * wavenumber * distance) / (4 * np.pi * distance**3)
    scale = -1j * 2 * np.pi * frequency_hz * MU_0_H_PER_M * slope
    after, before = (axis + 1) % 3, (axis + 2) % 3
    field = np.zeros((*distance.shape, 3), dtype=np.complex64)
    field[..., before] = scale * r[..., after]
    field[..., after] = -scale * r[..., before]
    return field


def magnetic_component_t(points_m: Real, loops_m: Real, *, axis: int, frequency_hz: float) -> Complex:
    """One component of B per unit moment along x, y and z of every loop.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted. [m]
    loops_m : ndarray, shape (loops, 3)
        Where the small loops lie. [m]
    axis : int
        Component wanted: 0, 1 or 2.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (points, loops, 3)
        Last axis: direction of the moment. [T per A m^2]
    """
    r, distance, wavenumber = _apart(points_m, loops_m, frequency_hz)
    phase = 1j * wavenumber * distance
    common = MU_0_H_PER_M * np.exp(-phase) / (4 * np.pi * distance**3)
    along = common * (3 + 3 * phase + phase**2) / distance**2
    field = (along * r[..., axis])[..., None] * r
    field[..., axis] -= common * (1 + phase + phase**2)
    return np.asarray(field, dtype=np.complex64)


def _apart(points_m: Real, loops_m: Real, frequency_hz: float) -> tuple[Real, Real, float]:
    """Vectors from every loop to every point, their lengths, and the wavenumber of air."""
    r = points_m[:, None, :] - loops_m[None, :, :]
    return r, np.linalg.norm(r, axis=-1), 2 * np.pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S
