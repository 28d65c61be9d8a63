"""From the figures of all designs to what they say together."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief import PlannedDesign, RefusedDesign
from loopwright.designs.figures import DesignFigures
from loopwright.designs.optimum import optimum_size_m

__all__ = ["CLOSE", "Comparison", "DepthVerdict", "DesignResult", "SizeRow", "compare"]

Real = NDArray[np.float64]

#: Designs within this part of the best are told beside it: less than the spread between two coils of one drawing.
CLOSE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignResult:
    """One design: what was planned, its figures, and the medians at the depths on the coarser grid."""

    planned: PlannedDesign
    figures: DesignFigures
    coarse_median: tuple[float, ...]

    @property
    def name(self) -> str:
        """Name of the design."""
        return self.planned.name


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthVerdict:
    """What one depth prefers.

    Attributes
    ----------
    depth_m : float
        [m]
    best : int
        Index of the design with the highest median SNR.
    ratio : ndarray, shape (designs,)
        Median SNR of each over that of the best.
    ratio_change : ndarray, shape (designs,)
        Size of the change of that ratio between the two grids: how well it is known.
    close : tuple of int
        Designs other than the best whose ratio, with its change, reaches 0.95; best first.
    size_at_edge : str
        ``smallest`` or ``largest`` where the best design has the least or the greatest of several sizes, else empty.
    """

    depth_m: float
    best: int
    ratio: Real
    ratio_change: Real
    close: tuple[int, ...]
    size_at_edge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """Designs that differ in size only, from the smallest to the largest, and the best size between them by depth."""

    others: tuple[tuple[str, str], ...]
    designs: tuple[int, ...]
    sizes_m: Real
    optimum_m: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All designs and what they say together.

    Attributes
    ----------
    results : tuple of DesignResult
    refused : tuple of RefusedDesign
    depths : tuple of DepthVerdict
    rows : tuple of SizeRow
    beaten_by : tuple of int or None
        For each design another one that is at least as good in everything and better in something.
    quantity, unit : str
        ``SNR`` and ``1``, or ``sensitivity`` and its unit where SNR is not known.
    profile_depth_m : ndarray, shape (depths of the profile,)
        [m]
    voxel_m, coarse_voxel_m : float
        Voxels of the two grids. [m]
    judged : tuple of int
        Number of points at each depth.
    """

    results: tuple[DesignResult, ...]
    refused: tuple[RefusedDesign, ...]
    depths: tuple[DepthVerdict, ...]
    rows: tuple[SizeRow, ...]
    beaten_by: tuple[int | None, ...]
    quantity: str
    unit: str
    profile_depth_m: Real
    voxel_m: float
    coarse_voxel_m: float
    judged: tuple[int, ...]


def compare(
    results: tuple[DesignResult, ...],
    refused: tuple[RefusedDesign, ...],
    *,
    quantity: str,
    unit: str,
    profile_depth_m: Real,
    voxel_m: float,
    coarse_voxel_m: float,
    judged: tuple[int, ...],
) -> Comparison:
    """Compare designs by their figures.

    Parameters
    ----------
    results : tuple of DesignResult
        At least one.
    refused : tuple of RefusedDesign
        Combinations that could not be.
    quantity, unit : str
        What the figures at the depths are.
    profile_depth_m : ndarray, shape (depths of the profile,)
        Depths of the profiles. [m]
    voxel_m, coarse_voxel_m : float
        Voxels of the two grids. [m]
    judged : tuple of int
        Number of points at each depth.
    """
    rows = _size_rows(results)
    return Comparison(
        results=results,
        refused=refused,
        depths=tuple(_verdict(number, results) for number in range(len(results[0].figures.depths))),
        rows=rows,
        beaten_by=_beaten_by(results),
        quantity=quantity,
        unit=unit,
        profile_depth_m=profile_depth_m,
        voxel_m=voxel_m,
        coarse_voxel_m=coarse_voxel_m,
        judged=judged,
    )


def _verdict(number: int, results: tuple[DesignResult, ...]) -> DepthVerdict:
    fine = np.array([result.figures.depths[number].median for result in results])
    coarse = np.array([result.coarse_median[number] for result in results])
    best = int(np.argmax(fine))
    ratio = fine / fine[best]
    change = np.abs(ratio - coarse / coarse[best])
    order = [int(index) for index in np.argsort(-ratio, kind="stable") if index != best]
    sizes = np.array([result.figures.size_m for result in results])
    return DepthVerdict(
        depth_m=results[0].figures.depths[number].depth_m,
        best=best,
        ratio=ratio,
        ratio_change=change,
        close=tuple(index for index in order if ratio[index] + change[index] >= 1 - CLOSE),
        size_at_edge=_edge(float(sizes[best]), sizes),
    )


def _edge(size_m: float, sizes_m: Real) -> str:
    if np.ptp(sizes_m) < 1e-3 * sizes_m.max():
        return ""
    return "smallest" if size_m <= sizes_m.min() else "largest" if size_m >= sizes_m.max() else ""


def _size_rows(results: tuple[DesignResult, ...]) -> tuple[SizeRow, ...]:
    """Group designs by everything but size; where an overlap is varied in its stead, by everything but the overlap."""
    groups: dict[tuple[tuple[str, str], ...], list[int]] = {}
    for index, result in enumerate(results):
        others = tuple(choice for choice in result.planned.choices if choice[0] not in _makes_size(result))
        groups.setdefault(others, []).append(index)
    rows = []
    for others, members in groups.items():
        ordered = sorted(members, key=lambda index: results[index].figures.size_m)
        sizes = np.array([results[index].figures.size_m for index in ordered])
        medians = np.array([[at.median for at in results[index].figures.depths] for index in ordered])
        rows.append(
            SizeRow(
                others=others,
                designs=tuple(ordered),
                sizes_m=sizes,
                optimum_m=tuple(optimum_size_m(sizes, at_depth) for at_depth in medians.T),
            )
        )
    return tuple(rows)


def _makes_size(result: DesignResult) -> tuple[str, ...]:
    tiling = result.planned.brief.array.tiling
    return ("size", "overlap") if tiling is not None and tiling.span == "whole" else ("size",)


def _beaten_by(results: tuple[DesignResult, ...]) -> tuple[int | None, ...]:
    merits = np.array([_merits(result.figures) for result in results])
    masses = [result.figures.conductor_mass_kg for result in results]
    lightness = [[-mass] for mass in masses if mass is not None]
    if len(lightness) == len(results):  # where one is not known, mass decides nothing
        merits = np.hstack([merits, lightness])
    found: list[int | None] = []
    for own in merits:
        winners = np.flatnonzero(np.all(merits >= own, axis=1) & np.any(merits > own, axis=1))
        # Of several the one with the most SNR at the first depth, so that the answer does not hang on the order.
        found.append(int(winners[np.argmax(merits[winners, 0])]) if winners.size else None)
    return tuple(found)


def _merits(figures: DesignFigures) -> tuple[float, ...]:
    """What counts for a design, more is better: SNR at each depth, and with each acceleration, and fewer elements."""
    return (
        *(at.median for at in figures.depths),
        *(value for at in figures.depths for value in at.accelerated_median),
        -figures.element_count,
    )
