r"""Resistance that a round body adds to a loop laid on it, for what a change of size or height does to it.

A circle of radius a whose line stands at height h over a ball of radius R, with uniform current, its field not changed
by the currents that it drives in the ball. On :math:`r_0=R+h`, with :math:`\sin\vartheta_0=a/r_0`,

.. math:: A_\varphi = \frac{\mu_0\sin\vartheta_0}{2}\sum_l \frac{1}{l(l+1)}\Big(\frac{r}{r_0}\Big)^l
          P_l^1(\cos\vartheta_0)\,P_l^1(\cos\vartheta)

per ampere, and what :math:`E=-j\omega A` loses in the ball is

.. math:: R_{loop} = \sigma\omega^2\int|A|^2dV = \pi\sigma\omega^2\mu_0^2 R^3\sin^2\vartheta_0
          \sum_l \frac{P_l^1(\cos\vartheta_0)^2}{l(l+1)(2l+1)(2l+3)}\Big(\frac{R}{r_0}\Big)^{2l} .
"""

from math import pi, sqrt

import numpy as np
from scipy.special import lpmv

from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.errors import OutsideModelError

__all__ = ["FLATTEST", "ball_resistance_ohm"]

#: Radius of a ball over that of the loop at which its face counts as flat: the loop loses a tenth less there than over
#: a plane, and ratios of sizes and heights differ by less.
FLATTEST = 30.0
#: Over more the series gets long.
_MOST = 100.0
#: Degrees summed for each ratio of r0 to a: terms fall as the third power of the degree beyond that ratio, so that less
#: than a thousandth of the sum is left even for a loop on the skin.
_DEGREES = 30


def ball_resistance_ohm(
    radius_m: float, height_m: float, *, ball_radius_m: float, sigma_s_per_m: float, frequency_hz: float
) -> float:
    """Resistance that a conducting ball adds to a circle laid on it.

    Parameters
    ----------
    radius_m, height_m : float
        Of the loop, and from the skin to its line. [m]
    ball_radius_m : float
        Of the ball. [m]
    sigma_s_per_m : float
        Conductivity of the ball. [S/m]
    frequency_hz : float
        [Hz]

    Returns
    -------
    float
        Far below the frequency at which skin depth or wavelength in the body come to the loop's size. [ohm]

    Raises
    ------
    OutsideModelError
        If the loop has no size, is in the ball, does not fit on it, or is minute against it.

    References
    ----------
    The loss of a loop by what it induces in a conducting ball: D. I. Hoult, P. C. Lauterbur, J. Magn. Reson. 34, 425,
    1979 [hoult1979]; the series is worked out here.
    """
    out_m = ball_radius_m + height_m
    if not (0 < radius_m < out_m and height_m > 0 and out_m <= _MOST * radius_m):
        raise OutsideModelError(
            f"radius_m = {radius_m:g}, height_m = {height_m:g}: no loop that is laid on a ball of {ball_radius_m:g} m"
        )
    sine = radius_m / out_m
    degree = np.arange(1, int(_DEGREES / sine) + 1)
    polynomial = lpmv(1, degree, sqrt(1 - sine**2))
    terms = polynomial**2 / (degree * (degree + 1) * (2 * degree + 1) * (2 * degree + 3))
    series = float(np.sum(terms * (ball_radius_m / out_m) ** (2 * degree)))
    omega = 2 * pi * frequency_hz
    return float(pi * sigma_s_per_m * omega**2 * MU_0_H_PER_M**2 * ball_radius_m**3 * sine**2 * series)
