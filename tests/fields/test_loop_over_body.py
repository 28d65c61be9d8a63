"""What a ball takes from a loop laid on it, against closed forms and another way to the same integral."""

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from loopwright.fields.loop_over_body import ball_resistance_ohm
from loopwright.ground.errors import OutsideModelError

SIGMA, F_HZ = 0.6, 64e6
UNIT = SIGMA * (2 * np.pi * F_HZ) ** 2


def resistance_ohm(radius_m, height_m, ball_radius_m):
    return ball_resistance_ohm(radius_m, height_m, ball_radius_m=ball_radius_m, sigma_s_per_m=SIGMA, frequency_hz=F_HZ)


@pytest.mark.parametrize(("height_m", "ball_radius_m"), [(10e-3, 0.07), (2e-3, 0.05)])
def test_resistance_by_the_vector_potential_in_the_ball(height_m, ball_radius_m):
    """Sigma omega^2 times the integral of A^2, with A of a circle by elliptic integrals."""
    radius_m, (node, weight) = 0.035, np.polynomial.legendre.leggauss(300)
    r, dr = ball_radius_m * (node[:, None] + 1) / 2, ball_radius_m * weight / 2
    rho, above = r * np.sqrt(1 - node**2), r * node - np.sqrt((ball_radius_m + height_m) ** 2 - radius_m**2)
    m = 4 * radius_m * rho / ((radius_m + rho) ** 2 + above**2)
    a = mu_0 / (np.pi * np.sqrt(m)) * np.sqrt(radius_m / rho) * ((1 - m / 2) * ellipk(m) - ellipe(m))
    inside = 2 * np.pi * dr @ (a**2 * r**2) @ weight
    assert resistance_ohm(radius_m, height_m, ball_radius_m) == pytest.approx(UNIT * inside, rel=1e-3)


def test_on_a_large_ball_the_loop_lies_on_a_half_space():
    """Pi/4 sigma omega^2 mu0^2 a^3 times the integral of (J1(x)/x)^2, which is 4/(3 pi) on the skin.

    Degrees l stand for x = l a/R. The ball lacks those below the first, and holds (2l+1)/(2l+3) of each: where the
    integrand is 1/4 that is a/R (c + 3 pi/16 ln(R/a)) of the whole, c a number.
    """
    flat, share = UNIT * mu_0**2 * 0.03**3 / 3, np.array([0.08, 0.04, 0.02])
    off = 1 - np.array([resistance_ohm(0.03, 1e-7, 0.03 / one) for one in share]) / flat
    assert off[2] < 0.06
    assert np.diff(off / share) == pytest.approx(3 * np.pi / 16 * np.log(2), rel=0.05)


def test_far_off_a_small_ball_takes_what_a_uniform_field_gives_it():
    """Pi/15 sigma omega^2 B^2 R^5 over one ampere squared, twice the mean power, with B of the circle on its axis."""
    radius_m, height_m, ball_radius_m = 0.03, 0.3, 0.004
    apart = np.sqrt((ball_radius_m + height_m) ** 2 - radius_m**2)
    b = mu_0 * radius_m**2 / 2 / (radius_m**2 + apart**2) ** 1.5
    expected = 2 * np.pi / 15 * UNIT * b**2 * ball_radius_m**5
    assert resistance_ohm(radius_m, height_m, ball_radius_m) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(
    ("radius_m", "height_m", "ball_radius_m"),
    [(0.0, 0.01, 0.1), (0.04, -0.01, 0.1), (0.2, 0.01, 0.1), (1e-3, 0.01, 0.1)],
)
def test_a_loop_that_is_not_laid_on_the_ball_is_refused(radius_m, height_m, ball_radius_m):
    with pytest.raises(OutsideModelError, match="no loop that is laid on a ball"):
        resistance_ohm(radius_m, height_m, ball_radius_m)
