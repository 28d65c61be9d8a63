"""Where in the body the image is judged."""

from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body, dominant_tissue
from loopwright.brief.records.imaging import (
    BoxRegion,
    ImagingRequest,
    RegionRequest,
    ShapedRegion,
    SphereRegion,
    TissueRegion,
    WholeBodyRegion,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.sampling import imaged_voxels

__all__ = ["BODY_COVER", "box_mask", "check_region", "region_mask", "region_voxels", "sphere_mask", "tissue_mask"]

#: A voxel counts as body when at least this part of it is covered.
BODY_COVER = 0.5


def check_region(request: ImagingRequest, body: Body) -> None:
    """Make sure that there is something to judge before anything is solved.

    Parameters
    ----------
    request : ImagingRequest
        Region and accelerations.
    body : Body
        The body on its grid.

    Raises
    ------
    OutsideModelError
        If the region names a tissue that the body has not, holds no voxel, or none of the slab of simultaneous slices.
    """
    region = region_voxels(request.region, body, depth_m=body.depth_m())
    for acceleration in request.accelerations:
        if not np.any(region & imaged_voxels(acceleration, body.grid)):
            raise OutsideModelError(
                f"acceleration {acceleration.name!r}: its slab holds no voxel of the imaging region. Move the slab "
                "(slab_centre), or take more slices or a larger slice_distance."
            )


def region_voxels(request: RegionRequest, body: Body, *, depth_m: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Voxels of the body that the region holds.

    Parameters
    ----------
    request : RegionRequest
        The region of the brief.
    body : Body
        The body on its grid.
    depth_m : ndarray, shape (x, y, z)
        Depth of every voxel's centre below the skin. [m]

    Returns
    -------
    ndarray of bool, shape (x, y, z)
        At least one voxel; all are covered by the body for at least a half.

    Raises
    ------
    OutsideModelError
        If a tissue is none of the body's, or no voxel is left.
    """
    inside = np.asarray(body.voxel_cover()) >= BODY_COVER
    match request:
        case TissueRegion(tissues=tissues, least_depth_m=least_depth_m):
            found = tissue_mask(tissues, body) & (depth_m >= least_depth_m)
        case _:
            found = region_mask(request, body.grid.centre_points_m(), depth_m=depth_m)
    if not np.any(inside & found):
        raise OutsideModelError(
            f"the imaging region ({_described(request)}) holds no voxel of the body on the grid of "
            f"{body.grid.spacing_m * 1e3:g} mm: make it larger or less deep, or the voxels smaller"
        )
    return np.asarray(inside & found)


def tissue_mask(tissues: tuple[str, ...], body: Body) -> NDArray[np.bool_]:
    """Voxels filled mostly by one of these tissues.

    Parameters
    ----------
    tissues : tuple of str
        Names as the body's own, in upper or lower case.
    body : Body
        The body on its grid.

    Returns
    -------
    ndarray of bool, shape (x, y, z)

    Raises
    ------
    OutsideModelError
        If the body has no such tissue.
    """
    known = [tissue.name.casefold() for tissue in body.tissues]
    strangers = [name for name in tissues if name.casefold() not in known]
    if strangers:
        own = ", ".join(dict.fromkeys(tissue.name for tissue in body.tissues))
        raise OutsideModelError(
            f"imaging.region: {body.name} has no tissue named {' or '.join(strangers)}; its tissues are: {own}"
        )
    wanted = {name.casefold() for name in tissues}
    numbers = [number for number, name in enumerate(known) if name in wanted]
    return np.isin(dominant_tissue(body), numbers)


def _described(request: RegionRequest) -> str:
    match request:
        case TissueRegion(tissues=tissues):
            what = f"tissue {', '.join(tissues)}"
        case _:
            what = request.kind
    return f"{what}, {request.least_depth_m * 1e3:g} mm or more below the skin"


def region_mask(
    request: ShapedRegion, points_m: NDArray[np.float64], *, depth_m: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Points of a region that is given by its shape.

    Parameters
    ----------
    request : ShapedRegion
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
