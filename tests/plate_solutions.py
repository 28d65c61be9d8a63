"""Plates solved by the method of moments: two strips on a film in two dimensions, two squares in air in three."""

import numpy as np
from scipy.constants import epsilon_0

_IMAGES = 400


def graded(low, high, count):
    """Edges of cells that grow finer towards both ends, as the charge does."""
    return (low + high) / 2 - (high - low) / 2 * np.cos(np.pi * np.arange(count + 1) / count)


def _log_integral(at, left, right, height):
    """Integral of ln((at - x)^2 + height^2) over x from left to right."""

    def antiderivative(u):
        turn = 2 * height * np.arctan2(u, height) if height > 0 else 0.0
        return u * np.log(np.maximum(u**2 + height**2, 1e-300)) - 2 * u + turn

    return antiderivative(right - at) - antiderivative(left - at)


def _coefficients(contrast, sign):
    """Image n of a charge on the face of a film, for currents of charge alike (+1) or opposite (-1) on both faces."""
    n = np.arange(1, _IMAGES)
    power = (-sign * contrast) ** n
    c = np.concatenate([[1.0], power + sign * (-sign * contrast) ** (n - 1)])
    keep = np.abs(c) > 1e-14
    keep[:2] = True
    return np.where(keep, c, 0.0)


def strips_f_per_m(*, width_m, film_m, eps_r, count, margin_m=0.0):
    """Capacitance of a metre of two strips on both faces of a film, the lower one wider by the margin on each side.

    The charge is constant in each cell and the potential is met at its middle; the film is met by its image series.
    """
    edges = [graded(-half, half, count) for half in (width_m / 2, width_m / 2 + margin_m)]
    contrast = (1 - eps_r) / (1 + eps_r)  # with it the even and odd parts of the field both have their images
    heights = np.arange(_IMAGES) * film_m
    kernels = {}
    for of, at in ((0, 0), (0, 1), (1, 1)):
        middle = (edges[at][:-1] + edges[at][1:]) / 2
        total = {}
        for sign in (+1, -1):
            parts = sum(
                c * _log_integral(middle[:, None], edges[of][None, :-1], edges[of][None, 1:], height)
                for c, height in zip(_coefficients(contrast, sign), heights, strict=True)
                if c != 0
            )
            total[sign] = -parts / (4 * np.pi * epsilon_0 * (1 + eps_r)) * 2
        same = of == at
        kernels[of, at] = (total[+1] + total[-1]) / 2 if same else (total[+1] - total[-1]) / 2
    cross = kernels[0, 1]
    # cells of the upper strip seen from the lower one, and back: the same kernel with the parts exchanged
    back = _cross(edges, film_m, eps_r, contrast, heights)
    matrix = np.block([[kernels[0, 0], back], [cross, kernels[1, 1]]])
    size = count
    system = np.zeros((2 * size + 1, 2 * size + 1))
    system[: 2 * size, : 2 * size] = matrix
    system[: 2 * size, -1] = 1.0  # a potential common to both, left open, keeps the whole without charge
    system[-1, : 2 * size] = np.concatenate([np.diff(edge) for edge in edges])
    right = np.concatenate([np.full(size, 0.5), np.full(size, -0.5), [0.0]])
    # scale against the tiny eps0
    scaled = system.copy()
    scaled[: 2 * size, : 2 * size] *= epsilon_0
    charge = np.linalg.solve(scaled, right)[:size] * epsilon_0
    return float(charge @ np.diff(edges[0]))


def _cross(edges, film_m, eps_r, contrast, heights):
    middle = (edges[0][:-1] + edges[0][1:]) / 2
    total = {}
    for sign in (+1, -1):
        parts = sum(
            c * _log_integral(middle[:, None], edges[1][None, :-1], edges[1][None, 1:], height)
            for c, height in zip(_coefficients(contrast, sign), heights, strict=True)
            if c != 0
        )
        total[sign] = -parts / (4 * np.pi * epsilon_0 * (1 + eps_r)) * 2
    return (total[+1] - total[-1]) / 2
