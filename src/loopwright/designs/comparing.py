"""From the figures of all designs to what they say together."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief import PlannedDesign, RefusedDesign
from loopwright.designs.beating import Beating, beating
from loopwright.designs.excitation import CommonExcitation
from loopwright.designs.figures import DesignFigures
from loopwright.designs.sizes import SizeEdge, SizeRow, edge_of, optimum_between, size_makers

__all__ = ["CLOSE", "LEVEL", "Comparison", "DepthVerdict", "DesignResult", "compare"]

Real = NDArray[np.float64]

#: Designs within this part of the best are told beside it: less than the spread between two coils of one drawing.
CLOSE = 0.05

#: Designs within this part of the best are as good: two maps of one coil differ by more (common practice).
LEVEL = 0.01


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
    level : tuple of int
        Those of them whose ratio, to a tenth of a per cent, reaches 0.99.
    lightest : int or None
        Index of the design with the least conductor of the best and its level ones; None where a mass is not known or
        nothing is level.
    edge : SizeEdge or None
        Where the best design has the smallest or largest elements of the designs that differ from it in size only.
    """

    depth_m: float
    best: int
    ratio: Real
    ratio_change: Real
    close: tuple[int, ...]
    level: tuple[int, ...]
    lightest: int | None
    edge: SizeEdge | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All designs and what they say together.

    Attributes
    ----------
    results : tuple of DesignResult
    refused : tuple of RefusedDesign
    depths : tuple of DepthVerdict
    rows : tuple of SizeRow
    beating : Beating
        For each design another one that is in nothing worse and clearly better in something.
    excitation : CommonExcitation
        The current that drives the body for all designs.
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
    beating: Beating
    excitation: CommonExcitation
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
    excitation: CommonExcitation,
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
    excitation : CommonExcitation
        The current that drove the body for all of them.
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
        depths=tuple(_verdict(number, results, rows, refused) for number in range(len(results[0].figures.depths))),
        rows=rows,
        beating=beating(tuple(result.figures for result in results), tuple(result.coarse_median for result in results)),
        excitation=excitation,
        quantity=quantity,
        unit=unit,
        profile_depth_m=profile_depth_m,
        voxel_m=voxel_m,
        coarse_voxel_m=coarse_voxel_m,
        judged=judged,
    )


def _verdict(
    number: int,
    results: tuple[DesignResult, ...],
    rows: tuple[SizeRow, ...],
    refused: tuple[RefusedDesign, ...],
) -> DepthVerdict:
    fine = np.array([result.figures.depths[number].median for result in results])
    coarse = np.array([result.coarse_median[number] for result in results])
    best = int(np.argmax(fine))
    ratio = fine / fine[best]
    change = np.abs(ratio - coarse / coarse[best])
    order = [int(index) for index in np.argsort(-ratio, kind="stable") if index != best]
    level = tuple(index for index in order if round(float(ratio[index]), 3) >= 1 - LEVEL)  # as it is printed
    row = next(row for row in rows if best in row.designs)
    return DepthVerdict(
        depth_m=results[0].figures.depths[number].depth_m,
        best=best,
        ratio=ratio,
        ratio_change=change,
        close=tuple(index for index in order if ratio[index] + change[index] >= 1 - CLOSE),
        level=level,
        lightest=_lightest((best, *level), results) if level else None,
        edge=edge_of(best, row, results[best].planned, refused),
    )


def _lightest(indices: tuple[int, ...], results: tuple[DesignResult, ...]) -> int | None:
    """Design with the least conductor, the first of equals; None where a mass is not known."""
    masses = [results[index].figures.conductor_mass_kg for index in indices]
    known = [mass for mass in masses if mass is not None]
    return indices[masses.index(min(known))] if len(known) == len(masses) else None


def _size_rows(results: tuple[DesignResult, ...]) -> tuple[SizeRow, ...]:
    """Group designs by everything but size; where an overlap is varied in its stead, by everything but the overlap."""
    groups: dict[tuple[tuple[str, str], ...], list[int]] = {}
    for index, result in enumerate(results):
        others = tuple(choice for choice in result.planned.choices if choice[0] not in size_makers(result.planned))
        groups.setdefault(others, []).append(index)
    rows = []
    for others, members in groups.items():
        ordered = sorted(members, key=lambda index: results[index].figures.size_m)
        sizes = np.array([results[index].figures.size_m for index in ordered])
        fine = np.array([[at.median for at in results[index].figures.depths] for index in ordered])
        coarse = np.array([results[index].coarse_median for index in ordered])
        rows.append(
            SizeRow(
                others=others,
                designs=tuple(ordered),
                sizes_m=sizes,
                optima=tuple(optimum_between(sizes, *at_depth) for at_depth in zip(fine.T, coarse.T, strict=True)),
            )
        )
    return tuple(rows)
