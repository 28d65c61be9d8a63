r"""Resistance that a flat body adds to a loop over it, for what a change of size or height does to it.

A loop of radius a with uniform current at height h over a half-space that conducts, its own field not changed by the
currents that it drives there: with :math:`A_\varphi=\frac{\mu_0 a}{2}\int J_1(ka)J_1(k\varrho)e^{-kz}dk` per ampere,

.. math:: R = \sigma\omega^2\int|A|^2dV
            = \frac{\pi\sigma\omega^2\mu_0^2a^3}{4}\int_0^\infty \frac{J_1^2(x)}{x^2}e^{-2xh/a}dx .
"""

from math import pi

import numpy as np
from scipy.integrate import quad
from scipy.special import j1

from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.errors import OutsideModelError

__all__ = ["half_space_resistance_ohm", "half_space_share"]

#: Where the integral ends: on the mean J1^2 is 1/(pi x), which leaves out a millionth at most.
_LAST = 400.0


def half_space_share(height_over_radius: float) -> float:
    """Integral of J1(x)^2 exp(-2 x h / a) / x^2 over x for a height over the radius of the loop.

    Raises
    ------
    OutsideModelError
        If the loop is not above the body.
    """
    if not height_over_radius > 0:
        raise OutsideModelError(f"height_over_radius = {height_over_radius:g} of a loop over a body must be above 0")

    def integrand(x: float) -> float:
        return float((j1(x) / x) ** 2 * np.exp(-2 * x * height_over_radius))

    low = quad(integrand, 1e-12, 10.0, limit=200)[0]
    return float(low + quad(integrand, 10.0, _LAST, limit=800)[0])


def half_space_resistance_ohm(radius_m: float, height_m: float, *, sigma_s_per_m: float, frequency_hz: float) -> float:
    """Resistance that a conducting half-space adds to a loop parallel to its face.

    Parameters
    ----------
    radius_m, height_m : float
        Of the loop, and from the face to it. [m]
    sigma_s_per_m : float
        Conductivity of the half-space. [S/m]
    frequency_hz : float
        [Hz]

    Returns
    -------
    float
        Far below the frequency at which skin depth or wavelength in the body come to the loop's size. [ohm]

    Raises
    ------
    OutsideModelError
        If the loop has no size or is not above the body.

    References
    ----------
    The losses of a loop by what it induces in a conducting body: D. I. Hoult, P. C. Lauterbur, J. Magn. Reson. 34, 425,
    1979 [hoult1979]; the integral is worked out here.
    """
    if not radius_m > 0:
        raise OutsideModelError(f"radius_m = {radius_m:g} of a loop must be greater than 0")
    omega = 2 * pi * frequency_hz
    share = half_space_share(height_m / radius_m)
    return float(pi / 4 * sigma_s_per_m * omega**2 * MU_0_H_PER_M**2 * radius_m**3 * share)
