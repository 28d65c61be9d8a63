"""Closed-form corner measures against integrals that know nothing of them."""

import numpy as np
import pytest
from scipy.integrate import dblquad, quad

from loopwright.bodies.corners import ball_corner_volume, disc_corner_area

CORNERS = [(0.3, 0.4, 0.5), (0.7, 0.6, 0.5), (0.9, 0.2, 0.3), (0.8, 0.8, 0.8), (0.55, 0.95, 0.1), (2.0, 0.4, 3.0)]


@pytest.mark.parametrize(("x", "y"), [(0.3, 0.4), (0.9, 0.8), (0.2, 1.5), (1.0, 0.5)])
def test_disc_corner_is_the_integral_of_the_height_under_the_circle(x, y):
    expected, _ = quad(lambda t: min(y, np.sqrt(max(1 - t * t, 0))), 0, min(x, 1), points=[np.sqrt(max(1 - y * y, 0))])
    assert disc_corner_area(x, y) == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize(("x", "y", "z"), CORNERS)
def test_ball_corner_is_the_integral_of_the_height_under_the_sphere(x, y, z):
    expected, _ = dblquad(
        lambda v, u: min(z, np.sqrt(max(1 - u * u - v * v, 0))),
        0,
        min(x, 1),
        0,
        lambda u: min(y, np.sqrt(1 - u * u)),
        epsabs=1e-8,
    )
    assert ball_corner_volume(x, y, z) == pytest.approx(expected, abs=1e-6)


def test_infinite_corners_are_the_quarter_disc_and_the_eighth_of_the_ball():
    assert disc_corner_area(np.inf, np.inf) == pytest.approx(np.pi / 4, rel=1e-15)
    assert ball_corner_volume(np.inf, np.inf, np.inf) == pytest.approx(np.pi / 6, rel=1e-15)


def test_odd_in_every_argument():
    assert disc_corner_area(-0.4, 0.9) == -disc_corner_area(0.4, 0.9)
    assert ball_corner_volume(-0.4, 0.9, -0.2) == ball_corner_volume(0.4, 0.9, 0.2)
    assert ball_corner_volume(0.4, 0.9, -0.2) == -ball_corner_volume(0.4, 0.9, 0.2)
