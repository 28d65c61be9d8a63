"""The field with which each element receives, per unit current at its port."""

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.rotating import reception_component

__all__ = ["reception_field_t_per_a", "recombined"]


def reception_field_t_per_a(
    magnetic_field_t_per_a: NDArray[np.complexfloating], *, reception_sign: int
) -> NDArray[np.complex128]:
    """Circular component of the field that the spins' signal goes with.

    Parameters
    ----------
    magnetic_field_t_per_a : ndarray, shape (element, 3, ...)
        Field per unit current, peak phasors with exp(+j w t), body frame. [T/A]
    reception_sign : int
        +1 where B0 is along +z and gamma positive, or both reversed; else -1.

    Returns
    -------
    ndarray, shape (element, ...)
        (Bx + j By)/2 for +1, (Bx - j By)/2 for -1, without conjugate. [T/A]

    Raises
    ------
    ValueError
        If the sign is neither +1 nor -1.
    """
    b_x, b_y = (magnetic_field_t_per_a[:, axis].astype(np.complex128) for axis in (0, 1))
    return np.asarray(reception_component(b_x, b_y, sense=reception_sign), dtype=np.complex128)


def recombined(
    field_t_per_a: NDArray[np.complexfloating], source_current: NDArray[np.complexfloating]
) -> NDArray[np.complex128]:
    """Fields per unit element-port current from fields per unit source.

    Parameters
    ----------
    field_t_per_a : ndarray, shape (source, ...)
        Field per unit of each source. [T/A]
    source_current : ndarray, shape (source, element)
        Amplitude of each source (row) per unit current at each element port (column). [A/A]

    Returns
    -------
    ndarray, shape (element, ...)
        Field per unit element-port current. [T/A]
    """
    return np.asarray(np.tensordot(source_current.T, field_t_per_a, axes=1), dtype=np.complex128)
