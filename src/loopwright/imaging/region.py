"""Where in the body the image is judged."""

from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records.imaging import BoxRegion, RegionRequest, SphereRegion, WholeBodyRegion

__all__ = ["BODY_COVER", "box_mask", "region_mask", "sphere_mask"]

#: A voxel counts as body when at least this part of it is covered.
BODY_COVER = 0.5


def region_mask(
    request: RegionRequest, points_m: NDArray[np.float64], *, depth_m: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Points of the region that the brief asks for.

    Parameters
    ----------
    request : RegionRequest
        Whole body, sphere or box, and the least depth.
    points_m : ndarray, shape (..., 3)
        Points in the body frame. [m]
    depth_m : ndarray, shape (...)
        Their depth below the skin. [m]

    Returns
    -------
    ndarray of bool, shape (...)
        True where the point belongs to the region.
    """
    deep = depth_m >= request.least_depth_m
    match request:
        case WholeBodyRegion():
            return np.asarray(deep)
        case SphereRegion(centre_m=centre_m, radius_m=radius_m):
            return np.asarray(deep & sphere_mask(points_m, centre_m=centre_m, radius_m=radius_m))
        case BoxRegion(min_m=minimum_m, max_m=maximum_m):
            return np.asarray(deep & box_mask(points_m, minimum_m=minimum_m, maximum_m=maximum_m))
    assert_never(request)


def sphere_mask(
    points_m: NDArray[np.float64], *, centre_m: tuple[float, float, float], radius_m: float
) -> NDArray[np.bool_]:
    """Points in a sphere.

    Parameters
    ----------
    points_m : ndarray, shape (..., 3)
        Points in the body frame. [m]
    centre_m : tuple of float
        Centre. [m]
    radius_m : float
        Radius. [m]

    Returns
    -------
    ndarray of bool, shape (...)
        True inside or on the sphere.
    """
    return np.asarray(np.linalg.norm(points_m - np.asarray(centre_m), axis=-1) <= radius_m)


def box_mask(
    points_m: NDArray[np.float64],
    *,
    minimum_m: tuple[float, float, float],
    maximum_m: tuple[float, float, float],
) -> NDArray[np.bool_]:
    """Points in a box along the axes.

    Parameters
    ----------
    points_m : ndarray, shape (..., 3)
        Points in the body frame. [m]
    minimum_m, maximum_m : tuple of float
        Corners. [m]

    Returns
    -------
    ndarray of bool, shape (...)
        True inside or on the box.
    """
    above = points_m >= np.asarray(minimum_m)
    return np.asarray(np.all(above & (points_m <= np.asarray(maximum_m)), axis=-1))
