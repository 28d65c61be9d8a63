"""Percentiles of maps in a region, and a map against depth below the skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.dossier.evidence import ElementLine, MapSet, ScalarMap
from loopwright.dossier.numbers import printed, printed_position

__all__ = [
    "Centre",
    "DepthProfile",
    "RegionStatistics",
    "WeakestVoxel",
    "at_centre",
    "depth_profile",
    "in_a_sentence",
    "reciprocal",
    "region_statistics",
    "weakest_voxel",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionStatistics:
    """How a map is distributed over the voxels of the region."""

    voxels: int
    least: float
    percentile_5: float
    median: float
    percentile_95: float
    largest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthProfile:
    """A map in shells of equal depth below the skin; every array has shape (shells,)."""

    depth_m: NDArray[np.float64]
    percentile_10: NDArray[np.float64]
    median: NDArray[np.float64]
    percentile_90: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Centre:
    """The value of a map in the middle of the region, and the centre of the voxel it was read in. [m]"""

    value: float
    at_m: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeakestVoxel:
    """The voxel of the region with the least value: its centre [m], its depth below the skin [m], its tissue."""

    value: float
    at_m: tuple[float, float, float]
    depth_m: float
    tissue: str

    @property
    def place(self) -> str:
        """Where it lies, as the dossier prints it."""
        within = f", in {in_a_sentence(self.tissue)}" if self.tissue else ""
        return f"{printed_position(self.at_m)}, {printed(self.depth_m, 'm', digits=2)} deep{within}"


def in_a_sentence(tissue: str) -> str:
    """Return the name of a tissue as it stands inside a sentence.

    >>> in_a_sentence("Muscle"), in_a_sentence("PVP gel")
    ('muscle', 'PVP gel')
    """
    return tissue[:1].lower() + tissue[1:] if tissue[1:2].islower() else tissue


def weakest_voxel(scalar: ScalarMap, maps: MapSet) -> WeakestVoxel | None:
    """Return the voxel of the region with the least value of a map; None for a map without values there."""
    values = np.where(maps.region & np.isfinite(scalar.values), scalar.values, np.inf)
    i, j, k = (int(n) for n in np.unravel_index(int(np.argmin(values)), values.shape))
    if not np.isfinite(values[i, j, k]):
        return None
    number = int(maps.tissue[i, j, k])
    return WeakestVoxel(
        value=float(values[i, j, k]),
        at_m=(float(maps.x_m[i]), float(maps.y_m[j]), float(maps.z_m[k])),
        depth_m=float(maps.depth_m[i, j, k]),
        tissue=maps.tissue_names[number] if number >= 0 else "",
    )


def at_centre(scalar: ScalarMap, maps: MapSet) -> Centre | None:
    """Return a map in the voxel of the region that lies nearest the region's centroid; None for an empty region."""
    voxels = np.argwhere(maps.region & np.isfinite(scalar.values))
    if voxels.size == 0:
        return None
    axes = (maps.x_m, maps.y_m, maps.z_m)
    centroid = [axis[index].mean() for axis, index in zip(axes, np.nonzero(maps.region), strict=True)]
    points = np.column_stack([axis[index] for axis, index in zip(axes, voxels.T, strict=True)])
    i, j, k = voxels[int(np.argmin(np.linalg.norm(points - centroid, axis=1)))]
    return Centre(
        value=float(scalar.values[i, j, k]), at_m=(float(maps.x_m[i]), float(maps.y_m[j]), float(maps.z_m[k]))
    )


def reciprocal(inverse_g: float) -> float:
    """Return g from 1/g, infinite where a voxel cannot be unfolded."""
    return 1 / inverse_g if inverse_g != 0 else float("inf")


def region_statistics(scalar: ScalarMap, maps: MapSet) -> RegionStatistics:
    """Return the distribution of a map over the region; voxels without a value are left out."""
    values = scalar.values[maps.region]
    values = values[np.isfinite(values)]
    if values.size == 0:
        nothing = float("nan")
        return RegionStatistics(
            voxels=0, least=nothing, percentile_5=nothing, median=nothing, percentile_95=nothing, largest=nothing
        )
    least, p5, median, p95, largest = np.percentile(values, [0, 5, 50, 95, 100])
    return RegionStatistics(
        voxels=int(values.size),
        least=float(least),
        percentile_5=float(p5),
        median=float(median),
        percentile_95=float(p95),
        largest=float(largest),
    )


def share_beyond_elements(maps: MapSet, elements: tuple[ElementLine, ...]) -> float:
    """Share of the region's voxels that lie further from every element's centre than their depth and its size together.

    Such a voxel, on the far side of a body or beside a patch, is not below the array, whatever its depth.
    """
    places = np.nonzero(maps.region)
    points = np.column_stack([axis[index] for axis, index in zip((maps.x_m, maps.y_m, maps.z_m), places, strict=True)])
    beyond = np.ones(len(points), dtype=np.bool_)
    for element in elements:
        distance_m = np.linalg.norm(points - np.array(element.centre_m), axis=1)
        beyond &= distance_m > maps.depth_m[places] + element.size_m
    return float(beyond.mean()) if beyond.size else 0.0


def depth_profile(scalar: ScalarMap, maps: MapSet) -> DepthProfile:
    """Return a map in shells one voxel thick, from the skin to the deepest voxel of the region.

    Shells with fewer than eight voxels are left out: their percentiles would mean nothing.
    """
    step = float(maps.x_m[1] - maps.x_m[0])
    inside = maps.region & np.isfinite(scalar.values)
    shell = np.floor(maps.depth_m[inside] / step).astype(int)
    values = scalar.values[inside]
    members = [values[shell == n] for n in range(shell.max() + 1)] if shell.size else []
    kept = [(n, v) for n, v in enumerate(members) if v.size >= 8]
    quantiles = np.array([np.percentile(v, [10, 50, 90]) for _, v in kept], dtype=np.float64).reshape(-1, 3)
    return DepthProfile(
        depth_m=np.array([(n + 0.5) * step for n, _ in kept]),
        percentile_10=quantiles[:, 0],
        median=quantiles[:, 1],
        percentile_90=quantiles[:, 2],
    )
