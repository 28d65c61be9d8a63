"""The ultimate reception on the voxels of a body, where a closed form exists."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body, Ellipsoid
from loopwright.fields.ultimate_sphere import ultimate_reception

__all__ = ["ultimate_map"]

# Nearer to the surface the ultimate grows without bound, and voxels cut by it mean nothing.
_LEAST_DEPTH_IN_VOXELS = 0.5


def ultimate_map(body: Body) -> NDArray[np.float64] | None:
    """Ultimate reception at every voxel centre of a uniform sphere; None for any other body.

    Parameters
    ----------
    body : Body
        At its frequency.

    Returns
    -------
    ndarray, shape (x, y, z), or None
        Largest |B1-| / sqrt(R) of any source, noise from the body alone; NaN outside the sphere and within half a
        voxel of its surface. [T A^-1 ohm^-1/2]
    """
    radius_m = _uniform_sphere_radius_m(body)
    if radius_m is None:
        return None
    points = body.grid.centre_points_m()
    deep = np.linalg.norm(points, axis=-1) < radius_m - _LEAST_DEPTH_IN_VOXELS * body.grid.spacing_m
    (tissue,) = body.tissues
    found = np.full(body.grid.shape, np.nan)
    found[deep] = ultimate_reception(
        points[deep],
        radius_m=radius_m,
        eps_r=tissue.eps_r,
        sigma_s_per_m=tissue.sigma_s_per_m,
        frequency_hz=body.frequency_hz,
    ).reception_t_per_a_root_ohm
    return found


def _uniform_sphere_radius_m(body: Body) -> float | None:
    """Radius of a body that is one sphere of one lossy material. [m]"""
    skin = body.solid.skin
    if len(body.solid.regions) != 1 or not isinstance(skin, Ellipsoid) or body.tissues[0].sigma_s_per_m <= 0:
        return None
    x, y, z = skin.semi_axes_m
    return float(x) if x == y == z else None
