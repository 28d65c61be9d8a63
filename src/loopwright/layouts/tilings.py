"""From a tiling that is asked for to the feet of its elements on the skin, and their size."""

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.crossings import nearest_ring
from loopwright.layouts.skins import ColumnSkin, EllipsoidSkin, Feet, Skin
from loopwright.layouts.spreads import lattice_m, most_even_rows, ring_lattice_m, spread_directions

Real = NDArray[np.float64]

#: A patch on a closed surface is laid out from its middle; beyond this turn rows run together behind the body.
_WIDEST_PATCH_RAD = 0.75 * pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """Feet of the elements, the size of each, and what was chosen, in sentences. [m]"""

    feet: Feet
    size_m: float
    notes: tuple[str, ...]


def tiling_on(skin: Skin, request: TilingRequest) -> Tiling:
    """Feet and size of a tiling on a skin.

    Raises
    ------
    OutsideModelError
        If count, rows, size and overlap do not go together on this skin.
    """
    if request.span == "patch":
        return _patch(skin, request)
    match skin:
        case ColumnSkin():
            return _rings(skin, request)
        case EllipsoidSkin():
            return _closed_cover(skin, request)


def _patch(skin: Skin, request: TilingRequest) -> Tiling:
    """Rows and columns about the facing direction."""
    if request.size_m is None or request.overlap is None:
        raise OutsideModelError("a patch needs both size and overlap: nothing else fixes the distance of its elements.")
    rows = request.rows or most_even_rows(request.count)
    columns = _columns(request, rows)
    pitch = request.overlap * request.size_m
    flat = lattice_m(request.pattern, rows=rows, columns=columns, pitch_m=pitch)
    _check_patch_fits(skin, request, flat, width_m=(columns - 1) * pitch + request.size_m)
    middle = skin.feet_towards(np.array([request.facing]))
    return Tiling(
        feet=skin.walked(middle, flat, stand_off_m=request.stand_off_m),
        size_m=request.size_m,
        notes=(f"{_what(request, request.size_m)}, a {request.pattern} patch of {rows} by {columns}.",),
    )


def _rings(skin: ColumnSkin, request: TilingRequest) -> Tiling:
    """Rows that close round a column, the first element of the lowest row towards the facing direction."""
    round_m = skin.circumference_m(stand_off_m=request.stand_off_m)
    rows = request.rows or _most_rows_that_fit(skin, request, round_m)
    columns = _columns(request, rows)
    pitch = round_m / columns
    size = _size_m(request, pitch)
    if size >= 0.95 * round_m:
        raise OutsideModelError(
            f"an element of {size * 1e3:.1f} mm would meet itself round a body of {round_m * 1e3:.1f} mm. "
            "Use more columns, or a smaller size."
        )
    flat = ring_lattice_m(request.pattern, rows=rows, columns=columns, pitch_m=pitch)
    first = skin.feet_towards(np.array([request.facing]))
    return Tiling(
        feet=skin.walked(first, flat, stand_off_m=request.stand_off_m),
        size_m=size,
        notes=(
            f"{_what(request, size)}, in {rows} {request.pattern} rows of {columns} that close round the body.",
            f"Round the body at the stand-off {round_m * 1e3:.1f} mm, {pitch * 1e3:.1f} mm for each element.",
        ),
    )


def _closed_cover(skin: EllipsoidSkin, request: TilingRequest) -> Tiling:
    """Centres spread evenly over the whole closed surface."""
    if request.rows is not None:
        raise OutsideModelError("a closed surface is covered without rows. Leave rows out, or ask for a patch.")
    if request.count == 1:
        return _single(skin, request)
    feet = skin.feet_towards(spread_directions(request.count, semi_axes_m=skin.semi_axes_m))
    size = _size_m(request, mean_nearest_distance_m(skin, feet, stand_off_m=request.stand_off_m))
    return Tiling(
        feet=feet,
        size_m=size,
        notes=(
            f"{_what(request, size)}, spread evenly over the closed surface, on which no regular pattern closes.",
            "Overlap is taken as the mean distance to the nearest centre, along the surface, over the size.",
        ),
    )


def _single(skin: EllipsoidSkin, request: TilingRequest) -> Tiling:
    """One element towards the facing direction."""
    size = _size_m(request, np.inf)
    return Tiling(feet=skin.feet_towards(np.array([request.facing])), size_m=size, notes=(f"{_what(request, size)}.",))


def mean_nearest_distance_m(skin: Skin, feet: Feet, *, stand_off_m: float) -> float:
    """Mean over the elements of the distance to the nearest centre along the surface; infinite for a single one. [m]"""
    pairs = np.array(nearest_ring(feet.points_m), dtype=np.int64).reshape(-1, 2)
    distances = skin.distances_m(feet, pairs, stand_off_m=stand_off_m)
    nearest = np.full(len(feet.points_m), np.inf)
    for side in (0, 1):
        np.minimum.at(nearest, pairs[:, side], distances)
    return float(nearest.mean())


def _size_m(request: TilingRequest, distance_m: float) -> float:
    """Size of an element where the distance of neighbours is given by the surface. [m]"""
    if (request.size_m is None) == (request.overlap is None):
        raise OutsideModelError("a tiling that covers the whole body needs either size or overlap: the other follows.")
    size = distance_m / request.overlap if request.overlap is not None else request.size_m
    if size is None or not np.isfinite(size):
        raise OutsideModelError("a single element has no neighbour to overlap. Give its size.")
    return size


def _columns(request: TilingRequest, rows: int) -> int:
    if request.count % rows:
        raise OutsideModelError(
            f"{request.count} elements do not fill {rows} equal rows. Choose a count that is a multiple of the rows."
        )
    return request.count // rows


def _most_rows_that_fit(skin: ColumnSkin, request: TilingRequest, round_m: float) -> int:
    """Greatest divisor of the count whose rows stay between the ends of the column; one where none does."""
    rise = sqrt(3) / 2 if request.pattern == "hexagonal" else 1.0
    fitting = [1]
    for rows in range(1, request.count + 1):
        if request.count % rows == 0:
            pitch = round_m / (request.count // rows)
            if (rows - 1) * rise * pitch + _size_m(request, pitch) <= skin.height_m:
                fitting.append(rows)
    return max(fitting)


def _check_patch_fits(skin: Skin, request: TilingRequest, flat_m: Real, *, width_m: float) -> None:
    match skin:
        case ColumnSkin():
            room = skin.circumference_m(stand_off_m=request.stand_off_m)
            asked = width_m
        case EllipsoidSkin(semi_axes_m=semi_axes):
            room = _WIDEST_PATCH_RAD * (min(semi_axes) + request.stand_off_m)
            asked = float(np.linalg.norm(flat_m, axis=1).max())
    if asked > room:
        raise OutsideModelError(
            f"the patch runs {asked * 1e3:.0f} mm along the surface, where there is room for {room * 1e3:.0f} mm. "
            "Use fewer or smaller elements, more rows, or let the tiling cover the whole body."
        )


def _what(request: TilingRequest, size_m: float) -> str:
    noun = request.shape if request.count == 1 else f"{request.shape}s"
    measure = {"circle": "diameter", "square": "side"}[request.shape]
    return f"{request.count} {noun}, {measure} {size_m * 1e3:.1f} mm"
