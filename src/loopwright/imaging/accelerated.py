"""Image quality under one acceleration."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import VoxelGrid
from loopwright.brief.records.imaging import AccelerationRequest
from loopwright.imaging.aliasing import SampledMaps, aliasing_shifts
from loopwright.imaging.quality import AcceleratedQuality, distribution, scaled
from loopwright.imaging.sense import inverse_g_map

__all__ = ["accelerate"]

_AXES = {"x": 0, "y": 1, "z": 2}


def accelerate(
    request: AccelerationRequest,
    *,
    grid: VoxelGrid,
    maps: SampledMaps,
    inside: NDArray[np.bool_],
    region: NDArray[np.bool_],
    optimum: NDArray[np.float64],
    factor: float | None,
) -> AcceleratedQuality:
    """Map 1/g over the body for one acceleration.

    Parameters
    ----------
    request : AccelerationRequest
        Factors, directions, field of view.
    grid : VoxelGrid
        Grid of the maps.
    maps : SampledMaps
        Whitened sensitivities.
    inside, region : ndarray of bool, shape (x, y, z)
        Voxels of the body, and of the region.
    optimum : ndarray, shape (x, y, z)
        Optimum sensitivity without acceleration. [T A^-1 ohm^-1/2]
    factor : float or None
        Absolute SNR over sensitivity, where it is known. [A ohm^1/2 T^-1]

    Returns
    -------
    AcceleratedQuality
    """
    spacing = tuple(
        (_AXES[direction], fov_m / (r * grid.spacing_m))
        for direction, fov_m, r in zip(request.directions, request.field_of_view_m, request.factors, strict=True)
    )
    shifts = aliasing_shifts(grid.shape, replica_spacing=spacing)
    targets = np.argwhere(inside)
    folded, inverse = inverse_g_map(maps, inside, targets, shifts)
    inverse_g = np.full(inside.shape, np.nan)
    inverse_g[inside] = inverse
    reduced = optimum * inverse_g / np.sqrt(request.reduction)
    in_region = inverse_g[region]
    worst = np.argwhere(region)[int(np.argmin(in_region))]
    x, y, z = (float(grid.centres_m(axis)[i]) for axis, i in enumerate(worst))
    with np.errstate(divide="ignore"):
        mean_g = float(np.mean(1 / in_region))
    lost = int(np.sum(in_region == 0))
    return AcceleratedQuality(
        request=request,
        reduction=request.reduction,
        inverse_g=inverse_g,
        sensitivity_t_per_a_sqrt_ohm=reduced,
        snr=scaled(reduced, factor),
        inverse_g_in_region=distribution(in_region),
        worst_inverse_g_at_m=(x, y, z),
        mean_g_in_region=mean_g,
        most_folded=int(folded[region[inside]].max()),
        notes=(f"{lost} of {in_region.size} voxels of the region cannot be unfolded: 1/g is 0 there",) if lost else (),
    )
