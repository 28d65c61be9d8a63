r"""Electric and magnetic field of linear currents, and the charges that they leave, on straight pieces of thin wire.

For one set of currents, at points anywhere off the wires; integrals are split into a static part, exact for a straight
piece, and a smooth retarded remainder by three-point Gauss.
"""

from math import atanh, cos, pi, sin, sqrt

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled_parallel
from loopwright.fields.wires.filament_fields import (
    GAUSS_3_INNER_WEIGHT,
    GAUSS_3_LOW,
    GAUSS_3_OUTER_WEIGHT,
    retarded_excess,
)
from loopwright.fields.wires.wire_graph import WireGraph
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["fields_of_ends"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@compiled_parallel
def _fields(
    points_m: Floats, starts_m: Floats, steps_m: Floats, ends_a: Complexes, wavenumber_per_m: float
) -> Complexes:
    r"""Three sums over the pieces, (3, points, 3): of :math:`I\,e^{-jkR}/R`, of the charges' field and of the curl."""
    pieces = starts_m.shape[0]
    found = np.zeros((3, points_m.shape[0], 3), dtype=np.complex128)
    for p in numba.prange(points_m.shape[0]):
        a, u = np.empty(3), np.empty(3)
        for n in range(pieces):
            for i in range(3):
                a[i], u[i] = points_m[p, i] - starts_m[n, i], steps_m[n, i]
            length2 = u[0] * u[0] + u[1] * u[1] + u[2] * u[2]
            length = sqrt(length2)
            to_a = sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])
            to_b = sqrt((a[0] - u[0]) ** 2 + (a[1] - u[1]) ** 2 + (a[2] - u[2]) ** 2)
            share = (a[0] * u[0] + a[1] * u[1] + a[2] * u[2]) / length2
            along = to_a * to_a - share * length2
            # integrals over the share t of the way: of 1/R, t/R, 1/R^3 and t/R^3
            plain = complex(2.0 * atanh(length / (to_a + to_b)) / length, 0.0)
            plain_t = share * plain + complex((to_b - to_a) / length2, 0.0)
            cubed = complex((to_a + to_b) / (to_a * to_b * (to_a * to_b + along)), 0.0)
            cubed_t = share * cubed + complex((1.0 / to_a - 1.0 / to_b) / length2, 0.0)
            for i in range(3):
                t = GAUSS_3_LOW if i == 0 else (0.5 if i == 1 else 1.0 - GAUSS_3_LOW)
                weight = GAUSS_3_INNER_WEIGHT if i == 1 else GAUSS_3_OUTER_WEIGHT
                r = sqrt((a[0] - t * u[0]) ** 2 + (a[1] - t * u[1]) ** 2 + (a[2] - t * u[2]) ** 2)
                half_sine, half_cosine = sin(0.5 * wavenumber_per_m * r), cos(0.5 * wavenumber_per_m * r)
                smooth = weight / r * complex(-2.0 * half_sine * half_sine, -2.0 * half_sine * half_cosine)
                excess = weight * retarded_excess(r, wavenumber_per_m)
                plain += smooth
                plain_t += t * smooth
                cubed += excess
                cubed_t += t * excess
            start, end = ends_a[n], ends_a[pieces + n]
            current = start * plain + (end - start) * plain_t
            turning = start * cubed + (end - start) * cubed_t
            lost = start - end
            for i in range(3):
                j, k = (i + 1) % 3, (i + 2) % 3
                found[0, p, i] += u[i] * current
                found[1, p, i] += lost * (a[i] * cubed - u[i] * cubed_t)
                found[2, p, i] += (u[j] * a[k] - u[k] * a[j]) * turning
    return found


def fields_of_ends(
    points_m: Floats, wires: WireGraph, end_current_a: Complexes, frequency_hz: float
) -> tuple[Complexes, Complexes]:
    """Fields in free space of currents that are linear along every piece.

    Parameters
    ----------
    points_m : ndarray, shape (points, 3)
        Where they are wanted; not on a wire. [m]
    wires : WireGraph
        The wires.
    end_current_a : ndarray, shape (2 pieces,)
        Current at the start of every piece, then at the end of every piece. [A]
    frequency_hz : float
        Above zero. [Hz]

    Returns
    -------
    electric_v_per_m, magnetic_t : ndarray, shape (points, 3)
        Of currents and charges. [V/m], [T]

    Notes
    -----
    Wires have no thickness here: hold points a few radii away.  Close to a wire the field of charges that are constant
    along each piece is that of steps.
    """
    omega = 2 * pi * frequency_hz
    currents, charges, curl = _fields(
        np.ascontiguousarray(points_m, dtype=np.float64),
        np.ascontiguousarray(wires.vertices_m),
        np.ascontiguousarray(wires.steps_m),
        np.ascontiguousarray(end_current_a, dtype=np.complex128),
        omega / SPEED_OF_LIGHT_M_PER_S,
    )
    electric = -1j * omega * MU_0_H_PER_M * currents + charges / (1j * omega * EPSILON_0_F_PER_M)
    return electric / (4 * pi), MU_0_H_PER_M / (4 * pi) * curl
