"""Power that currents radiate, from their field far away: a second way beside the impedance matrix."""

from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.wire_graph import WireGraph
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["moments_of_ends", "radiated_power_w"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Waves over the sphere beyond k times the radius of the sources that are still told apart.
_WAVES_BEYOND = 8
_DIRECTIONS_HELD = 2_000_000


def moments_of_ends(wires: WireGraph, end_current_a: Complexes) -> tuple[Floats, Complexes]:
    """Current times length of linear currents, gathered in the two Gauss points of every piece.

    Parameters
    ----------
    wires : WireGraph
        The wires.
    end_current_a : ndarray, shape (2 pieces,)
        [A]

    Returns
    -------
    points_m : ndarray, shape (2 pieces, 3)
        [m]
    moments : ndarray, shape (2 pieces, 3)
        In ampere metres.
    """
    start, end = np.split(end_current_a, 2)
    steps = wires.steps_m
    shares = (0.5 - 0.5 / 3**0.5, 0.5 + 0.5 / 3**0.5)
    points = [wires.vertices_m + s * steps for s in shares]
    moments = [((1 - s) * start + s * end)[:, None] / 2 * steps for s in shares]
    return np.concatenate(points), np.concatenate(moments)


def radiated_power_w(points_m: Floats, moments: Complexes, frequency_hz: float) -> float:
    r"""Power that short currents radiate together into free space.

    Parameters
    ----------
    points_m : ndarray, shape (currents, 3)
        Where they are. [m]
    moments : ndarray, shape (currents, 3)
        Current times length, peak, in ampere metres.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    float
        :math:`\frac{\eta k^2}{32\pi^2}\oint|\mathbf{N}_\perp|^2 d\Omega` with
        :math:`\mathbf{N}=\sum\mathbf{p}\,e^{jk\hat r\cdot r}`. [W]

    References
    ----------
    C. A. Balanis, Antenna Theory, ch. 3 (from memory): far fields from vector potentials.
    """
    k = 2 * pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S
    centred = points_m - points_m.mean(axis=0)
    waves = ceil(k * float(np.linalg.norm(centred, axis=1).max())) + _WAVES_BEYOND
    heights, weights = np.polynomial.legendre.leggauss(waves + 1)
    angles = 2 * pi * np.arange(2 * waves + 2) / (2 * waves + 2)
    flat = np.sqrt(1 - heights**2)
    directions = np.stack(
        [np.outer(flat, np.cos(angles)), np.outer(flat, np.sin(angles)), np.outer(heights, np.ones_like(angles))],
        axis=-1,
    ).reshape(-1, 3)
    solid = np.repeat(weights, len(angles)) * (2 * pi / len(angles))
    total = 0.0
    for part in np.array_split(np.arange(len(solid)), max(1, len(solid) * len(points_m) // _DIRECTIONS_HELD)):
        whole = np.exp(1j * k * (directions[part] @ centred.T)) @ moments
        along = np.sum(whole * directions[part], axis=1)
        total += float(solid[part] @ (np.sum(np.abs(whole) ** 2, axis=1) - np.abs(along) ** 2))
    return MU_0_H_PER_M * SPEED_OF_LIGHT_M_PER_S * k**2 / (32 * pi**2) * total
