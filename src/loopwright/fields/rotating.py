"""The two rotating components of a transverse field: which one tips the spins, which one they are heard with.

With exp(+j omega t) and peak phasors, Re(B exp(j omega t)) splits into two fields that turn about z in opposite
senses. Spins precess clockwise about +z when B0 points along +z and their gyromagnetic ratio is positive; the component
that turns with them, (Bx - jBy)/2, tips them, and by reciprocity the other one, (Bx + jBy)/2, tells the voltage that
they induce: no conjugate stands in either. Turning B0 round, or a negative gyromagnetic ratio, swaps the pair.

References
----------
D. I. Hoult, The principle of reciprocity in signal strength calculations - a mathematical guide,
Concepts in Magnetic Resonance 12, 173-187 (2000).
"""

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Precession", "precession", "reception_component", "transmit_component"]


class Precession(IntEnum):
    """Sense in which the spins turn about +z; its value is the sign of B0z times that of the gyromagnetic ratio."""

    CLOCKWISE = 1
    COUNTERCLOCKWISE = -1


def precession(b0_z_t: float, *, gyromagnetic_ratio_hz_per_t: float) -> Precession:
    """Sense of precession about +z.

    Parameters
    ----------
    b0_z_t : float
        Static field along z; only its sign matters. [T]
    gyromagnetic_ratio_hz_per_t : float
        Signed gyromagnetic ratio over 2 pi; only its sign matters. [Hz/T]

    Returns
    -------
    Precession
        Clockwise about +z (as seen looking against +z) when both signs agree.

    Raises
    ------
    ValueError
        If either is zero: nothing precesses.
    """
    product = np.sign(b0_z_t) * np.sign(gyromagnetic_ratio_hz_per_t)
    if product == 0:
        raise ValueError(
            f"spins do not precess with b0_z_t = {b0_z_t:g} and "
            f"gyromagnetic_ratio_hz_per_t = {gyromagnetic_ratio_hz_per_t:g}; neither may be zero"
        )
    return Precession(int(product))


def transmit_component(b_x_t: ArrayLike, b_y_t: ArrayLike, *, sense: int) -> NDArray[np.complexfloating]:
    """Component B1+ that tips the spins.

    Parameters
    ----------
    b_x_t, b_y_t : array_like, shape (...)
        Peak phasors of the transverse field. [T]
    sense : int
        :class:`Precession`, or +1 or -1 in its place.

    Returns
    -------
    ndarray, shape (...)
        (Bx - jBy)/2 for clockwise precession, (Bx + jBy)/2 otherwise. [T]

    Raises
    ------
    ValueError
        If the sense is neither +1 nor -1.

    Notes
    -----
    A pulse of length tau tips by |gamma B1+| tau. Exact; single precision stays single.
    """
    return _component(b_x_t, b_y_t, -Precession(sense))


def reception_component(b_x_t: ArrayLike, b_y_t: ArrayLike, *, sense: int) -> NDArray[np.complexfloating]:
    """Component that reception goes with: the phasor of the signal is proportional to it, without conjugate.

    Parameters
    ----------
    b_x_t, b_y_t : array_like, shape (...)
        Peak phasors of the element's transverse field, for 1 A. [T]
    sense : int
        :class:`Precession`, or +1 or -1 in its place.

    Returns
    -------
    ndarray, shape (...)
        (Bx + jBy)/2 for clockwise precession, (Bx - jBy)/2 otherwise. [T]

    Raises
    ------
    ValueError
        If the sense is neither +1 nor -1.

    Notes
    -----
    Magnetisation M0 of a small volume V, turned into the transverse plane and along x at time zero, induces the voltage
    -2j omega M0 V times this component, in either sense of precession. Exact; single precision stays single.
    """
    return _component(b_x_t, b_y_t, Precession(sense))


def _component(b_x_t: ArrayLike, b_y_t: ArrayLike, sign: int) -> NDArray[np.complexfloating]:
    b_x, b_y = np.asarray(b_x_t), np.asarray(b_y_t)
    component: NDArray[np.complexfloating] = 0.5 * (b_x + (1j * sign) * b_y)
    return component
