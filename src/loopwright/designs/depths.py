"""The points at which designs are judged, and maps read there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from loopwright.bodies import Body, VoxelGrid
from loopwright.brief.records.imaging import RegionRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.region import region_voxels

__all__ = ["JudgedPoints", "axis_points_m", "judged_points", "known_at", "profile_points", "sampled_at"]

Real = NDArray[np.float64]

#: Fewer points than this tell nothing about a distribution.
LEAST_POINTS = 8
#: Points that stay further from their depth than this are left out. [voxel]
NEAREST = 0.1
#: Moves towards the depth: the first misses where the nearest skin changes sides, two more bring most of them there.
_MOVES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedPoints:
    """Points (n, 3) [m] of the region that lie one depth [m] below the skin."""

    depth_m: float
    points_m: Real


def judged_points(body: Body, region: RegionRequest, depth_m: float) -> JudgedPoints:
    """Points of the region at one depth below the skin, one or none for each voxel of the shell round that depth.

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
        If the region has fewer than eight points there, or names a tissue that the body has not.

    Notes
    -----
    SNR falls by several per cent a millimetre, so a shell as thick as a voxel would add its own spread. A voxel's
    centre is therefore moved along the steepest change of depth, up to three times and no further than one voxel in
    all. It is left out where it then still lies more than a tenth of a voxel above or below the depth, as in the
    middle of a body, where the depth has a ridge.
    """
    depth, step = body.depth_m(), body.grid.spacing_m
    shell = region_voxels(region, body, depth_m=depth) & (np.abs(depth - depth_m) <= step / 2)
    points_m = _moved_to(depth_m, body, shell, depth) if shell.any() else np.empty((0, 3))
    if len(points_m) < LEAST_POINTS:
        raise OutsideModelError(
            f"the imaging region holds {len(points_m)} points at {depth_m * 1e3:g} mm below the skin, and "
            f"{LEAST_POINTS} are needed to compare designs there: make the region larger, the voxel smaller, or take "
            "this depth out"
        )
    return JudgedPoints(depth_m=depth_m, points_m=points_m)


def _moved_to(depth_m: float, body: Body, shell: NDArray[np.bool_], depth: Real) -> Real:
    """Centres of the voxels of a shell moved to the depth, without those that do not come near it, shape (n, 3)."""
    step = body.grid.spacing_m
    inwards = np.stack([np.gradient(depth, step, axis=axis)[shell] for axis in range(3)], axis=-1)
    steepness = np.maximum(np.sum(inwards**2, axis=-1), 0.25)  # 1 but where the nearest skin changes sides
    centres = body.grid.centre_points_m()[shell]
    points, left = centres, depth_m - depth[shell]
    for _ in range(_MOVES):
        points = points + (left / steepness)[:, None] * inwards
        left = depth_m - body.solid.depth_m(points)
    near = (np.abs(left) <= NEAREST * step) & (np.linalg.norm(points - centres, axis=1) <= step)
    return np.asarray(points[near])


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


def known_at(points_m: Real, values: Real, *, grid: VoxelGrid) -> NDArray[np.bool_]:
    """Say of each point (n, 3) [m] whether the voxel that holds it is known in a map (x, y, z), NaN where it is not."""
    number = np.floor((points_m - np.asarray(grid.origin_m)) / grid.spacing_m).astype(np.intp)
    number = np.clip(number, 0, np.array(grid.shape) - 1)
    return np.asarray(np.isfinite(values[tuple(number.T)]))


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
