"""Spherical Bessel functions of complex argument, stripped of the powers that would over- or underflow.

    j_l(z)     = z^l / (2l+1)!!      * J_l(z)        J_l -> 1 as z -> 0
    h_l^(2)(z) = (2l-1)!! / z^(l+1)  * H_l(z)        H_l -> j as z -> 0

All arrays have the degree first: shape (degree_max + 1, ...); row l = 0 is there so that an index is a degree.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Complex = NDArray[np.complex128]


def degrees_like(degree_max: int, z: NDArray[np.generic]) -> NDArray[np.float64]:
    """Degrees 0..degree_max, shaped to broadcast against z."""
    return np.arange(degree_max + 1, dtype=float).reshape((-1,) + (1,) * z.ndim)


def regular(degree_max: int, z: ArrayLike) -> Complex:
    """J_l(z) by downward recurrence J_{l-1} = J_l - z^2 J_{l+1} / ((2l+1)(2l+3)), scaled at l = 0 or 1."""
    z = np.asarray(z, dtype=complex)
    start = degree_max + 2 + int(2 * np.max(np.abs(z), initial=0)) + 30
    above, here = np.ones_like(z), np.ones_like(z)
    J = np.empty((start + 1, *z.shape), dtype=complex)
    J[start] = here
    for l in range(start, 0, -1):
        above, here = here, here - z**2 / ((2 * l + 1) * (2 * l + 3)) * above
        J[l - 1] = here
    small = np.abs(z) < 1e-4
    safe = np.where(small, 1, z)
    zero = np.where(small, 1 - z**2 / 6, np.sin(safe) / safe)
    one = np.where(small, 1 - z**2 / 10, 3 * (np.sin(safe) / safe - np.cos(safe)) / safe**2)
    use_zero = np.abs(zero) >= np.abs(one) / 3 * np.abs(z)
    scale = np.where(use_zero, zero / np.where(use_zero, J[0], 1), one / np.where(use_zero, 1, J[1]))
    return J[: degree_max + 1] * scale


def outgoing(degree_max: int, z: ArrayLike) -> Complex:
    """H_l(z) by upward recurrence H_{l+1} = H_l - z^2 H_{l-1} / ((2l-1)(2l+1)).

    For real arguments the regular part, lost in the rounding of the recurrence, is taken from :func:`regular`,
    so that powers that are small against the reactive ones keep their digits.
    """
    z = np.asarray(z, dtype=complex)
    if np.all(z.imag == 0):
        return _standing_part(degree_max, z) + 1j * _upward(degree_max, z, np.cos(z), np.cos(z) + z * np.sin(z))
    return _upward(degree_max, z, 1j * np.exp(-1j * z), np.exp(-1j * z) * (1j - z))


def _upward(degree_max: int, z: Complex, zero: Complex, one: Complex) -> Complex:
    H = np.empty((max(degree_max, 1) + 1, *z.shape), dtype=complex)
    H[0], H[1] = zero, one
    for l in range(1, degree_max):
        H[l + 1] = H[l] - z**2 / ((2 * l - 1) * (2 * l + 1)) * H[l - 1]
    return H[: degree_max + 1]


def _standing_part(degree_max: int, z: Complex) -> Complex:
    l = degrees_like(degree_max, z)
    steps = np.where(l > 0, z**2 / ((2 * l - 1) * (2 * l + 1)), z)
    return np.cumprod(steps, axis=0) * regular(degree_max, z)


def spherical_j(degree_max: int, z: ArrayLike) -> Complex:
    """Plain j_l(z); underflows quietly to zero at high degree."""
    z = np.asarray(z, dtype=complex)
    l = degrees_like(degree_max, z)
    powers = np.cumprod(np.where(l > 0, z / (2 * l + 1), 1), axis=0)
    return powers * regular(degree_max, z)
