r"""Power that currents radiate, from their field far away.

.. math:: P = \frac{\eta k^2}{32\pi^2}\oint|\mathbf{N}_\perp|^2\,d\Omega,\qquad
          \mathbf{N} = \sum\mathbf{p}\,e^{jk\hat r\cdot r},

with p current times length.  The real part of an impedance matrix says the same, but where a shield undoes nearly all
that a resonator radiates it is a small difference, and the radius in its kernel, which thin wires have among themselves
and not from one conductor to another, then spoils it.  Far fields know no radius, and their power is never negative.

References
----------
C. A. Balanis, Antenna Theory, ch. 3 (from memory): far fields from vector potentials.
"""

from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.pieces import StraightWires
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["far_rows", "moments_of_ends", "radiated_power_w"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Waves over the sphere beyond k times the radius of the sources that are still told apart.
_WAVES_BEYOND = 7
#: Exponentials that are held at once.
_HELD = 2_000_000
#: Gauss points on a piece, as shares of the way along it.
_SHARES = (0.5 - 0.5 / 3**0.5, 0.5 + 0.5 / 3**0.5)


def far_rows(wires: StraightWires, frequency_hz: float) -> Complexes:
    """Far field in a rule of directions per current of every end: half its squared norm is the radiated power.

    Parameters
    ----------
    wires : StraightWires
        Pieces with two currents each, all starts and then all ends.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (rows, 2 pieces)
        Two polarisations of every direction, in square roots of ohm.
    """
    k = 2 * pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S
    steps = wires.steps_m
    centred = wires.vertices_m + steps / 2
    middle = centred.mean(axis=0)
    across, weights = _directions(k, centred - middle)
    radial = np.cross(across[:, 0], across[:, 1])
    rows = np.zeros((len(weights), 2, 2, len(steps)), dtype=np.complex128)
    along = across @ steps.T / 2
    for share in _SHARES:
        phase = np.exp(1j * k * (radial @ (wires.vertices_m + share * steps - middle).T))[:, None] * along
        rows[:, :, 0] += (1 - share) * phase
        rows[:, :, 1] += share * phase
    rows *= np.sqrt(2 * _watt_per_square(k) * weights)[:, None, None, None]
    return rows.reshape(2 * len(weights), 2 * len(steps))


def moments_of_ends(wires: StraightWires, end_current_a: Complexes) -> tuple[Floats, Complexes]:
    """Current times length of linear currents, gathered in the two Gauss points of every piece.

    Parameters
    ----------
    wires : StraightWires
        Pieces with two currents each.
    end_current_a : ndarray, shape (2 pieces,)
        Currents of all starts and then of all ends. [A]

    Returns
    -------
    points_m : ndarray, shape (2 pieces, 3)
        [m]
    moments : ndarray, shape (2 pieces, 3)
        In ampere metres.
    """
    start, end = np.split(end_current_a, 2)
    points = [wires.vertices_m + share * wires.steps_m for share in _SHARES]
    moments = [((1 - share) * start + share * end)[:, None] / 2 * wires.steps_m for share in _SHARES]
    return np.concatenate(points), np.concatenate(moments)


def radiated_power_w(points_m: Floats, moments: Complexes, frequency_hz: float) -> float:
    """Power that short currents radiate together into free space.

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
        [W]
    """
    k = 2 * pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S
    centred = points_m - points_m.mean(axis=0)
    across, weights = _directions(k, centred)
    radial = np.cross(across[:, 0], across[:, 1])
    total = 0.0
    for part in np.array_split(np.arange(len(weights)), 1 + len(weights) * len(points_m) // _HELD):
        whole = np.exp(1j * k * (radial[part] @ centred.T)) @ moments
        seen = np.einsum("dpc,dc->dp", across[part], whole)
        total += float(weights[part] @ np.sum(np.abs(seen) ** 2, axis=1))
    return _watt_per_square(k) * total


def _directions(wavenumber_per_m: float, centred_m: Floats) -> tuple[Floats, Floats]:
    """Two directions across the ray for every ray of a rule over the sphere, (rays, 2, 3), and the rule's weights."""
    waves = ceil(wavenumber_per_m * float(np.linalg.norm(centred_m, axis=1).max())) + _WAVES_BEYOND
    heights, weights = np.polynomial.legendre.leggauss(waves + 1)
    height, angle = (
        part.ravel() for part in np.meshgrid(heights, pi * np.arange(2 * waves + 2) / (waves + 1), indexing="ij")
    )
    flat = np.sqrt(1 - height**2)
    polar = np.column_stack([height * np.cos(angle), height * np.sin(angle), -flat])
    round_z = np.column_stack([-np.sin(angle), np.cos(angle), 0 * angle])
    return np.stack([polar, round_z], axis=1), np.repeat(weights, 2 * waves + 2) * pi / (waves + 1)


def _watt_per_square(wavenumber_per_m: float) -> float:
    """Power per solid angle and squared N. [W/(A m)^2]"""
    return MU_0_H_PER_M * SPEED_OF_LIGHT_M_PER_S * wavenumber_per_m**2 / (32 * pi**2)
