"""What the images of one array on one patient are like, as a few figures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from loopwright.bodies import VoxelGrid
from loopwright.circuits import TunedArray
from loopwright.imaging import ImageQuality

__all__ = ["AcceleratedImages", "Images", "images_of"]

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceleratedImages:
    """One acceleration over the voxels of the region that it images; g is infinite where voxels cannot be unfolded.

    ``outer_snr_median`` and ``centre_snr`` are those of the accelerated image.
    """

    g_mean: float
    g_percentile_95: float
    g_largest: float
    inverse_g_mean: float
    inverse_g_percentile_5: float
    outer_snr_median: float
    centre_snr: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Images:
    """SNR of the optimum combination (sensitivity where SNR is not known), and the elements' losses.

    Attributes
    ----------
    outer_snr_median : float
        Over the outer layer of the region.
    centre_snr : float
        Mean over the ball about the region's centroid.
    region_snr_median, region_snr_percentile_5 : float
        Over the region.
    body_resistance_ohm : float
        Median over the elements. [ohm]
    quality_unloaded, quality_loaded : float
        Medians over the elements.
    snr_retained : float
        sqrt(1 - QL / QU), the least of the elements.
    coupling_largest : float
        Size of the largest coupling coefficient.
    region_voxels, outer_voxels, centre_voxels : int
    accelerations : tuple of AcceleratedImages
        In the order of the brief.
    """

    outer_snr_median: float
    centre_snr: float
    region_snr_median: float
    region_snr_percentile_5: float
    body_resistance_ohm: float
    quality_unloaded: float
    quality_loaded: float
    snr_retained: float
    coupling_largest: float
    region_voxels: int
    outer_voxels: int
    centre_voxels: int
    accelerations: tuple[AcceleratedImages, ...]


def images_of(
    quality: ImageQuality, array: TunedArray, *, grid: VoxelGrid, outer_layer_m: float, centre_radius_m: float
) -> Images:
    """Reduce maps and network to figures.

    Parameters
    ----------
    quality : ImageQuality
        Maps on the grid.
    array : TunedArray
        The tuned array.
    grid : VoxelGrid
        Grid of the maps.
    outer_layer_m, centre_radius_m : float
        What counts as outer and as centre. [m]
    """
    snr = quality.sensitivity_t_per_a_sqrt_ohm if quality.snr is None else quality.snr
    region = quality.region_mask
    outer = outer_of(region, spacing_m=grid.spacing_m, layer_m=outer_layer_m)
    centre = centre_of(region, grid.centre_points_m(), radius_m=centre_radius_m)
    off = np.abs(array.coupling[~np.eye(len(array.coupling), dtype=np.bool_)])
    return Images(
        outer_snr_median=float(np.median(snr[outer])),
        centre_snr=float(np.mean(snr[centre])),
        region_snr_median=float(np.median(snr[region])),
        region_snr_percentile_5=float(np.percentile(snr[region], 5)),
        body_resistance_ohm=float(np.median([element.body_ohm for element in array.elements])),
        quality_unloaded=float(np.median([element.q_unloaded for element in array.elements])),
        quality_loaded=float(np.median([element.q_loaded for element in array.elements])),
        snr_retained=min(element.snr_retained for element in array.elements),
        coupling_largest=float(off.max(initial=0.0)),
        region_voxels=int(region.sum()),
        outer_voxels=int(outer.sum()),
        centre_voxels=int(centre.sum()),
        accelerations=tuple(
            _accelerated(found.inverse_g, snr / np.sqrt(found.reduction), region, outer, centre)
            for found in quality.accelerations
        ),
    )


def outer_of(region: Mask, *, spacing_m: float, layer_m: float) -> Mask:
    """Voxels of a region (x, y, z) whose centre lies within a layer [m] below its own edge, voxels of [m].

    The edge counts half a voxel outside the centres of the outermost voxels.
    """
    to_edge_m = distance_transform_edt(np.pad(region, 1), sampling=spacing_m)[1:-1, 1:-1, 1:-1] - spacing_m / 2
    return np.asarray(region & (to_edge_m <= layer_m))


def centre_of(region: Mask, points_m: Real, *, radius_m: float) -> Mask:
    """Voxels of a region (x, y, z) within a radius [m] of its centroid, centres (x, y, z, 3) [m]; the nearest at least.

    The centroid of a region of an odd form may lie outside of it; its nearest voxels count then.
    """
    away_m = np.linalg.norm(points_m - points_m[region].mean(axis=0), axis=-1)
    away_m = np.where(region, away_m, np.inf)
    return np.asarray(away_m <= max(radius_m, float(away_m.min()) * (1 + 1e-9)))


def _accelerated(inverse_g: Real, snr: Real, region: Mask, outer: Mask, centre: Mask) -> AcceleratedImages:
    """Figures from 1/g and the SNR (x, y, z) that the shorter sampling alone would leave."""
    imaged = np.isfinite(inverse_g)
    own = inverse_g[region & imaged]
    with np.errstate(divide="ignore"):
        g = 1 / own
        worst = np.percentile(g, 95) if np.isfinite(g).all() else 1 / np.percentile(own, 5)
    left = snr * inverse_g
    return AcceleratedImages(
        g_mean=float(g.mean()),
        g_percentile_95=float(worst),
        g_largest=float(g.max()),
        inverse_g_mean=float(own.mean()),
        inverse_g_percentile_5=float(np.percentile(own, 5)),
        outer_snr_median=_over(left, outer & imaged, np.median),
        centre_snr=_over(left, centre & imaged, np.mean),
    )


def _over(values: Real, where: Mask, statistic: object) -> float:
    return float(statistic(values[where])) if where.any() else float("nan")  # type: ignore[operator]
