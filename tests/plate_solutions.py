"""Plates solved by the method of moments: two strips on a film in two dimensions, two squares in air in three."""

import numpy as np
from scipy.constants import epsilon_0

_IMAGES = 300


def graded(low, high, count):
    """Edges of cells that grow finer towards both ends, as the charge does."""
    return (low + high) / 2 - (high - low) / 2 * np.cos(np.pi * np.arange(count + 1) / count)


def strips_f_per_m(*, width_m, film_m, eps_r, count, margin_m=0.0):
    """Capacitance of a metre of two strips on both faces of a film, the lower one wider by the margin on each side.

    Constant charge in each cell, the potential met at its middle; the potential common to both is left open, and the
    whole has no charge.
    """
    edges = [graded(-half, half, count) for half in (width_m / 2, width_m / 2 + margin_m)]
    matrix = np.block(
        [[_potential(edges[at], edges[of], film_m, eps_r, same=at == of) for of in (0, 1)] for at in (0, 1)]
    )
    widths = np.concatenate([np.diff(one) for one in edges])
    system = np.block([[matrix, np.ones((2 * count, 1))], [widths[None, :] / width_m, np.zeros((1, 1))]])
    density = np.linalg.solve(system, np.concatenate([np.full(count, 0.5), np.full(count, -0.5), [0.0]]))
    return float(epsilon_0 * density[:count] @ widths[:count])


def _potential(at, of, film_m, eps_r, *, same):
    """Potential times eps0 at the middles of cells on one face, of cells on the same face or on the other.

    Charges alike on both faces, and opposite ones, each meet a half film with a wall in its middle; the sum and the
    difference of the two image series tell one face from the other.
    """
    contrast = (eps_r - 1) / (eps_r + 1)
    middle = (at[:-1] + at[1:]) / 2
    alike, opposite = (_series(middle, of, film_m, contrast, sign) for sign in (1, -1))
    return (alike + opposite if same else alike - opposite) / (4 * np.pi * -(1 + eps_r))


def _series(middle, of, film_m, contrast, sign):
    """Sum of images: 1, then (sign c)^n + sign (sign c)^(n-1) at n film thicknesses."""
    n = np.arange(1, _IMAGES)
    strengths = np.concatenate([[1.0], (sign * contrast) ** n + sign * (sign * contrast) ** (n - 1)])
    return sum(
        strength
        * (_log_integral(of[None, 1:] - middle[:, None], h) - _log_integral(of[None, :-1] - middle[:, None], h))
        for strength, h in zip(strengths, film_m * np.arange(_IMAGES), strict=True)
        if abs(strength) > 1e-15
    )


def _log_integral(u, height):
    """Integral of ln(u^2 + height^2)."""
    return u * np.log(u**2 + height**2) - 2 * u + 2 * height * np.arctan2(u, height)


def squares_f(*, side_m, apart_m, count):
    """Capacitance of two square plates in air, opposite charges, constant in each of count x count cells."""
    lines = graded(-side_m / 2, side_m / 2, count)
    centre = (lines[:-1] + lines[1:]) / 2
    x, y = (one.ravel()[:, None] for one in np.meshgrid(centre, centre, indexing="ij"))
    left, front = (one.ravel()[None] for one in np.meshgrid(lines[:-1], lines[:-1], indexing="ij"))
    right, back = (one.ravel()[None] for one in np.meshgrid(lines[1:], lines[1:], indexing="ij"))
    potential = sum(
        sign * _rectangle(left - x, right - x, front - y, back - y, height)
        for sign, height in ((1, 0.0), (-1, apart_m))
    )
    density = np.linalg.solve(potential / (4 * np.pi), np.full(count**2, 0.5))
    return float(epsilon_0 * density @ ((right - left) * (back - front)).ravel())


def _rectangle(left, right, front, back, height):
    """Integral of 1/r over a rectangle seen from a height above the origin of its coordinates."""

    def corner(u, v):
        r = np.sqrt(u**2 + v**2 + height**2)
        turn = height * np.arctan2(u * v, height * r) if height > 0 else 0.0
        return u * np.log(v + r) + v * np.log(u + r) - turn

    return corner(right, back) - corner(left, back) - corner(right, front) + corner(left, front)
