"""The Green operator at one point of the spectrum: one formula, for arrays, for the GPU and in a compiled loop."""

from collections.abc import Callable
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.transforms import Three

Number = Any  # a complex number, or an array of them
Lines = NDArray[np.complex64]
#: Takes lines of the spectrum, the operator's factors and the slice of columns; may overwrite the lines.
Reply = Callable[[Three, tuple[Any, ...], slice], Three]


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


# Sums may be reordered: without that the loop does not fill the processor's vector units, and is four times slower.
_REORDERED = {"contract", "reassoc", "nsz"}
_at_a_point = numba.njit(cache=True, fastmath=_REORDERED)(reply_at_a_point)


@numba.njit(cache=True, nogil=True, fastmath=_REORDERED)
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
    first: int,
) -> None:  # pragma: no cover - compiled
    """Run through the lines once, in place; ``first`` is the first column. All arrays are contiguous."""
    for i, row, j in np.ndindex(x.shape[:3]):
        column = first + j
        x_line, y_line, z_line = x[i, row, j], y[i, row, j], z[i, row, j]
        scalar_line, wave_line = scalar[i, 0, column], wave[i, 0, column]
        for k in range(x.shape[3]):
            x_line[k], y_line[k], z_line[k] = _at_a_point(
                x_line[k],
                y_line[k],
                z_line[k],
                scalar_line[k],
                wave_line[k],
                forward_x[i],
                forward_y[column],
                forward_z[k],
                backward_x[i],
                backward_y[column],
                backward_z[k],
            )


def reply_in_a_loop(lines: Three, factors: tuple[Lines, ...], columns: slice) -> Three:
    """The operator in one pass over the memory; overwrites the lines.

    Parameters
    ----------
    lines : 3 ndarrays, shape (Nx, rows, columns, Nz)
        Transformed components.
    factors : 8 ndarrays
        The further arguments of `reply_at_a_point`, with all columns; shapes that broadcast against the lines.
    columns : slice
        Which columns the lines are.
    """
    x, y, z = lines
    scalar, wave, *differences = factors
    fx, fy, fz, bx, by, bz = (difference.ravel() for difference in differences)
    _sweep(x, y, z, scalar, wave, fx, fy, fz, bx, by, bz, columns.start)
    return lines


def reply_on_arrays(formula: Callable[..., Three]) -> Reply:
    """The operator on whole arrays, by `reply_at_a_point` as it stands or as a library has compiled it."""

    def reply(lines: Three, factors: tuple[Any, ...], columns: slice) -> Three:
        scalar, wave, fx, fy, fz, bx, by, bz = factors
        here = (slice(None), slice(None), columns)
        return formula(*lines, scalar[here], wave[here], fx, fy[here], fz, bx, by[here], bz)

    return reply
