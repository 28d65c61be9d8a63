"""How many slits or gores bring the compression of a film on a doubly curved body under a limit, and what they remove.

A whole disc laid along shortest lines from its middle is shortened along its rim.  Slits towards the middle make
petals, cuts right through make gores: each petal or gore is laid along its own centre line and then square to it, so
that only its long sides are shortened, and what two neighbours would overlap is taken out between them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.curved import Feet
from loopwright.layouts.films.grids import FilmGrid
from loopwright.layouts.films.strains import StrainMap, strain_map
from loopwright.layouts.skins import Skin

__all__ = ["GorePlan", "SlitPlan", "disc_strain", "fewest_gores", "fewest_slits", "strip_strain"]

Real = NDArray[np.float64]

#: Nodes across half a strip, along it, and round a disc.  Strips have none on their centre line, where nothing happens.
_ACROSS, _ALONG, _AROUND, _OUTWARDS = 8, 17, 72, 32
#: A place that is meant to be the foot itself: shortest lines have a direction only away from it. [m]
_AT_FOOT_M = 1e-7
_FEWEST_SLITS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SlitPlan:
    """Radial slits of a disc: their number, their directions in the pattern (slits,) [rad], and what each removes.

    They begin at ``begin_m`` from the middle; ``width_m`` (places,) is that of each at ``radius_m`` (places,).
    ``compression`` holds what is left with each number that was tried, 0 for the disc without slits.
    """

    number: int
    directions_rad: Real
    begin_m: float
    radius_m: Real
    widths_m: Real
    compression: dict[int, float]
    removed_area_m2: float

    @property
    def outlines_m(self) -> tuple[Real, ...]:
        """Closed outlines (corners, 2) of what is cut away, against the clock. [m]"""
        return tuple(
            _wedge_m(self.radius_m, width, direction)
            for direction, width in zip(self.directions_rad, self.widths_m, strict=True)
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GorePlan:
    """Parallel gores of a rectangle: their number, where their centre lines run, and how wide each is along itself.

    Centre lines run along the pattern's second axis at ``centres_m`` (gores,) on the first; ``widths_m`` (gores,
    places) are those at ``along_m`` (places,). ``compression`` holds what is left with each number that was tried.
    """

    number: int
    centres_m: Real
    along_m: Real
    widths_m: Real
    compression: dict[int, float]
    removed_area_m2: float

    @property
    def outlines_m(self) -> tuple[Real, ...]:
        """Closed outlines (corners, 2) of the gores themselves, against the clock. [m]"""
        return tuple(
            np.concatenate(
                [
                    np.stack([centre + width / 2, self.along_m], axis=1),
                    np.stack([centre - width / 2, self.along_m], axis=1)[::-1],
                ]
            )
            for centre, width in zip(self.centres_m, self.widths_m, strict=True)
        )


def disc_strain(skin: Skin, foot: Feet, *, radius_m: float, stand_off_m: float) -> StrainMap:
    """Strain of a whole disc of this radius about a foot at this stand-off, along shortest lines from its middle. [m]

    The compression at its rim is 1 - sin(x) / x on a sphere of x radii.
    """
    angle = 2 * pi * np.arange(_AROUND) / _AROUND
    radius = np.linspace(0, radius_m, _OUTWARDS + 1)
    radius[0] = _AT_FOOT_M
    grid = _rows(radius, angle, lambda r, a: np.stack([r * np.cos(a), r * np.sin(a)], axis=-1))
    laid = skin.wrapped_m(foot, grid.nodes_m, stand_off_m=np.array([stand_off_m]))[0]
    return strain_map(_without_middle(grid), laid)


def strip_strain(
    skin: Skin, foot: Feet, *, direction_rad: float, from_m: float, to_m: float, half_width_m: Real, stand_off_m: float
) -> StrainMap:
    """Strain of a strip laid along its centre line and then square to it.

    Parameters
    ----------
    skin : Skin
        The body's.
    foot : Feet
        From which the centre line starts.
    direction_rad : float
        Of the centre line, from the foot's first axis against the clock. [rad]
    from_m, to_m : float
        Where on the centre line the strip begins and ends. [m]
    half_width_m : ndarray, shape (places,)
        Half its width at places evenly spaced along it. [m]
    stand_off_m : float
        At which lengths hold. [m]

    Returns
    -------
    StrainMap
        On a sphere of radius R the sides of half width w are shortened by 1 - cos(w / R).
    """
    along = np.array([np.cos(direction_rad), np.sin(direction_rad)])
    square = np.array([-along[1], along[0]])
    way = np.linspace(from_m, to_m, len(half_width_m))
    away = (np.arange(2 * _ACROSS) - _ACROSS + 0.5) / (_ACROSS - 0.5)
    line = skin.walked(foot, _off_foot(way[:, None] * along), stand_off_m=stand_off_m)
    aside = half_width_m[:, None] * away
    laid = skin.wrapped_m(line, aside[..., None] * square, stand_off_m=np.full(len(way), stand_off_m))
    flat = np.stack([aside, np.broadcast_to(way[:, None], aside.shape)], axis=-1).reshape(-1, 2)
    return strain_map(FilmGrid(nodes_m=flat, triangles=_quads(*aside.shape)), laid.reshape(-1, 3))


def fewest_slits(
    skin: Skin,
    foot: Feet,
    *,
    radius_m: float,
    limit: float,
    stand_off_m: float,
    first_rad: float = 0.0,
    most: int = 24,
) -> SlitPlan:
    """The fewest radial slits that keep the compression of a disc under a limit.

    Parameters
    ----------
    skin : Skin
        The body's.
    foot : Feet
        Under the middle of the disc.
    radius_m : float
        Of the disc. [m]
    limit : float
        Largest shortening that the film takes without a wrinkle.
    stand_off_m : float
        At which lengths hold. [m]
    first_rad : float
        Direction of the first slit, from the foot's first axis against the clock. [rad]
    most : int
        Slits that are tried at most.

    Returns
    -------
    SlitPlan
        No slits where the whole disc stays under the limit.

    Raises
    ------
    OutsideModelError
        If so many slits are not enough.

    Notes
    -----
    Slits are spaced evenly and begin where the whole disc is shortened by the limit.  The width of each is what the
    circle through the flat petals is longer than the line on the body at that distance; petals then fit side by side.
    """
    whole = disc_strain(skin, foot, radius_m=radius_m, stand_off_m=stand_off_m)
    compression = {0: float(whole.compression.max())}
    if compression[0] <= limit:
        none = np.zeros(0)
        return SlitPlan(number=0, directions_rad=none, begin_m=radius_m, radius_m=none, widths_m=np.zeros((0, 0)),
                        compression=compression, removed_area_m2=0.0)  # fmt: skip
    begin = _radius_at(whole, limit)
    for number in range(_FEWEST_SLITS, most + 1):
        directions = first_rad + 2 * pi * np.arange(number) / number
        compression[number] = _petal_compression(skin, foot, directions, radius_m, stand_off_m)
        if compression[number] <= limit:
            return _slits(skin, foot, directions, (begin, radius_m), stand_off_m, compression)
    raise OutsideModelError(f"{most} slits leave {compression[most]:.3f} of compression; the limit is {limit:g}.")


def fewest_gores(
    skin: Skin, foot: Feet, *, width_m: float, length_m: float, limit: float, stand_off_m: float, most: int = 24
) -> GorePlan:
    """The fewest parallel gores that keep the compression of a rectangle under a limit.

    Parameters
    ----------
    skin : Skin
        The body's.
    foot : Feet
        Under the middle of the rectangle; its second axis is the direction of the gores.
    width_m, length_m : float
        Across the gores and along them. [m]
    limit : float
        Largest shortening that the film takes without a wrinkle.
    stand_off_m : float
        At which lengths hold. [m]
    most : int
        Gores that are tried at most.

    Returns
    -------
    GorePlan

    Raises
    ------
    OutsideModelError
        If so many gores are not enough.

    Notes
    -----
    Gores hang together along the pattern's first axis, which keeps its length, and taper as their centre lines draw
    closer along the body.
    """
    compression: dict[int, float] = {}
    along = np.linspace(-length_m / 2, length_m / 2, _ALONG)
    for number in range(1, most + 1):
        pitch = width_m / number
        centres: Real = pitch * (np.arange(number, dtype=np.float64) - (number - 1) / 2)
        lines = [skin.walked(foot, _off_foot(np.array([[x, 0.0]])), stand_off_m=stand_off_m) for x in centres]
        widths = np.stack([_gore_widths_m(skin, line, pitch, along, stand_off_m) for line in lines])
        strains = [
            strip_strain(skin, line, direction_rad=pi / 2, from_m=along[0], to_m=along[-1], half_width_m=width / 2,
                         stand_off_m=stand_off_m)
            for line, width in zip(lines, widths, strict=True)
        ]  # fmt: skip
        compression[number] = max(float(strain.compression.max()) for strain in strains)
        if compression[number] <= limit:
            removed = float(np.trapezoid(pitch - widths, along, axis=1).sum())
            return GorePlan(number=number, centres_m=centres, along_m=along, widths_m=widths,
                            compression=compression, removed_area_m2=removed)  # fmt: skip
    raise OutsideModelError(f"{most} gores leave {compression[most]:.3f} of compression; the limit is {limit:g}.")


def _gore_widths_m(skin: Skin, line: Feet, pitch_m: float, along_m: Real, stand_off_m: float) -> Real:
    """Distance, at places along a centre line, between the lines half a pitch to either side of it."""
    flat = _off_foot(np.stack([np.zeros_like(along_m), along_m], axis=1))
    starts = [skin.walked(line, np.array([[way, 0.0]]), stand_off_m=stand_off_m) for way in (-pitch_m / 2, pitch_m / 2)]
    first, second = (skin.walked(start, flat, stand_off_m=stand_off_m) for start in starts)
    return _between_m(skin, first, second, stand_off_m)


def _petal_compression(skin: Skin, foot: Feet, directions_rad: Real, radius_m: float, stand_off_m: float) -> float:
    """Largest shortening of any petal that lies between two slits and is laid along its own centre line."""
    way = np.linspace(_AT_FOOT_M, radius_m, _ALONG)
    angles = np.append(directions_rad, directions_rad[0] + 2 * pi)
    rays = [
        skin.walked(foot, way[:, None] * np.array([np.cos(angle), np.sin(angle)]), stand_off_m=stand_off_m)
        for angle in angles
    ]
    strains = [
        strip_strain(
            skin,
            foot,
            direction_rad=(before + after) / 2,
            from_m=way[0],
            to_m=way[-1],
            half_width_m=_between_m(skin, *sides, stand_off_m) / 2,
            stand_off_m=stand_off_m,
        )
        for before, after, sides in zip(angles[:-1], angles[1:], pairwise(rays), strict=True)
    ]
    return max(float(strain.compression.max()) for strain in strains)


def _between_m(skin: Skin, first: Feet, second: Feet, stand_off_m: float) -> Real:
    """Distances between feet of the same number in two rows, along the surface."""
    both = Feet(
        points_m=np.concatenate([first.points_m, second.points_m]),
        along=np.concatenate([first.along, second.along]),
        across=np.concatenate([first.across, second.across]),
        normal=np.concatenate([first.normal, second.normal]),
    )
    number = np.arange(len(first.points_m))
    return skin.distances_m(both, np.stack([number, len(number) + number], axis=1), stand_off_m=stand_off_m)


def _slits(
    skin: Skin,
    foot: Feet,
    directions_rad: Real,
    reach_m: tuple[float, float],
    stand_off_m: float,
    compression: dict[int, float],
) -> SlitPlan:
    number, radius = len(directions_rad), np.linspace(*reach_m, _ALONG)
    per_slit = max(4, ceil(_AROUND / number))
    step = 2 * pi / number / per_slit
    angle = directions_rad[0] + 2 * pi * (np.arange(number * per_slit + 1) / per_slit - 0.5) / number
    flat = np.stack([radius[:, None] * np.cos(angle), radius[:, None] * np.sin(angle)], axis=-1)
    laid = skin.wrapped_m(foot, flat.reshape(-1, 2), stand_off_m=np.array([stand_off_m]))[0].reshape(*flat.shape[:2], 3)
    chords = np.linalg.norm(np.diff(laid, axis=1), axis=2) / np.sinc(step / 2 / pi)  # arcs, as the flat circle has them
    widths = (radius[:, None] * step - chords).reshape(len(radius), number, per_slit).sum(axis=2).T
    return SlitPlan(
        number=number,
        directions_rad=directions_rad,
        begin_m=reach_m[0],
        radius_m=radius,
        widths_m=widths,
        compression=compression,
        removed_area_m2=float(np.trapezoid(widths, radius, axis=1).sum()),
    )


def _radius_at(whole: StrainMap, limit: float) -> float:
    """Way from the middle at which a whole disc is first shortened by the limit."""
    away = np.linalg.norm(whole.grid.nodes_m[whole.grid.triangles].mean(axis=1), axis=1)
    order = np.argsort(away)
    return float(np.interp(limit, np.maximum.accumulate(whole.compression[order]), away[order]))


def _wedge_m(radius_m: Real, width_m: Real, direction_rad: float) -> Real:
    """Outline of a cut that is so wide at each radius, rim to rim."""
    half = width_m / 2 / radius_m
    angle = direction_rad + np.concatenate([-half, half[::-1]])
    radius = np.concatenate([radius_m, radius_m[::-1]])
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _rows(first: Real, second: Real, place: Callable[[Real, Real], Real]) -> FilmGrid:
    """Grid of a closed ring of rows: first outwards, second round."""
    nodes = place(*np.meshgrid(first, second, indexing="ij")).reshape(-1, 2)
    columns = len(second)
    inner, step = np.arange(columns * (len(first) - 1)), columns
    after = inner // step * step + (inner + 1) % step
    triangles = np.concatenate(
        [np.stack([inner, inner + step, after], axis=1), np.stack([after, inner + step, after + step], axis=1)]
    )
    return FilmGrid(nodes_m=nodes, triangles=triangles)


def _without_middle(grid: FilmGrid) -> FilmGrid:
    """The grid without the triangles that are crowded into its middle."""
    return FilmGrid(nodes_m=grid.nodes_m, triangles=grid.triangles[grid.triangles.min(axis=1) >= _AROUND])


def _quads(rows: int, columns: int) -> NDArray[np.int64]:
    start = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
    lower = np.stack([start, start + 1, start + columns + 1], axis=1)
    return np.concatenate([lower, np.stack([start, start + columns + 1, start + columns], axis=1)])


def _off_foot(flat_m: Real) -> Real:
    """Places, those at the foot itself moved by next to nothing."""
    here = np.linalg.norm(flat_m, axis=-1, keepdims=True) < _AT_FOOT_M
    return np.where(here, [_AT_FOOT_M, 0.0], flat_m)
