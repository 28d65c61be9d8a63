"""Designs that differ in size only: the best size between those tried, and whether it lies at the edge of them."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loopwright.brief import PlannedDesign, RefusedDesign
from loopwright.designs.optimum import optimum_size_m
from loopwright.ground.units import si_value

__all__ = ["Optimum", "SizeEdge", "SizeRow", "edge_of", "optimum_between", "size_makers"]

Real = NDArray[np.float64]
Choices = tuple[tuple[str, str], ...]

#: Part by which the parabola may miss the top by itself (tested on a loop before a half-space).
_PARABOLA = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Optimum:
    """Best size between those tried, and how well it is known: change between the grids, 2 % at least. [m]"""

    size_m: float
    change_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRow:
    """Designs that differ in size only, from the smallest to the largest, and the best size between them by depth.

    ``optima`` are None where the best size lies at the edge, or is known no better than to the next size.
    """

    others: Choices
    designs: tuple[int, ...]
    sizes_m: Real
    optima: tuple[Optimum | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeEdge:
    """The best design has the smallest or the largest elements of its row; ``refused`` names those beyond it."""

    which: Literal["smallest", "largest"]
    refused: tuple[str, ...]


def optimum_between(sizes_m: Real, fine: Real, coarse: Real) -> Optimum | None:
    """Best size of a row at one depth.

    Parameters
    ----------
    sizes_m : ndarray, shape (sizes,)
        Sizes from the smallest to the largest. [m]
    fine, coarse : ndarray, shape (sizes,)
        What each gave on the two grids.

    Returns
    -------
    Optimum or None
        None where either grid has its best at the edge, or they differ by more than the way to the next size.
    """
    size_m, other_m = optimum_size_m(sizes_m, fine), optimum_size_m(sizes_m, coarse)
    if size_m is None or other_m is None:
        return None
    best = int(np.argmax(fine))
    spacing_m = float(np.diff(sizes_m)[best - 1 : best + 1].min())
    change_m = max(abs(size_m - other_m), _PARABOLA * size_m)
    return Optimum(size_m=size_m, change_m=change_m) if change_m <= spacing_m else None


def edge_of(best: int, row: SizeRow, planned: PlannedDesign, refused: tuple[RefusedDesign, ...]) -> SizeEdge | None:
    """Say whether the best design has the smallest or the largest elements of its row.

    Parameters
    ----------
    best : int
        Index of the best design.
    row : SizeRow
        The row that it belongs to.
    planned : PlannedDesign
        What was planned for it.
    refused : tuple of RefusedDesign
        Combinations that were refused; those of the row that lie beyond the edge are named.

    Returns
    -------
    SizeEdge or None
        None where the row has one size only, or both smaller and larger ones than the best.
    """
    at, makers = row.designs.index(best), size_makers(planned)
    if np.ptp(row.sizes_m) < 1e-3 * row.sizes_m.max() or 0 < at < len(row.designs) - 1:
        return None
    sign = -1 if at == 0 else 1
    own = _order(planned.choices)
    beyond = [
        one.name
        for one in refused
        if tuple(choice for choice in one.choices if choice[0] not in makers) == row.others
        and sign * (_order(one.choices) - own) > 0
    ]
    return SizeEdge(which="smallest" if at == 0 else "largest", refused=tuple(beyond))


def size_makers(planned: PlannedDesign) -> tuple[str, ...]:
    """Keys that set the size: round a whole span an overlap does so as well."""
    tiling = planned.brief.array.tiling
    return ("size", "overlap") if tiling is not None and tiling.span == "whole" else ("size",)


def _order(choices: Choices) -> float:
    """Grows with the size that was chosen; round a whole span a greater distance over the size is a smaller size."""
    chosen = dict(choices)
    if "size" in chosen:
        return si_value(chosen["size"], "m")
    return -float(chosen.get("overlap", "0"))
