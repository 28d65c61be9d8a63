"""The Green operator at one point of the spectrum: one formula, for arrays, for the GPU and in a compiled loop."""

from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

Number = Any  # a complex number, or an array of them
Lines = NDArray[np.complex64]


def reply_at_a_point(
    x: Number,
    y: Number,
    z: Number,
    scalar: Number,
    wave: Number,
    forward_x: Number,
    forward_y: Number,
    forward_z: Number,
    backward_x: Number,
    backward_y: Number,
    backward_z: Number,
) -> tuple[Number, Number, Number]:
    """L = k0^2 S + grad div S: divergence by forward differences, gradient by backward ones."""
    charge = scalar * (forward_x * x + forward_y * y + forward_z * z)
    return wave * x + backward_x * charge, wave * y + backward_y * charge, wave * z + backward_z * charge


_at_a_point = numba.njit(cache=True)(reply_at_a_point)


@numba.njit(cache=True, nogil=True)
def _sweep(
    x: Lines,
    y: Lines,
    z: Lines,
    scalar: Lines,
    wave: Lines,
    forward_x: Lines,
    forward_y: Lines,
    forward_z: Lines,
    backward_x: Lines,
    backward_y: Lines,
    backward_z: Lines,
) -> None:  # pragma: no cover - compiled
    """Run through the lines once, in place."""
    for i in range(x.shape[0]):
        for row in range(x.shape[1]):
            for j in range(x.shape[2]):
                for k in range(x.shape[3]):
                    x[i, row, j, k], y[i, row, j, k], z[i, row, j, k] = _at_a_point(
                        x[i, row, j, k],
                        y[i, row, j, k],
                        z[i, row, j, k],
                        scalar[i, 0, j, k],
                        wave[i, 0, j, k],
                        forward_x[i, 0, 0, 0],
                        forward_y[0, 0, j, 0],
                        forward_z[0, 0, 0, k],
                        backward_x[i, 0, 0, 0],
                        backward_y[0, 0, j, 0],
                        backward_z[0, 0, 0, k],
                    )


def reply_on_lines(x: Lines, y: Lines, z: Lines, *factors: Lines) -> tuple[Lines, Lines, Lines]:
    """The same in one pass over the memory; overwrites what it is given.

    Parameters
    ----------
    x, y, z : ndarray, shape (Nx, rows, columns, Nz)
        Transformed components.
    *factors : ndarray, shapes that broadcast against them
        The further arguments of `reply_at_a_point`.
    """
    _sweep(x, y, z, *factors)
    return x, y, z
