"""Two-dimensional solution of a strip's cross section: current crowds as the eddy-current equation wants it.

J/sigma + j omega A = const over a quarter of the rectangle, A the integral of -mu0/(2 pi) J ln r over all four
quarters, J constant in cells that shrink towards faces and edges; ln r is integrated exactly over each cell.
"""

import numpy as np
from scipy.constants import mu_0, pi
from scipy.optimize import brentq


def _log_primitive(x, y):
    """Double primitive of ln sqrt(x^2 + y^2), odd in both, without the bilinear term that cancels between corners."""
    sign, x, y = np.sign(x) * np.sign(y), np.abs(x), np.abs(y)
    r2 = np.maximum(x**2 + y**2, 1e-300)
    return sign * 0.5 * (x * y * (np.log(r2) - 3) + x**2 * np.arctan2(y, x) + y**2 * np.arctan2(x, y))


def _graded(half, smallest, cells):
    """Cell edges from the middle to the face, the last cell the smallest."""
    if smallest * cells >= half:
        return np.linspace(0, half, cells + 1)
    ratio = brentq(lambda q: smallest * (q**cells - 1) / (q - 1) - half, 1 + 1e-9, 10)
    sizes = smallest * ratio ** np.arange(cells)[::-1]
    return np.concatenate([[0], np.cumsum(sizes)]) * half / sizes.sum()


def strip_resistance_ohm_per_m(width_m, thickness_m, conductivity_s_per_m, frequency_hz, *, across=36, through=10):
    omega = 2 * pi * frequency_hz
    delta = np.sqrt(2 / (omega * mu_0 * conductivity_s_per_m))
    x = _graded(width_m / 2, 0.12 * min(delta, thickness_m), across)
    y = _graded(thickness_m / 2, min(0.12 * delta, thickness_m / 2 / through), through)
    (x0, y0), (x1, y1) = (
        [m.ravel() for m in np.meshgrid(p, q, indexing="ij")] for p, q in ((x[:-1], y[:-1]), (x[1:], y[1:]))
    )
    xc, yc = (x0 + x1)[:, None] / 2, (y0 + y1)[:, None] / 2
    logs = sum(
        s * t * m * n * _log_primitive(xc - s * xe, yc - t * ye)
        for s in (1, -1)
        for t in (1, -1)
        for m, xe in ((1, x0), (-1, x1))
        for n, ye in ((1, y0), (-1, y1))
    )
    system = np.eye(len(xc)) / conductivity_s_per_m - 1j * omega * mu_0 / (2 * pi) * logs
    density = np.linalg.solve(system, np.ones(len(xc)))
    area = (x1 - x0) * (y1 - y0)
    current = 4 * np.sum(density * area)
    return 4 * np.sum(np.abs(density) ** 2 * area) / conductivity_s_per_m / np.abs(current) ** 2


def strip_pair_impedance_ohm_per_m(
    width_m, thickness_m, conductivity_s_per_m, frequency_hz, *, aside_m=0.0, above_m=0.0, across=36, through=10
):
    """Impedance of each of two equal strips, current there in one and back in the other, side by side or stacked."""
    omega = 2 * pi * frequency_hz
    delta = np.sqrt(2 / (omega * mu_0 * conductivity_s_per_m))
    half_x = _graded(width_m / 2, 0.12 * min(delta, thickness_m), across)
    half_y = _graded(thickness_m / 2, min(0.12 * delta, thickness_m / 2 / through), through)
    # Both strips whole in the direction of the shift; in the other direction one half and its mirror image.
    x = half_x if above_m else np.concatenate([-half_x[:0:-1], half_x])
    y = np.concatenate([-half_y[:0:-1], half_y]) if above_m else half_y
    (x0, y0), (x1, y1) = (
        [m.ravel() for m in np.meshgrid(p, q, indexing="ij")] for p, q in ((x[:-1], y[:-1]), (x[1:], y[1:]))
    )
    xc, yc = (x0 + x1)[:, None] / 2, (y0 + y1)[:, None] / 2

    def logs(at_x, at_y):
        return sum(
            m * n * _log_primitive(at_x - xe, at_y - ye)
            for m, xe in ((1, x0), (-1, x1))
            for n, ye in ((1, y0), (-1, y1))
        )

    own = logs(xc, yc) + (logs(-xc, yc) if above_m else logs(xc, -yc))
    # The partner is the mirror image across the middle between the two, and carries the opposite current.
    mirrored = (xc, above_m - yc) if above_m else (aside_m - xc, yc)
    other = logs(*mirrored) + (logs(-mirrored[0], mirrored[1]) if above_m else logs(mirrored[0], -mirrored[1]))
    system = np.eye(len(xc)) / conductivity_s_per_m - 1j * omega * mu_0 / (2 * pi) * (own - other)
    density = np.linalg.solve(system, np.ones(len(xc)))
    return 1 / (2 * np.sum(density * (x1 - x0) * (y1 - y0)))
