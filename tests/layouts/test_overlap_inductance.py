"""Mutual inductance of overlapped outlines vanishes where the literature and our prototypes found it.

Roemer et al., Magn. Reson. Med. 16, 192 (1990), rules 0.75 of the diameter and 0.90 of the side (from memory); exact
filament values computed by A-field line integrals: circles stacked by 0.05 radii 0.7623, squares by 0.01 sides 0.8979.
On a cylinder of radius 100 and 60 mm, wires 0.2 mm apart, measured along the developed surface: circles 0.7500 and
0.7345, squares 0.9082 and 0.9011 (prototype of the thin-wire engine). Neumann's double sum, inner integral exact.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from loopwright.layouts import ColumnSkin, circle_outline_m, square_outline_m

NODES, WEIGHTS = np.polynomial.legendre.leggauss(8)


def _neumann_sum(first, second):
    """Integral of dl . dl' / distance; without mu_0 / 4 pi."""
    p, d = first, np.roll(first, -1, axis=0) - first
    r, e = second, np.roll(second, -1, axis=0) - second
    length = np.linalg.norm(e, axis=1)
    points = p[:, None, None] + (NODES[None, :, None, None] + 1) / 2 * d[:, None, None]
    along = np.sum((points - r) * e, axis=-1) / length
    away = np.sqrt(np.maximum(np.sum((points - r) ** 2, axis=-1) - along**2, 1e-18))
    inner = np.arcsinh((length - along) / away) + np.arcsinh(along / away)
    return np.sum((d @ e.T) / length * np.einsum("g,igj->ij", WEIGHTS / 2, inner))


@pytest.mark.parametrize(
    ("draw", "separation", "expected"),
    [(circle_outline_m, 0.05 / 2, 0.7623), (square_outline_m, 0.01, 0.8979), (square_outline_m, 0.02, 0.8884)],
)
def test_plane_elements(draw, separation, expected):
    flat = np.pad(draw(0.08, segments=96), ((0, 0), (0, 1)))

    def mutual(overlap):
        return _neumann_sum(flat, flat + np.array([overlap * 0.08, 0, separation * 0.08]))

    assert brentq(mutual, 0.7, 0.95, xtol=1e-5) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("draw", "radius_m", "expected"),
    [
        (circle_outline_m, 0.10, 0.7500),
        (circle_outline_m, 0.06, 0.7345),
        (square_outline_m, 0.10, 0.9082),
        (square_outline_m, 0.06, 0.9011),
    ],
)
def test_elements_wrapped_round_a_cylinder(draw, radius_m, expected):
    flat = draw(0.08, segments=96)
    skin = ColumnSkin(semi_axes_m=(radius_m - 0.01, radius_m - 0.01), height_m=0.4)
    middle = skin.feet_towards(np.array([[0.0, -1.0, 0.0]]))

    def mutual(overlap):
        feet = skin.walked(middle, np.array([[0.0, 0.0], [overlap * 0.08, 0.0]]), stand_off_m=0.01)
        return _neumann_sum(*skin.wrapped_m(feet, flat, stand_off_m=np.array([0.01, 0.0102])))

    assert brentq(mutual, 0.7, 0.95, xtol=1e-5) == pytest.approx(expected, abs=2e-3)
