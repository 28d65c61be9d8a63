r"""Vector potential and magnetic field of uniform currents on closed polygons of thin wire.

Both are split into a static part, exact for a straight segment, and a smooth retarded remainder by three-point Gauss:
:math:`e^{-jkR}/R = 1/R + (e^{-jkR} - 1)/R`.  Points must not lie on the wire itself.
"""

from math import atanh, cos, factorial, floor, inf, pi, sin, sqrt
from typing import Literal

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled, compiled_parallel
from loopwright.ground.constants import MU_0_H_PER_M

__all__ = ["magnetic_field_t_per_a", "vector_potential_component", "vector_potential_kernel"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

# Three-point Gauss on [0, 1]: exact to degree five, far beyond what the smooth remainder asks of a segment of kh < 0.3.
GAUSS_3_LOW = 0.5 - 0.5 * sqrt(3 / 5)
GAUSS_3_OUTER_WEIGHT = 5 / 18
GAUSS_3_INNER_WEIGHT = 8 / 18
# Below this kR the cancelling difference kR cos kR - sin kR is replaced by its series (next term 1e-11 relative).
SERIES_BELOW = 0.05
# From so many lengths away three-point Gauss serves the whole of e^{-jkR}/R of a segment: off by 5e-7 at most.
FAR = 3.0
# Points that one thread takes at a time: neighbours, so that a segment is far from all of them or near to all.
BLOCK = 32
# Taylor series of the cosine and of the sine over its argument, highest term first: 1e-10 up to a quarter turn.
TERMS = 9
COSINE_SERIES = tuple((-1) ** n / factorial(2 * n) for n in reversed(range(TERMS)))
SINE_SERIES = tuple((-1) ** n / factorial(2 * n + 1) for n in reversed(range(TERMS)))


@compiled
def _potential_of_segment(
    px: float, py: float, pz: float, a: Floats, b: Floats, wavenumber_per_m: float
) -> tuple[float, float]:
    r"""Real and imaginary part of :math:`\int e^{-jkR}/R\,ds` along the segment from a to b."""
    ax, ay, az = px - a[0], py - a[1], pz - a[2]
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    length = sqrt(ux * ux + uy * uy + uz * uz)
    to_a = sqrt(ax * ax + ay * ay + az * az)
    to_b = sqrt((ax - ux) ** 2 + (ay - uy) ** 2 + (az - uz) ** 2)
    real = 2.0 * atanh(length / (to_a + to_b))
    imaginary = 0.0
    if wavenumber_per_m > 0.0:
        for i in range(3):
            s = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
            weight = length * (GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT)
            r = sqrt((ax - s * ux) ** 2 + (ay - s * uy) ** 2 + (az - s * uz) ** 2)
            # e^{-jx} - 1 = -2 sin^2(x/2) - 2j sin(x/2) cos(x/2): no cancellation, one sine and one cosine.
            half_sine = sin(0.5 * wavenumber_per_m * r)
            half_cosine = cos(0.5 * wavenumber_per_m * r)
            real -= 2.0 * weight * half_sine * half_sine / r
            imaginary -= 2.0 * weight * half_sine * half_cosine / r
    return real, imaginary


@compiled_parallel
def _vector_potential(points_m: Floats, vertices_m: Floats, wavenumber_per_m: float) -> Complexes:
    """Sum over the segments of the closed polygon, all three components."""
    found = np.empty((points_m.shape[0], 3), dtype=np.complex128)
    segments = vertices_m.shape[0]
    for p in numba.prange(points_m.shape[0]):
        x = y = z = 0.0j
        for i in range(segments):
            a, b = vertices_m[i], vertices_m[(i + 1) % segments]
            length = sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 + (b[2] - a[2]) ** 2)
            real, imaginary = _potential_of_segment(
                points_m[p, 0], points_m[p, 1], points_m[p, 2], a, b, wavenumber_per_m
            )
            g = complex(real, imaginary) / (4.0 * pi * length)
            x += (b[0] - a[0]) * g
            y += (b[1] - a[1]) * g
            z += (b[2] - a[2]) * g
        found[p, 0], found[p, 1], found[p, 2] = x, y, z
    return found


@compiled
def _add_gauss_points(
    block: Floats, a: Floats, b: Floats, wavenumber_per_m: float, scale: float, real: Floats, imaginary: Floats
) -> None:
    r"""Add ``scale`` times :math:`\int e^{-jkR}/R\,ds/h` of a far segment to a block of points (3, points).

    No branch and no call in the innermost loop, so that it fills the processor's vector units: cosine and sine are
    their Taylor series after whole multiples of pi are taken off.
    """
    half_turns_per_m = wavenumber_per_m / pi
    for i in range(3):
        s = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
        weight = scale * (GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT)
        qx, qy, qz = a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]), a[2] + s * (b[2] - a[2])
        for p in range(block.shape[1]):
            x, y, z = block[0, p] - qx, block[1, p] - qy, block[2, p] - qz
            r = sqrt(x * x + y * y + z * z)
            turns = floor(half_turns_per_m * r + 0.5)
            sign = 1.0 - 2.0 * (turns - 2.0 * floor(0.5 * turns))
            v = wavenumber_per_m * r - turns * pi
            t = v * v
            cosine, sine = 0.0, 0.0
            for c in range(TERMS):
                cosine = cosine * t + COSINE_SERIES[c]
                sine = sine * t + SINE_SERIES[c]
            sine *= v
            amplitude = sign * weight / r
            real[p] += amplitude * cosine
            imaginary[p] -= amplitude * sine


@compiled
def _least_square_m2(block: Floats, a: Floats, b: Floats) -> float:
    """Square of the least distance of a block of points (3, points) from the middle of a segment."""
    least = inf
    for p in range(block.shape[1]):
        x = block[0, p] - 0.5 * (a[0] + b[0])
        y = block[1, p] - 0.5 * (a[1] + b[1])
        z = block[2, p] - 0.5 * (a[2] + b[2])
        least = min(least, x * x + y * y + z * z)
    return least


@compiled_parallel
def _vector_potential_along(points_m: Floats, vertices_m: Floats, wavenumber_per_m: float, axis: int) -> Complexes:
    """Sum over the segments of the closed polygon, one component; segments across the axis are skipped."""
    found = np.empty(points_m.shape[0], dtype=np.complex128)
    segments = vertices_m.shape[0]
    for part in numba.prange((points_m.shape[0] + BLOCK - 1) // BLOCK):
        block = np.ascontiguousarray(points_m[part * BLOCK : (part + 1) * BLOCK].T)
        real, imaginary = np.zeros(block.shape[1]), np.zeros(block.shape[1])
        for i in range(segments):
            a, b = vertices_m[i], vertices_m[(i + 1) % segments]
            if b[axis] == a[axis]:
                continue
            scale = (b[axis] - a[axis]) / (4.0 * pi)
            length2 = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 + (b[2] - a[2]) ** 2
            if _least_square_m2(block, a, b) > FAR**2 * length2:
                _add_gauss_points(block, a, b, wavenumber_per_m, scale, real, imaginary)
                continue
            for p in range(block.shape[1]):
                here = _potential_of_segment(block[0, p], block[1, p], block[2, p], a, b, wavenumber_per_m)
                real[p] += scale / sqrt(length2) * here[0]
                imaginary[p] += scale / sqrt(length2) * here[1]
        for p in range(block.shape[1]):
            found[part * BLOCK + p] = complex(real[p], imaginary[p])
    return found


@compiled
def retarded_excess(r: float, wavenumber_per_m: float) -> complex:
    r"""Value of :math:`[(1 + jkR)e^{-jkR} - 1]/R^3` at ``r`` [m] and a wavenumber [1/m], free of cancellation."""
    x = wavenumber_per_m * r
    half_sine = sin(0.5 * x)
    sine = sin(x)
    real = x * sine - 2.0 * half_sine * half_sine
    imaginary = x * cos(x) - sine
    if x < SERIES_BELOW:
        imaginary = -(x**3) / 3.0 * (1.0 - x * x / 10.0 * (1.0 - x * x / 28.0))
    return complex(real, imaginary) / r**3


@compiled_parallel
def _magnetic_field(points_m: Floats, vertices_m: Floats, wavenumber_per_m: float) -> Complexes:
    """Biot-Savart sum over the segments, with its retarded remainder; without the factor mu0 / (4 pi)."""
    found = np.empty((points_m.shape[0], 3), dtype=np.complex128)
    segments = vertices_m.shape[0]
    for p in numba.prange(points_m.shape[0]):
        x = y = z = 0.0j
        for i in range(segments):
            a, b = vertices_m[i], vertices_m[(i + 1) % segments]
            ax, ay, az = points_m[p, 0] - a[0], points_m[p, 1] - a[1], points_m[p, 2] - a[2]
            ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
            bx, by, bz = ax - ux, ay - uy, az - uz
            to_a = sqrt(ax * ax + ay * ay + az * az)
            to_b = sqrt(bx * bx + by * by + bz * bz)
            along = ax * bx + ay * by + az * bz
            # dl x R is the same vector u x a all along a straight segment, so only scalars are integrated.
            g = complex((to_a + to_b) / (to_a * to_b * (to_a * to_b + along)), 0.0)
            if wavenumber_per_m > 0.0:
                for j in range(3):
                    s = GAUSS_3_LOW if j == 0 else (0.5 if j == 1 else 1.0 - GAUSS_3_LOW)
                    weight = GAUSS_3_INNER_WEIGHT if j == 1 else GAUSS_3_OUTER_WEIGHT
                    r = sqrt((ax - s * ux) ** 2 + (ay - s * uy) ** 2 + (az - s * uz) ** 2)
                    g += weight * retarded_excess(r, wavenumber_per_m)
            x += (uy * az - uz * ay) * g
            y += (uz * ax - ux * az) * g
            z += (ux * ay - uy * ax) * g
        found[p, 0], found[p, 1], found[p, 2] = x, y, z
    return found


def vector_potential_kernel(points_m: Floats, vertices_m: Floats, wavenumber_per_m: float) -> Complexes:
    r"""Closed line integral :math:`\oint e^{-jkR}/(4\pi R)\,\mathrm{d}\mathbf{l}'` of a polygon, at given points.

    Times mu0 it is the vector potential per ampere of a uniform current; times -j omega mu0 its electric field, for a
    uniform current has no charges.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted, in the body frame; not on the wire. [m]
    vertices_m : ndarray, shape (segments, 3)
        Corners of the closed polygon in the order of the current, first not repeated. [m]
    wavenumber_per_m : float
        omega / c; zero for the static limit. [1/m]

    Returns
    -------
    ndarray, shape (points, 3)
        The integral, without dimension.

    Notes
    -----
    The wire has no thickness here: hold points a few wire radii away.  The static part is exact; the remainder is good
    to about 1e-6 of it while a segment is shorter than a twentieth of the wavelength.
    """
    return _vector_potential(*_contiguous(points_m, vertices_m), float(wavenumber_per_m))


def vector_potential_component(
    points_m: Floats, vertices_m: Floats, wavenumber_per_m: float, axis: Literal[0, 1, 2]
) -> Complexes:
    """One component of :func:`vector_potential_kernel`, for many points.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted; not on the wire. [m]
    vertices_m : ndarray, shape (segments, 3)
        Corners of the closed polygon, first not repeated. [m]
    wavenumber_per_m : float
        omega / c; zero for the static limit. [1/m]
    axis : int
        0, 1 or 2 for x, y or z.

    Returns
    -------
    ndarray, shape (points,)
        That component of the integral, without dimension.
    """
    return _vector_potential_along(*_contiguous(points_m, vertices_m), float(wavenumber_per_m), int(axis))


def magnetic_field_t_per_a(points_m: Floats, vertices_m: Floats, wavenumber_per_m: float) -> Complexes:
    r"""Magnetic field of a uniform unit current on a closed polygon, in free space.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted; not on the wire. [m]
    vertices_m : ndarray, shape (segments, 3)
        Corners of the closed polygon in the order of the current, first not repeated. [m]
    wavenumber_per_m : float
        omega / c; zero for the static limit. [1/m]

    Returns
    -------
    ndarray, shape (points, 3)
        Magnetic flux density per ampere. [T/A]

    Notes
    -----
    The curl of mu0 times :func:`vector_potential_kernel`.  The static part is the closed form of a straight segment
    [1]_, stable everywhere off the wire; the field on a segment's own prolongation is zero, as it must be.

    References
    ----------
    .. [1] J. D. Hanson and S. P. Hirshman, "Compact expressions for the Biot-Savart fields of a filamentary segment",
       Physics of Plasmas 9, 4410-4412 (2002) (from memory).
    """
    return MU_0_H_PER_M / (4 * pi) * _magnetic_field(*_contiguous(points_m, vertices_m), float(wavenumber_per_m))


def _contiguous(points_m: Floats, vertices_m: Floats) -> tuple[Floats, Floats]:
    """Bring both arrays into the one layout for which the kernels are compiled."""
    return np.ascontiguousarray(points_m, dtype=np.float64), np.ascontiguousarray(vertices_m, dtype=np.float64)
