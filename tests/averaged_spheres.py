"""What cubes in a smooth sphere average, by quadrature."""

from math import pi

import numpy as np
from scipy.optimize import brentq


def smooth_peak_rho2_m2(radius_m, side_m):
    """Largest mean of rho^2 over cubes whose tissue fills side_m^3, a tenth of them outside the sphere.

    It is the SAR in a uniform field along z. A cube that is centred on a voxel may be a tenth background, and the
    farther out it lies the more it averages.
    """
    side = side_m / 0.9 ** (1 / 3)
    steps = side * ((np.arange(80) + 0.5) / 80 - 0.5)
    x, y, z = np.meshgrid(steps, steps, steps, indexing="ij")

    def tissue(distance, angle):
        return (x + distance * np.cos(angle)) ** 2 + (y + distance * np.sin(angle)) ** 2 + z**2 < radius_m**2

    found = []
    for angle in np.linspace(0, pi / 4, 10):
        distance = brentq(lambda d, a=angle: tissue(d, a).mean() - 0.9, 0.4 * radius_m, radius_m, xtol=1e-5)
        inside = tissue(distance, angle)
        if inside[-1].any() and inside[:, -1].any():
            rho2 = (x + distance * np.cos(angle)) ** 2 + (y + distance * np.sin(angle)) ** 2
            found.append(rho2[inside].mean())
    return max(found)
