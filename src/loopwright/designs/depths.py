"""The points at which designs are judged, and maps read there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from loopwright.bodies import Body, VoxelGrid
from loopwright.brief.records.imaging import RegionRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.region import region_voxels

__all__ = ["JudgedPoints", "axis_points_m", "judged_points", "profile_points", "sampled_at"]

Real = NDArray[np.float64]

#: Fewer points than this tell nothing about a distribution.
LEAST_POINTS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedPoints:
    """Points (n, 3) [m] of the region that lie one depth [m] below the skin."""

    depth_m: float
    points_m: Real


def judged_points(body: Body, region: RegionRequest, depth_m: float) -> JudgedPoints:
    """Points of the region at one depth below the skin, one for each voxel of the shell round that depth.

    Parameters
    ----------
    body : Body
        The body on the grid of the comparison.
    region : RegionRequest
        Where the image is judged.
    depth_m : float
        Depth below the skin. [m]

    Raises
    ------
    OutsideModelError
        If the region has fewer than eight voxels there, or names a tissue that the body has not.

    Notes
    -----
    A voxel's centre is moved along the steepest change of depth, by at most half a voxel, until it lies at the depth
    itself: SNR falls by several per cent a millimetre, so a shell as thick as a voxel would add its own spread.
    """
    depth, step = body.depth_m(), body.grid.spacing_m
    centres = body.grid.centre_points_m()
    shell = region_voxels(region, body, depth_m=depth) & (np.abs(depth - depth_m) <= step / 2)
    if np.count_nonzero(shell) < LEAST_POINTS:
        raise OutsideModelError(
            f"the imaging region holds {np.count_nonzero(shell)} voxels at {depth_m * 1e3:g} mm below the skin, and "
            f"{LEAST_POINTS} are needed to compare designs there: make the region larger, the voxel smaller, or take "
            "this depth out"
        )
    inwards = np.stack([np.gradient(depth, step, axis=axis)[shell] for axis in range(3)], axis=-1)
    steepness = np.maximum(np.sum(inwards**2, axis=-1), 0.25)  # 1 but where the nearest skin changes sides
    move = (depth_m - depth[shell]) / steepness
    return JudgedPoints(depth_m=depth_m, points_m=centres[shell] + move[:, None] * inwards)


def profile_points(body: Body, region: RegionRequest) -> tuple[JudgedPoints, ...]:
    """Points at every depth, a voxel apart from two voxels below the skin on, as far as the region has enough."""
    step = body.grid.spacing_m
    found = []
    for number in range(2, int(body.depth_m().max() / step) + 1):
        try:
            found.append(judged_points(body, region, number * step))
        except OutsideModelError:
            continue
    return tuple(found)


def sampled_at(points_m: Real, values: Real, *, grid: VoxelGrid) -> Real:
    """Read a map at points between voxel centres.

    Parameters
    ----------
    points_m : ndarray, shape (n, 3)
        Points. [m]
    values : ndarray, shape (x, y, z)
        A map, NaN where it is not known.
    grid : VoxelGrid
        Grid of the map.

    Returns
    -------
    ndarray, shape (n,)
        Trilinear between the voxel centres that are known, in the unit of the values; NaN beside all of them.
    """
    known = np.isfinite(values)
    where = (points_m - np.asarray(grid.origin_m)).T / grid.spacing_m - 0.5
    share = map_coordinates(known.astype(np.float64), where, order=1, mode="nearest")
    total = map_coordinates(np.where(known, values, 0.0), where, order=1, mode="nearest")
    return np.asarray(np.divide(total, share, out=np.full(len(points_m), np.nan), where=share > 1e-6))


def axis_points_m(centre_m: Real, normal: Real, depths_m: Real, *, body: Body) -> Real:
    """Points at given depths on the axis of an element.

    Parameters
    ----------
    centre_m, normal : ndarray, shape (3,)
        Centre of the element, and unit vector away from the body. [m]
    depths_m : ndarray, shape (depths,)
        Depths below the skin. [m]
    body : Body
        The body.

    Returns
    -------
    ndarray, shape (depths, 3)
        NaN where the axis does not reach that depth. [m]
    """
    step = body.grid.spacing_m
    way = np.arange(0.0, 2 * max(body.grid.shape) * step, step / 8)
    along = centre_m - way[:, None] * normal
    depth = body.solid.depth_m(along)
    points = np.full((len(depths_m), 3), np.nan)
    for number, wanted in enumerate(depths_m):
        past = int(np.argmax(depth >= wanted))
        if past and depth[past - 1] < wanted:
            part = (wanted - depth[past - 1]) / (depth[past] - depth[past - 1])
            points[number] = along[past - 1] + part * (along[past] - along[past - 1])
    return points
