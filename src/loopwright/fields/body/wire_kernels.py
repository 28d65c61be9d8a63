r"""Electric and magnetic field of the currents AND charges on straight segments of thin wire, as rows over the nodes.

The current is linear and the charge constant on every segment, as in the wire solution: a rooftop current of the nodes
leaves :math:`q = (I_a - I_b)/(j\omega h)` per length.  Every integral is split into a static part, exact for a straight
segment, and a smooth retarded remainder by three-point Gauss.
"""

from math import atanh, cos, floor, inf, pi, sin, sqrt
from typing import Literal

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled, compiled_parallel
from loopwright.fields.wires.filament_fields import (
    BLOCK,
    COSINE_SERIES,
    FAR,
    GAUSS_3_INNER_WEIGHT,
    GAUSS_3_LOW,
    GAUSS_3_OUTER_WEIGHT,
    SINE_SERIES,
    TERMS,
    retarded_excess,
)
from loopwright.fields.wires.pieces import StraightWires
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["magnetic_rows_t", "potential_rows_v", "vector_rows_v_per_m"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]

# Way from end to end by way of the point, over the segment's length: less than this is on the wire.
ON_THE_WIRE = 1.0 + 1e-7


@compiled
def _half_rooftops(point: Floats, start: Floats, step: Floats, wavenumber_per_m: float) -> tuple[complex, complex]:
    r"""Integrals of the falling and the rising half rooftop times :math:`e^{-jkR}/R` along a segment."""
    ax, ay, az = point[0] - start[0], point[1] - start[1], point[2] - start[2]
    ux, uy, uz = step[0], step[1], step[2]
    length = sqrt(ux * ux + uy * uy + uz * uz)
    to_a = sqrt(ax * ax + ay * ay + az * az)
    to_b = sqrt((ax - ux) ** 2 + (ay - uy) ** 2 + (az - uz) ** 2)
    share = (ax * ux + ay * uy + az * uz) / (length * length)
    # A point of an average may fall on the wire itself; the limit then stands for a very thin one.
    plain = 2.0 * atanh(length / max(to_a + to_b, ON_THE_WIRE * length))
    rising = complex(share * plain + (to_b - to_a) / length, 0.0)
    falling = complex(plain, 0.0) - rising
    for i in range(3):
        s = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
        weight = length * (GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT)
        r = max(sqrt((ax - s * ux) ** 2 + (ay - s * uy) ** 2 + (az - s * uz) ** 2), 1e-9 * length)
        half_sine, half_cosine = sin(0.5 * wavenumber_per_m * r), cos(0.5 * wavenumber_per_m * r)
        smooth = weight * complex(-2.0 * half_sine * half_sine, -2.0 * half_sine * half_cosine) / r
        falling += (1.0 - s) * smooth
        rising += s * smooth
    return falling, rising


@compiled
def _far_half_rooftops(
    block: Floats, start: Floats, step: Floats, wavenumber_per_m: float, falling: Floats, rising: Floats
) -> None:
    """Set both integrals, as (2, points) of real and imaginary parts, for a block of points (3, points) far away.

    No branch and no call in the innermost loop, so that it fills the processor's vector units: cosine and sine are
    their Taylor series after whole multiples of pi are taken off.
    """
    half_turns_per_m = wavenumber_per_m / pi
    length = sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
    falling[:], rising[:] = 0.0, 0.0
    for i in range(3):
        s = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
        weight = length * (GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT)
        qx, qy, qz = start[0] + s * step[0], start[1] + s * step[1], start[2] + s * step[2]
        for p in range(block.shape[1]):
            x, y, z = block[0, p] - qx, block[1, p] - qy, block[2, p] - qz
            r = sqrt(x * x + y * y + z * z)
            turns = floor(half_turns_per_m * r + 0.5)
            sign = 1.0 - 2.0 * (turns - 2.0 * floor(0.5 * turns))
            v = wavenumber_per_m * r - turns * pi
            cosine, sine = 0.0, 0.0
            for c in range(TERMS):
                cosine = cosine * v * v + COSINE_SERIES[c]
                sine = sine * v * v + SINE_SERIES[c]
            amplitude = sign * weight / r
            falling[0, p] += (1.0 - s) * amplitude * cosine
            falling[1, p] -= (1.0 - s) * amplitude * v * sine
            rising[0, p] += s * amplitude * cosine
            rising[1, p] -= s * amplitude * v * sine


@compiled
def _block_of_half_rooftops(
    block: Floats, start: Floats, step: Floats, wavenumber_per_m: float, falling: Floats, rising: Floats
) -> None:
    """Set both integrals for a block of points, by the far rule where all of it is far."""
    least = inf
    for p in range(block.shape[1]):
        x = block[0, p] - start[0] - 0.5 * step[0]
        y = block[1, p] - start[1] - 0.5 * step[1]
        z = block[2, p] - start[2] - 0.5 * step[2]
        least = min(least, x * x + y * y + z * z)
    if least > FAR**2 * (step[0] ** 2 + step[1] ** 2 + step[2] ** 2):
        _far_half_rooftops(block, start, step, wavenumber_per_m, falling, rising)
        return
    for p in range(block.shape[1]):
        fall, rise = _half_rooftops(block[:, p], start, step, wavenumber_per_m)
        falling[0, p], falling[1, p] = fall.real, fall.imag
        rising[0, p], rising[1, p] = rise.real, rise.imag


@compiled_parallel
def _vector_rows(
    points_m: Floats, starts_m: Floats, steps_m: Floats, next_node: Integers, wavenumber_per_m: float, axis: int
) -> Complexes:
    """One component of the vector potential's rows, without its factor; segments across the axis are skipped."""
    rows = np.zeros((points_m.shape[0], next_node.max() + 1), dtype=np.complex128)
    for part in numba.prange((points_m.shape[0] + BLOCK - 1) // BLOCK):
        block = np.ascontiguousarray(points_m[part * BLOCK : (part + 1) * BLOCK].T)
        falling, rising = np.empty((2, block.shape[1])), np.empty((2, block.shape[1]))
        for s in range(starts_m.shape[0]):
            step = steps_m[s]
            if step[axis] == 0.0:
                continue
            _block_of_half_rooftops(block, starts_m[s], step, wavenumber_per_m, falling, rising)
            share = step[axis] / sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
            for p in range(block.shape[1]):
                rows[part * BLOCK + p, s] += share * complex(falling[0, p], falling[1, p])
                rows[part * BLOCK + p, next_node[s]] += share * complex(rising[0, p], rising[1, p])
    return rows


@compiled_parallel
def _potential_rows(
    points_m: Floats, starts_m: Floats, steps_m: Floats, next_node: Integers, wavenumber_per_m: float
) -> Complexes:
    """Scalar potential's rows, without their factor."""
    rows = np.zeros((points_m.shape[0], next_node.max() + 1), dtype=np.complex128)
    for part in numba.prange((points_m.shape[0] + BLOCK - 1) // BLOCK):
        block = np.ascontiguousarray(points_m[part * BLOCK : (part + 1) * BLOCK].T)
        falling, rising = np.empty((2, block.shape[1])), np.empty((2, block.shape[1]))
        for s in range(starts_m.shape[0]):
            step = steps_m[s]
            _block_of_half_rooftops(block, starts_m[s], step, wavenumber_per_m, falling, rising)
            length = sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
            for p in range(block.shape[1]):
                mean = complex(falling[0, p] + rising[0, p], falling[1, p] + rising[1, p]) / length
                rows[part * BLOCK + p, s] += mean
                rows[part * BLOCK + p, next_node[s]] -= mean
    return rows


@compiled_parallel
def _magnetic_rows(
    points_m: Floats, starts_m: Floats, steps_m: Floats, next_node: Integers, wavenumber_per_m: float
) -> Complexes:
    """Biot-Savart rows with their retarded remainder, without the factor mu0 / (4 pi)."""
    rows = np.zeros((3, points_m.shape[0], next_node.max() + 1), dtype=np.complex128)
    for p in numba.prange(points_m.shape[0]):
        for s in range(starts_m.shape[0]):
            ux, uy, uz = steps_m[s, 0], steps_m[s, 1], steps_m[s, 2]
            ax, ay, az = (
                points_m[p, 0] - starts_m[s, 0],
                points_m[p, 1] - starts_m[s, 1],
                points_m[p, 2] - starts_m[s, 2],
            )
            bx, by, bz = ax - ux, ay - uy, az - uz
            to_a, to_b = sqrt(ax * ax + ay * ay + az * az), sqrt(bx * bx + by * by + bz * bz)
            length2 = ux * ux + uy * uy + uz * uz
            # integrals of 1/R^3 and of the share of the way times 1/R^3, both over the share from 0 to 1
            all_of_it = complex((to_a + to_b) / (to_a * to_b * (to_a * to_b + ax * bx + ay * by + az * bz)), 0.0)
            share = (ax * ux + ay * uy + az * uz) / length2
            rising = share * all_of_it + complex((1.0 / to_a - 1.0 / to_b) / length2, 0.0)
            falling = all_of_it - rising
            for i in range(3):
                t = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
                weight = GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT
                r = sqrt((ax - t * ux) ** 2 + (ay - t * uy) ** 2 + (az - t * uz) ** 2)
                smooth = weight * retarded_excess(r, wavenumber_per_m)
                falling += (1.0 - t) * smooth
                rising += t * smooth
            after = next_node[s]
            x, y, z = uy * az - uz * ay, uz * ax - ux * az, ux * ay - uy * ax
            rows[0, p, s] += x * falling
            rows[1, p, s] += y * falling
            rows[2, p, s] += z * falling
            rows[0, p, after] += x * rising
            rows[1, p, after] += y * rising
            rows[2, p, after] += z * rising
    return rows


def vector_rows_v_per_m(
    points_m: Floats, mesh: StraightWires, frequency_hz: float, axis: Literal[0, 1, 2]
) -> Complexes:
    r"""One component of :math:`-j\omega A` of every node's rooftop current.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted. [m]
    mesh : StraightWires
        The wires.
    frequency_hz : float
        Frequency. [Hz]
    axis : int
        0, 1 or 2 for x, y or z.

    Returns
    -------
    ndarray, shape (points, nodes)
        Electric field of the currents, without that of the charges, per ampere at the node. [V/m per A]

    Notes
    -----
    The wire has no thickness here. The static part is exact; the remainder is good to about 1e-6 of it while a segment
    is shorter than a twentieth of the wavelength.
    """
    omega = 2 * pi * frequency_hz
    rows = _vector_rows(*_segments(points_m, mesh), omega / SPEED_OF_LIGHT_M_PER_S, int(axis))
    return -1j * omega * MU_0_H_PER_M / (4 * pi) * rows


def potential_rows_v(points_m: Floats, mesh: StraightWires, frequency_hz: float) -> Complexes:
    r"""Scalar potential of the charges that every node's rooftop current leaves on its two segments.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted. [m]
    mesh : StraightWires
        The wires.
    frequency_hz : float
        Above zero: charges per ampere grow without bound towards it. [Hz]

    Returns
    -------
    ndarray, shape (points, nodes)
        Potential per ampere at the node; zero, to rounding, for a current that is the same at all nodes of a closed
        wire. [V/A]
    """
    omega = 2 * pi * frequency_hz
    rows = _potential_rows(*_segments(points_m, mesh), omega / SPEED_OF_LIGHT_M_PER_S)
    return -1j / (4 * pi * omega * EPSILON_0_F_PER_M) * rows


def magnetic_rows_t(points_m: Floats, mesh: StraightWires, frequency_hz: float) -> Complexes:
    """Magnetic field of every node's rooftop current, in free space.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where it is wanted; not on the wire. [m]
    mesh : StraightWires
        The wires.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (3, points, nodes)
        Magnetic flux density per ampere at the node. [T/A]
    """
    rows = _magnetic_rows(*_segments(points_m, mesh), 2 * pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S)
    return MU_0_H_PER_M / (4 * pi) * rows


def _segments(points_m: Floats, mesh: StraightWires) -> tuple[Floats, Floats, Floats, Integers]:
    """Points and segments in the one layout for which the kernels are compiled."""
    points, starts, steps = (
        np.ascontiguousarray(part, dtype=np.float64) for part in (points_m, mesh.vertices_m, mesh.steps_m)
    )
    return points, starts, steps, mesh.next_node
