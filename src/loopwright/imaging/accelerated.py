"""Image quality under one acceleration."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import VoxelGrid
from loopwright.brief.records.imaging import AccelerationRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.aliasing import SampledMaps
from loopwright.imaging.quality import AcceleratedQuality, distribution, scaled
from loopwright.imaging.sampling import folding
from loopwright.imaging.sense import inverse_g_map

__all__ = ["accelerate"]


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
        Sampling pattern and field of view.
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

    Raises
    ------
    OutsideModelError
        If no voxel of the region is imaged.
    """
    inverse_g, folded = _unfolded(request, grid, maps, inside)
    reduced = optimum * inverse_g / np.sqrt(request.reduction)
    judged = region & np.isfinite(inverse_g)
    if not judged.any():
        raise OutsideModelError(f"acceleration {request.name!r} images no voxel of the region: move its slab there")
    in_region = inverse_g[judged]
    worst = np.argwhere(judged)[int(np.argmin(in_region))]
    x, y, z = (float(grid.centres_m(axis)[i]) for axis, i in enumerate(worst))
    with np.errstate(divide="ignore"):
        mean_g = float(np.mean(1 / in_region))
    return AcceleratedQuality(
        request=request,
        reduction=request.reduction,
        inverse_g=inverse_g,
        sensitivity_t_per_a_sqrt_ohm=reduced,
        snr=scaled(reduced, factor),
        inverse_g_in_region=distribution(in_region),
        worst_inverse_g_at_m=(x, y, z),
        mean_g_in_region=mean_g,
        most_folded=int(folded[judged].max()),
        notes=_notes(in_region, voxels=int(np.count_nonzero(region))),
    )


def _unfolded(
    request: AccelerationRequest, grid: VoxelGrid, maps: SampledMaps, inside: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """1/g, NaN where nothing is imaged, and the number of body positions that share a voxel's signal; (x, y, z)."""
    inverse_g = np.full(inside.shape, np.nan)
    folded = np.zeros(inside.shape, dtype=np.intp)
    for group in folding(request, grid):
        voxels = inside & group.where
        folded[voxels], inverse_g[voxels] = inverse_g_map(maps, inside, np.argwhere(voxels), group.shifts)
    return inverse_g, folded


def _notes(in_region: NDArray[np.float64], *, voxels: int) -> tuple[str, ...]:
    lost, outside = int(np.sum(in_region == 0)), voxels - in_region.size
    sentences = []
    if lost:
        sentences.append(f"{lost} of {in_region.size} voxels of the region cannot be unfolded: 1/g is 0 there")
    if outside:
        sentences.append(f"{outside} of {voxels} voxels of the region lie outside the slab of the slices and count not")
    return tuple(sentences)
