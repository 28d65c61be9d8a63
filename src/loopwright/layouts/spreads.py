"""Where the centres of a tiling lie: rows and columns on the flat, or spread over a closed surface."""

from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

Real = NDArray[np.float64]

_GOLDEN = (1 + sqrt(5)) / 2
#: Energy falls with this power of distance: high enough to even out the nearest distances.
_POWER = 6


def lattice_m(pattern: str, *, rows: int, columns: int, pitch_m: float) -> Real:
    """Centres of a flat tiling, row by row from the feet upwards, its middle at the origin.

    Parameters
    ----------
    pattern : str
        ``rectangular``, or ``hexagonal``: alternate rows shifted by half a pitch, and closer by sqrt(3)/2, so that all
        neighbours are one pitch apart.
    rows, columns : int
        Number of rows along v and of elements in each along u.
    pitch_m : float
        Distance between neighbours. [m]

    Returns
    -------
    ndarray, shape (rows * columns, 2)
        Centres (u, v). [m]
    """
    rise = sqrt(3) / 2 if pattern == "hexagonal" and rows > 1 else 1.0
    return graded_lattice_m(
        pattern, columns=columns, pitches_m=np.full(rows, pitch_m), rises_m=np.full(rows - 1, rise * pitch_m)
    )


def graded_lattice_m(pattern: str, *, columns: int, pitches_m: Real, rises_m: Real) -> Real:
    """Centres of a flat tiling whose rows differ, row by row from the feet upwards, its middle at the origin.

    Parameters
    ----------
    pattern : str
        ``rectangular``, or ``hexagonal``: alternate rows shifted by half of their own pitch.
    columns : int
        Elements in each row.
    pitches_m : ndarray, shape (rows,)
        Distance between the elements of each row. [m]
    rises_m : ndarray, shape (rows - 1,)
        Distance of each row from the one before. [m]

    Returns
    -------
    ndarray, shape (rows * columns, 2)
        Centres (u, v). [m]
    """
    rows = len(pitches_m)
    row, column = np.divmod(np.arange(rows * columns), columns)
    staggered = pattern == "hexagonal" and rows > 1
    shift = np.where(row % 2 == 0, -0.25, 0.25) if staggered else np.zeros(len(row))
    height = np.concatenate([[0.0], np.cumsum(rises_m)])
    u = pitches_m[row] * (column - (columns - 1) / 2 + shift)
    v = (height - height[-1] / 2)[row]
    return np.stack([u, v], axis=1)


def from_first_m(flat_m: Real) -> Real:
    """Move a flat tiling (n, 2) along u so that its first element has u = 0, for rows that close round the body. [m]"""
    return np.asarray(flat_m - [flat_m[0, 0], 0.0])


def most_even_rows(count: int) -> int:
    """Divisor of ``count`` that makes rows and columns as equal as they go, rows not above columns."""
    return max(rows for rows in range(1, int(sqrt(count)) + 1) if count % rows == 0)


def spread_directions(count: int, *, semi_axes_m: tuple[float, float, float], start: Real | None = None) -> Real:
    """Rays (count, 3) to points spread evenly over a closed ellipsoid, always the same ones for the same start.

    Parameters
    ----------
    count : int
        Number of points. 32 on a sphere are the face centres of the truncated icosahedron; otherwise a Fibonacci spiral
        is relaxed until points that repel each other come to rest.
    semi_axes_m : 3-tuple
        Semi-axes. [m]
    start : ndarray, shape (count, 3), optional
        Unit vectors to relax in place of the spiral.

    Returns
    -------
    ndarray, shape (count, 3)
        Points of the surface in units of the mean semi-axis; only their directions matter.
    """
    axes = np.asarray(semi_axes_m) / np.mean(semi_axes_m)
    if start is None:
        start = _truncated_icosahedron() if count == 32 else _fibonacci(count)
        if count == 1 or (count == 32 and np.ptp(axes) < 1e-9):
            return start * axes
    solution = minimize(
        lambda flat: _repulsion(flat, axes), start.ravel(), jac=True, method="L-BFGS-B", options={"maxiter": 400}
    )
    found = solution.x.reshape(-1, 3)
    return np.asarray(axes * found / np.linalg.norm(found, axis=1, keepdims=True))


def _fibonacci(count: int) -> Real:
    """A spiral of unit vectors, each turned by the golden angle."""
    height = 1 - (2 * np.arange(count) + 1) / count
    turn = 2 * np.pi * np.arange(count) / _GOLDEN**2
    radius = np.sqrt(1 - height**2)
    return np.stack([radius * np.cos(turn), radius * np.sin(turn), height], axis=1)


def _truncated_icosahedron() -> Real:
    """Unit vectors to the 12 pentagons (corners of an icosahedron) and the 20 hexagons (corners of a dodecahedron)."""
    signs = [(s, t) for s in (1, -1) for t in (1, -1)]
    pentagons = [np.roll([0, s, t * _GOLDEN], k) for k in range(3) for s, t in signs]
    cube = [[s, t, r] for s, t in signs for r in (1, -1)]
    hexagons = [np.roll([0, s * _GOLDEN, t / _GOLDEN], k) for k in range(3) for s, t in signs]
    found = np.array([*pentagons, *cube, *hexagons], dtype=float)
    return np.asarray(found / np.linalg.norm(found, axis=1, keepdims=True))


def _repulsion(flat: Real, axes: Real) -> tuple[float, Real]:
    """Energy sum 1/d^p of points on the ellipsoid, and its gradient in the free vectors that they are scaled from."""
    free = flat.reshape(-1, 3)
    length = np.linalg.norm(free, axis=1, keepdims=True)
    unit = free / length
    points = axes * unit
    apart = points[:, None] - points[None]
    spacing = sqrt(4 * np.pi / len(points))
    square = np.sum(apart**2, axis=2) / spacing**2
    np.fill_diagonal(square, np.inf)
    energy = np.sum(square ** (-_POWER / 2)) / 2
    pull = -_POWER * np.sum(square[..., None] ** (-_POWER / 2 - 1) * apart, axis=1) / spacing**2 * axes
    gradient = (pull - np.sum(pull * unit, axis=1, keepdims=True) * unit) / length
    return float(energy), gradient.ravel()
