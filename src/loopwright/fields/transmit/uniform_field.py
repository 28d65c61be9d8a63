r"""A uniform transverse magnetic field and the electric fields that may go with it.

A uniform transverse B does not say which electric field goes with it: any with the curl :math:`-j\omega B` will do,
and a closed loop cannot tell. The charges at its gaps, and open wires, can.
"""

from enum import Enum
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.fields.rotating import Precession

__all__ = ["ElectricField", "electric_field_v_per_m", "rotating_field_t"]

Complexes = NDArray[np.complex128]


class ElectricField(Enum):
    """Electric field that goes with a uniform transverse magnetic field, both without curl beyond it.

    ``AXIAL`` is along z only, as in the middle of a long resonator, and agrees with what cables see. ``SYMMETRIC`` is
    -j omega B x r / 2, which grows alike in all directions from the origin.
    """

    AXIAL = "along z, as in a long resonator"
    SYMMETRIC = "half of B x r about the origin"


def rotating_field_t(b1_plus_t: ArrayLike, *, sense: Precession = Precession.CLOCKWISE) -> Complexes:
    """Uniform field that is nothing but B1+.

    Parameters
    ----------
    b1_plus_t : array_like, shape (...)
        Peak amplitude of B1+. [T]
    sense : Precession
        Sense of precession of the spins.

    Returns
    -------
    ndarray, shape (..., 3)
        Peak phasors of Bx, By, Bz: B1+ (1, +-j, 0). Its component in any transverse direction has the amplitude B1+.
        [T]
    """
    return np.asarray(np.asarray(b1_plus_t)[..., None] * np.array([1, 1j * sense, 0]), dtype=np.complex128)


def electric_field_v_per_m(
    points_m: ArrayLike, field_t: ArrayLike, *, frequency_hz: float, electric: ElectricField
) -> Complexes:
    """Electric field of a uniform transverse magnetic field.

    Parameters
    ----------
    points_m : array_like, shape (..., 3)
        Places in the body frame, from the axis of the transmit coil. [m]
    field_t : array_like, shape (3,)
        Peak phasors of the field; Bz has to be zero for an axial electric field. [T]
    frequency_hz : float
        Frequency. [Hz]
    electric : ElectricField
        Which of the possible fields.

    Returns
    -------
    ndarray, shape (..., 3)
        Peak phasors, curl E = -j omega B. [V/m]

    Raises
    ------
    ValueError
        For an axial electric field with Bz.
    """
    r, b = np.asarray(points_m, dtype=np.float64), np.asarray(field_t, dtype=np.complex128)
    w = 2 * pi * frequency_hz
    match electric:
        case ElectricField.SYMMETRIC:
            return np.asarray(-0.5j * w * np.cross(b, r))
        case ElectricField.AXIAL:
            if b[2] != 0:
                raise ValueError("an electric field along z goes with no Bz; take ElectricField.SYMMETRIC")
            along_z = -1j * w * (b[0] * r[..., 1] - b[1] * r[..., 0])
            return np.asarray(along_z[..., None] * np.array([0, 0, 1]))
