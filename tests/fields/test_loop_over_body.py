"""What a flat body takes from a loop over it, against closed forms and another way to the same integral."""

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from loopwright.fields.loop_over_body import half_space_resistance_ohm, half_space_share
from loopwright.ground.errors import OutsideModelError


def test_on_the_skin_the_share_is_four_over_three_pi():
    """Integral of (J1(x)/x)^2 from nought on, by Weber and Schafheitlin (from memory); a millionth is left out."""
    assert half_space_share(1e-9) == pytest.approx(4 / (3 * np.pi), abs=2e-6)


def test_far_off_the_loop_is_a_dipole():
    """J1(x) = x/2 leaves a / 8h, with 3/16 (a/h)^2 of it missing."""
    assert half_space_share(30.0) == pytest.approx(1 / 240, rel=1e-3)


def test_resistance_by_the_vector_potential_in_space():
    """Sigma omega^2 times the integral of A^2 below the skin, with A of a circle by elliptic integrals."""
    radius_m, height_m, sigma, f = 0.04, 0.01, 0.6, 64e6
    # Nought to infinity on the nodes of Gauss: 40 mm t / (1 - t).
    t, weight = (np.polynomial.legendre.leggauss(200)[0] + 1) / 2, np.polynomial.legendre.leggauss(200)[1] / 2
    way, step = radius_m * t / (1 - t), radius_m * weight / (1 - t) ** 2
    rho, z = way, (height_m + way)[:, None]
    m = 4 * radius_m * rho / ((radius_m + rho) ** 2 + z**2)
    a = mu_0 / (np.pi * np.sqrt(m)) * np.sqrt(radius_m / rho) * ((1 - m / 2) * ellipk(m) - ellipe(m))
    inside = step @ (a**2 @ (2 * np.pi * rho * step))
    found = half_space_resistance_ohm(radius_m, height_m, sigma_s_per_m=sigma, frequency_hz=f)
    assert found == pytest.approx(sigma * (2 * np.pi * f) ** 2 * inside, rel=1e-4)


@pytest.mark.parametrize(("radius_m", "height_m"), [(0.0, 0.01), (0.04, 0.0), (0.04, -0.01)])
def test_a_loop_in_the_body_is_refused(radius_m, height_m):
    with pytest.raises(OutsideModelError):
        half_space_resistance_ohm(radius_m, height_m, sigma_s_per_m=1.0, frequency_hz=1e8)
