"""From a tiling that is asked for to the feet of its elements on the skin, and their sizes."""

from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.cover_grounds import CoverGround
from loopwright.layouts.crossings import nearest_ring
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin, Feet
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.lattices import Lattice, PatchLattice, RingLattice, SeamedLattice, rise_over_pitch
from loopwright.layouts.mesh_skin import MeshSkin
from loopwright.layouts.outlines import reach_across
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin
from loopwright.layouts.spreads import most_even_rows
from loopwright.layouts.tiling import Tiling, what

Real = NDArray[np.float64]

#: Overlap from which a search for zero coupling starts, and which stands for it where only a rough size is needed.
NEAR_ZERO_COUPLING = {"circle": 0.76, "square": 0.9}


def tiling_on(skin: Skin, request: TilingRequest, *, segments: int, ground: CoverGround | None = None) -> Tiling:
    """Feet and sizes of a tiling on a skin; where zero coupling is asked for, those that a search for it starts from.

    ``segments`` is the least number of sides of an outline: where a seam opens the rings, it is the drawn outlines that
    keep its gap. ``ground`` is what a whole span covers without rows, where the skin has it.

    Raises
    ------
    OutsideModelError
        If count, rows, size and overlap do not go together on this skin.
    """
    if request.span == "whole" and ground is not None:
        return _cover(skin, request, ground)
    lattice = lattice_on(skin, request, segments=segments)
    return lattice.tiling(lattice.start)


def lattice_on(skin: Skin, request: TilingRequest, *, segments: int) -> Lattice:
    """Rows and columns of a patch or of rings, as a function of the distances between them.

    Raises
    ------
    OutsideModelError
        If count, rows, size and overlap do not go together on this skin.
    """
    if request.row_pitch_m is not None and (request.span == "patch" or not isinstance(skin, ColumnSkin)):
        raise OutsideModelError("only rows round a column have a row pitch of their own. Leave it out.")
    if request.span == "patch":
        return _patch(skin, request)
    if not isinstance(skin, ColumnSkin):
        raise OutsideModelError("only a body that goes round can be covered as a whole. Ask for a patch.")
    if request.seam is None:
        return _rings(skin, request)
    return _seamed(skin, request, reach_across(request.shape, segments=segments, gaps=request.gaps))


def _patch(skin: Skin, request: TilingRequest) -> PatchLattice:
    """Rows and columns about the facing direction."""
    overlap = overlap_or_start(request)
    if (request.size_m is None and request.sizes_m is None) or overlap is None:
        raise OutsideModelError("a patch needs both size and overlap: nothing else fixes the distance of its elements.")
    rows = request.rows or (len(request.sizes_m) if request.sizes_m else most_even_rows(request.count))
    sizes = np.array(request.sizes_m or (request.size_m,) * rows, dtype=float)
    if len(sizes) != rows:
        raise OutsideModelError(f"{len(sizes)} sizes are given for {rows} rows. Give one for each row.")
    lattice = PatchLattice(
        skin=skin,
        shape=request.shape,
        pattern=request.pattern,
        columns=_columns(request, rows),
        row_sizes_m=sizes,
        middle=_middle(skin, request),
        stand_off_m=request.stand_off_m,
        overlap=overlap,
    )
    _check_patch_fits(skin, request, lattice)
    return lattice


def _middle(skin: Skin, request: TilingRequest) -> Feet:
    """Foot of a patch's middle; a film that was laid for this very patch knows it."""
    match skin:
        case FilmSkin(origin=Feet() as origin):
            return origin
        case _:
            return skin.feet_towards(np.array([request.facing]))


def _rings(skin: ColumnSkin, request: TilingRequest) -> RingLattice:
    """Rows that close round a column, the first element of the lowest row towards the facing direction."""
    round_m = skin.circumference_m(stand_off_m=request.stand_off_m)
    rows = request.rows or _most_rows_that_fit(skin, request, round_m)
    columns = _columns(request, rows)
    size = _size_m(request, round_m / columns)
    if size >= 0.95 * round_m:
        raise OutsideModelError(
            f"an element of {size * 1e3:.1f} mm would meet itself round a body of {round_m * 1e3:.1f} mm. "
            "Use more columns, or a smaller size."
        )
    return RingLattice(
        skin=skin,
        shape=request.shape,
        pattern=request.pattern,
        rows=rows,
        columns=columns,
        first=skin.feet_towards(np.array([request.facing])),
        stand_off_m=request.stand_off_m,
        round_m=round_m,
        overlap=round_m / columns / size,
        rise=_rise(request, rows, size_m=size, overlap=round_m / columns / size),
    )


def _seamed(skin: ColumnSkin, request: TilingRequest, reach: float) -> SeamedLattice:
    """Rows that go round a column from one side of a seam to its other side; outlines reach across so many sizes."""
    seam = request.seam
    assert seam is not None  # noqa: S101 - told apart by the caller
    room_m = skin.circumference_m(stand_off_m=request.stand_off_m) - seam.gap_m
    rows = request.rows or 1
    columns = _columns(request, rows)
    steps = columns - 1 + (0.5 if request.pattern == "hexagonal" and rows > 1 else 0.0)
    overlap = overlap_or_start(request)
    if overlap is None:
        if request.size_m is None or room_m <= reach * request.size_m:
            raise OutsideModelError(
                "a tiling with a seam needs either an overlap, or a size that fits beside the seam."
            )
        overlap = (room_m - reach * request.size_m) / steps / request.size_m
    away = -np.asarray(seam.towards)
    return SeamedLattice(
        skin=skin,
        shape=request.shape,
        pattern=request.pattern,
        rows=rows,
        columns=columns,
        middle=skin.feet_towards(away[None]),
        stand_off_m=request.stand_off_m,
        room_m=room_m,
        gap_m=seam.gap_m,
        steps=steps,
        reach=reach,
        overlap=overlap,
        rise=_rise(request, rows, size_m=room_m / (steps * overlap + reach), overlap=overlap),
    )


def _cover(skin: Skin, request: TilingRequest, ground: CoverGround) -> Tiling:
    """Centres spread evenly over a surface that has no rows."""
    if request.rows is not None:
        raise OutsideModelError("this surface is covered without rows. Leave rows out, or ask for a patch.")
    if request.seam is not None:
        raise OutsideModelError("a seam opens the rings round a column; this surface has none. Leave it out.")
    if request.count == 1:
        return _single(skin, request)
    feet = ground.even(request.count)
    size = _size_m(request, mean_nearest_distance_m(skin, feet, stand_off_m=request.stand_off_m))
    sizes = np.full(request.count, size)
    return Tiling(
        feet=feet,
        sizes_m=sizes,
        notes=(
            f"{what(request.shape, sizes)}, spread evenly: no regular pattern closes on a curved surface.",
            "Overlap is taken as the mean distance to the nearest centre, along the surface, over the size.",
        ),
    )


def _single(skin: Skin, request: TilingRequest) -> Tiling:
    """One element towards the facing direction."""
    sizes = np.array([_size_m(request, np.inf)])
    return Tiling(
        feet=skin.feet_towards(np.array([request.facing])), sizes_m=sizes, notes=(f"{what(request.shape, sizes)}.",)
    )


def mean_nearest_distance_m(skin: Skin, feet: Feet, *, stand_off_m: float) -> float:
    """Mean over the elements of the distance to the nearest centre along the surface; infinite for a single one. [m]"""
    pairs = np.array(nearest_ring(feet.points_m), dtype=np.int64).reshape(-1, 2)
    distances = skin.distances_m(feet, pairs, stand_off_m=stand_off_m)
    nearest = np.full(len(feet.points_m), np.inf)
    for side in (0, 1):
        np.minimum.at(nearest, pairs[:, side], distances)
    return float(nearest.mean())


def overlap_or_start(request: TilingRequest) -> float | None:
    """Overlap that is asked for; that from which the search starts where zero coupling is; None where neither."""
    if request.overlap == "zero coupling":
        return NEAR_ZERO_COUPLING[request.shape]
    return request.overlap


def _size_m(request: TilingRequest, distance_m: float) -> float:
    """Size of an element where the distance of neighbours is given by the surface. [m]"""
    overlap = overlap_or_start(request)
    if (request.size_m is None) == (overlap is None):
        raise OutsideModelError("a tiling that covers the whole body needs either size or overlap: the other follows.")
    size = distance_m / overlap if overlap is not None else request.size_m
    if size is None or not np.isfinite(size):
        raise OutsideModelError("a single element has no neighbour to overlap. Give its size.")
    return size


def _columns(request: TilingRequest, rows: int) -> int:
    if request.count % rows:
        raise OutsideModelError(
            f"{request.count} elements do not fill {rows} equal rows. Choose a count that is a multiple of the rows."
        )
    return request.count // rows


def _rise(request: TilingRequest, rows: int, *, size_m: float, overlap: float) -> float:
    """Distance between rows over the size: the one asked for, else that at which all neighbours have the overlap."""
    if request.row_pitch_m is not None:
        return request.row_pitch_m / size_m
    return overlap * rise_over_pitch(request.pattern, rows)


def _most_rows_that_fit(skin: ColumnSkin, request: TilingRequest, round_m: float) -> int:
    """Greatest divisor of the count whose rows stay between the ends of the column; one where none does."""
    rise = sqrt(3) / 2 if request.pattern == "hexagonal" else 1.0
    fitting = [1]
    for rows in range(1, request.count + 1):
        if request.count % rows == 0:
            pitch = round_m / (request.count // rows)
            if (rows - 1) * (request.row_pitch_m or rise * pitch) + _size_m(request, pitch) <= skin.height_m:
                fitting.append(rows)
    return max(fitting)


#: A patch on a closed surface is laid out from its middle; beyond this turn rows run together behind the body.
_WIDEST_PATCH_RAD = 0.75 * pi
#: Centres of a patch closer than this share of their least distance on the flat have run together.
_TOGETHER = 0.5


def _room_m(skin: MeshSkin, request: TilingRequest, lattice: PatchLattice, flat_m: Real) -> tuple[float, float]:
    """Room there is for a patch on a surface of triangles, and the length asked for. [m]

    Behind a body that goes round, rows run together: there is room as far as two centres come no closer than half their
    distance on the flat.
    """
    feet = skin.walked(lattice.middle, flat_m, stand_off_m=request.stand_off_m)
    laid = feet.points_m + request.stand_off_m * feet.normal
    i, j = np.triu_indices(len(flat_m), k=1)
    together = (
        np.linalg.norm(laid[i] - laid[j], axis=1)
        < np.minimum(np.linalg.norm(flat_m[i] - flat_m[j], axis=1), _least_apart_m(flat_m)) * _TOGETHER
    )
    reach = np.linalg.norm(flat_m, axis=1)
    meeting = np.maximum(reach[i], reach[j])[together]
    return (float(meeting.min()) if len(meeting) else np.inf), float(reach.max())


def _least_apart_m(flat_m: Real) -> float:
    """Least distance of two centres on the flat; infinite for a single one. [m]"""
    i, j = np.triu_indices(len(flat_m), k=1)
    return float(np.linalg.norm(flat_m[i] - flat_m[j], axis=1).min(initial=np.inf))


def _check_patch_fits(skin: Skin, request: TilingRequest, lattice: PatchLattice) -> None:
    flat = lattice.flat_m(lattice.start)
    reach = np.abs(flat) + np.repeat(lattice.row_sizes_m, lattice.columns)[:, None] / 2
    match skin:
        case ColumnSkin():
            room = skin.circumference_m(stand_off_m=request.stand_off_m)
            asked = float(np.ptp(flat[:, 0]) + lattice.row_sizes_m.max())
        case EllipsoidSkin(semi_axes_m=semi_axes) | DomeSkin(semi_axes_m=semi_axes):
            room = _WIDEST_PATCH_RAD * (min(semi_axes) + request.stand_off_m)
            asked = float(np.linalg.norm(flat, axis=1).max())
        case MeshSkin():
            room, asked = _room_m(skin, request, lattice, flat)
        case FlatSkin(reach_m=reach_m):
            middle = np.abs((lattice.middle.points_m - skin.middle_m) @ np.stack([*lattice.axes]).T)[0]
            worst = int(np.argmax(reach.max(axis=0) + middle - np.asarray(reach_m)))
            room, asked = 2 * reach_m[worst], 2 * float(reach.max(axis=0)[worst] + middle[worst])
        case FilmSkin():
            return  # the film itself refuses what goes over its tip or more than once round
    if asked > room:
        raise OutsideModelError(
            f"the patch runs {asked * 1e3:.0f} mm along the surface, where there is room for {room * 1e3:.0f} mm. "
            "Use fewer or smaller elements, more rows, or let the tiling cover the whole body."
        )
