"""What one design is worth: its figures at the depths, under acceleration, and as a coil."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.brief.records import ConductorRequest
from loopwright.circuits import TunedArray
from loopwright.conductors import DressedLayout
from loopwright.designs.depths import JudgedPoints, axis_points_m, known_at, sampled_at
from loopwright.designs.mass import conductor_length_m, conductor_mass_kg
from loopwright.imaging import AcceleratedQuality, ImageQuality
from loopwright.layouts import Layout

__all__ = ["AcceleratedFigures", "DepthFigures", "DesignFigures", "figures_of"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthFigures:
    """SNR of the optimum combination at one depth, over the judged points; sensitivity where SNR is not known.

    Attributes
    ----------
    depth_m : float
        [m]
    percentile_5, median, percentile_95 : float
        Over the judged points of the region.
    under_elements : float or None
        Mean over the elements, each on its own axis at this depth; None where no axis reaches it.
    accelerated_median : tuple of float
        Median under each acceleration, in their order, over the points that it images; NaN where it images none.
    accelerated_points : tuple of int
        Number of these points.
    """

    depth_m: float
    percentile_5: float
    median: float
    percentile_95: float
    under_elements: float | None
    accelerated_median: tuple[float, ...]
    accelerated_points: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceleratedFigures:
    """One acceleration over the voxels of the region that it images, which are all but for simultaneous slices.

    ``judged_share`` is their part of the region [1]; ``g_largest`` is infinite where voxels cannot be unfolded.
    """

    name: str
    judged_share: float
    g_mean: float
    g_largest: float
    snr_mean: float
    snr_percentile_5: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignFigures:
    """All figures of one design on one grid.

    Attributes
    ----------
    depths : tuple of DepthFigures
    profile : ndarray, shape (depths of the profile,)
        Median SNR over the judged points of a finer row of depths.
    accelerations : tuple of AcceleratedFigures
    element_count : int
    size_m : float
        Mean size of the elements. [m]
    array_height_m : float
        How far the array reaches along z. [m]
    centres_past_ends : int
        Elements whose centre lies beside the cut ends of a column, where nothing loads them.
    conductor_length_m : float
        [m]
    conductor_mass_kg : float or None
        [kg]
    coil_noise_share_mean, coil_noise_share_largest : float
        Part of an element's noise power that is not the body's, over the elements.
    quality_unloaded, quality_loaded : float
        Medians over the elements.
    coupling_largest : float
        Size of the largest coupling coefficient between two elements; 0 for one element.
    """

    depths: tuple[DepthFigures, ...]
    profile: Real
    accelerations: tuple[AcceleratedFigures, ...]
    element_count: int
    size_m: float
    array_height_m: float
    centres_past_ends: int
    conductor_length_m: float
    conductor_mass_kg: float | None
    coil_noise_share_mean: float
    coil_noise_share_largest: float
    quality_unloaded: float
    quality_loaded: float
    coupling_largest: float


def figures_of(
    quality: ImageQuality,
    array: TunedArray,
    *,
    body: Body,
    dressed: DressedLayout,
    conductor: ConductorRequest,
    judged: tuple[JudgedPoints, ...],
    profile: tuple[JudgedPoints, ...] = (),
) -> DesignFigures:
    """Reduce a design's maps and network to its figures.

    Parameters
    ----------
    quality : ImageQuality
        Maps on the grid of the body.
    array : TunedArray
        The tuned array.
    body : Body
        The body on that grid.
    dressed : DressedLayout
        Layout and conductor.
    conductor : ConductorRequest
        The conductor of the brief.
    judged, profile : tuple of JudgedPoints
        Points at each depth asked for, and at those of the profile.
    """
    snr = _snr_map(quality)
    length_m = conductor_length_m(dressed.layout)
    shares = _coil_noise_shares(array)
    under = _under_elements(snr, body, dressed.layout, np.array([at.depth_m for at in judged]))
    return DesignFigures(
        depths=tuple(_at_depth(at, snr, quality, body, own) for at, own in zip(judged, under, strict=True)),
        profile=np.array([np.median(_read(at.points_m, snr, body)) for at in profile]),
        accelerations=tuple(_accelerated(found, snr, quality) for found in quality.accelerations),
        element_count=len(dressed.layout.elements),
        size_m=float(np.mean([element.size_m for element in dressed.layout.elements])),
        array_height_m=dressed.layout.height_m,
        centres_past_ends=dressed.layout.centres_past_ends,
        conductor_length_m=length_m,
        conductor_mass_kg=conductor_mass_kg(conductor, dressed.cross_section, length_m=length_m),
        coil_noise_share_mean=float(shares.mean()),
        coil_noise_share_largest=float(shares.max()),
        quality_unloaded=float(np.median([element.q_unloaded for element in array.elements])),
        quality_loaded=float(np.median([element.q_loaded for element in array.elements])),
        coupling_largest=_largest_coupling(array.coupling),
    )


def _snr_map(quality: ImageQuality) -> Real:
    """Absolute SNR where it is known, else sensitivity."""
    return quality.sensitivity_t_per_a_sqrt_ohm if quality.snr is None else quality.snr


def _read(points_m: Real, snr: Real, body: Body) -> Real:
    """SNR at points; between voxels its logarithm is trilinear, for it falls nearly exponentially with depth."""
    with np.errstate(divide="ignore"):
        logarithm = np.where(snr > 0, np.log(snr), np.nan)
    return np.asarray(np.exp(sampled_at(points_m, logarithm, grid=body.grid)))


def _at_depth(at: JudgedPoints, snr: Real, quality: ImageQuality, body: Body, under: float | None) -> DepthFigures:
    values = _read(at.points_m, snr, body)
    low, middle, high = np.nanpercentile(values, [5, 50, 95])
    imaged = [known_at(at.points_m, found.inverse_g, grid=body.grid) for found in quality.accelerations]
    accelerated = [
        _accelerated_median(at.points_m[here], values[here], found, body)
        for here, found in zip(imaged, quality.accelerations, strict=True)
    ]
    return DepthFigures(
        depth_m=at.depth_m,
        percentile_5=float(low),
        median=float(middle),
        percentile_95=float(high),
        under_elements=under,
        accelerated_median=tuple(accelerated),
        accelerated_points=tuple(int(here.sum()) for here in imaged),
    )


def _accelerated_median(points_m: Real, snr: Real, found: AcceleratedQuality, body: Body) -> float:
    """Median of SNR (n,) at points (n, 3) [m] times 1/g over the root of the reduction; NaN without points."""
    if not len(points_m):
        return float("nan")
    inverse_g = sampled_at(points_m, found.inverse_g, grid=body.grid)
    return float(np.nanmedian(snr * inverse_g / np.sqrt(found.reduction)))


def _under_elements(snr: Real, body: Body, layout: Layout, depths_m: Real) -> list[float | None]:
    """Mean over the elements of SNR on their own axes, for each depth; None where no axis reaches it."""
    points = np.stack(
        [axis_points_m(np.array(e.centre_m), np.array(e.normal), depths_m, body=body) for e in layout.elements]
    )
    found: list[float | None] = []
    for at in np.moveaxis(points, 1, 0):
        reached = at[np.isfinite(at[:, 0])]
        values = _read(reached, snr, body) if len(reached) else np.array([np.nan])
        found.append(float(np.nanmean(values)) if np.isfinite(values).any() else None)
    return found


def _accelerated(found: AcceleratedQuality, snr: Real, quality: ImageQuality) -> AcceleratedFigures:
    imaged = quality.region_mask & np.isfinite(found.inverse_g)
    left = (snr * found.inverse_g / np.sqrt(found.reduction))[imaged]
    least = found.inverse_g_in_region.minimum
    return AcceleratedFigures(
        name=found.request.name,
        judged_share=float(imaged.sum() / quality.region_mask.sum()),
        g_mean=found.mean_g_in_region,
        g_largest=1 / least if least > 0 else float("inf"),
        snr_mean=float(left.mean()),
        snr_percentile_5=float(np.percentile(left, 5)),
    )


def _coil_noise_shares(array: TunedArray) -> Real:
    """One minus the body's noise power over all of it, for each element port, each cause at its own temperature."""
    body = array.temperatures.body_temperature_k * np.diagonal(array.resistances.body_ohm).real
    return np.asarray(1 - body / np.diagonal(array.weighted_resistance_k_ohm).real)


def _largest_coupling(coupling: Real) -> float:
    off = np.abs(coupling[~np.eye(len(coupling), dtype=np.bool_)])
    return float(off.max(initial=0.0))
