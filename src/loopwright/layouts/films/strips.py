"""Discs and strips of film laid on a doubly curved skin, and by how much that shortens them.

A disc is laid along shortest lines from its middle, which shortens its rim; a strip along its own centre line and then
square to it, which shortens its sides.
"""

from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.curved import Feet
from loopwright.layouts.films.grids import FilmGrid
from loopwright.layouts.films.strains import FilmStrain, film_strain
from loopwright.layouts.skins import Skin

__all__ = ["ALONG", "AROUND", "AT_FOOT_M", "between_m", "disc_strain", "off_foot", "strip_strain"]

Real = NDArray[np.float64]

#: Nodes along a strip, and round a disc.
ALONG, AROUND = 17, 72
#: Nodes across half a strip, none on its centre line, where nothing happens; rings of a disc.
_ACROSS, _OUTWARDS = 8, 32
#: A place that is meant to be the foot itself: shortest lines have a direction only away from it. [m]
AT_FOOT_M = 1e-7


def disc_strain(skin: Skin, foot: Feet, *, radius_m: float, stand_off_m: float) -> FilmStrain:
    """Strain of a whole disc of this radius about a foot at this stand-off, along shortest lines from its middle. [m]

    The compression at its rim is 1 - sin(x) / x on a sphere of x radii.
    """
    angle = 2 * pi * np.arange(AROUND) / AROUND
    radius = np.linspace(0, radius_m, _OUTWARDS + 1)
    radius[0] = AT_FOOT_M
    grid = _rings(radius, angle)
    laid = skin.wrapped_m(foot, grid.nodes_m, stand_off_m=np.array([stand_off_m]))[0]
    return film_strain(_without_middle(grid), laid)


def strip_strain(
    skin: Skin, foot: Feet, *, direction_rad: float, from_m: float, to_m: float, half_width_m: Real, stand_off_m: float
) -> FilmStrain:
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
    FilmStrain
        On a sphere of radius R the sides of half width w are shortened by 1 - cos(w / R).
    """
    along = np.array([np.cos(direction_rad), np.sin(direction_rad)])
    square = np.array([-along[1], along[0]])
    way = np.linspace(from_m, to_m, len(half_width_m))
    away = (np.arange(2 * _ACROSS) - _ACROSS + 0.5) / (_ACROSS - 0.5)
    line = skin.walked(foot, off_foot(way[:, None] * along), stand_off_m=stand_off_m)
    aside = half_width_m[:, None] * away
    laid = skin.wrapped_m(line, aside[..., None] * square, stand_off_m=np.full(len(way), stand_off_m))
    flat = np.stack([aside, np.broadcast_to(way[:, None], aside.shape)], axis=-1).reshape(-1, 2)
    return film_strain(FilmGrid(nodes_m=flat, triangles=_quads(*aside.shape)), laid.reshape(-1, 3))


def between_m(skin: Skin, first: Feet, second: Feet, stand_off_m: float) -> Real:
    """Distances between feet of the same number in two rows, along the surface at this stand-off [m]. [m]"""
    both = Feet(
        points_m=np.concatenate([first.points_m, second.points_m]),
        along=np.concatenate([first.along, second.along]),
        across=np.concatenate([first.across, second.across]),
        normal=np.concatenate([first.normal, second.normal]),
    )
    number = np.arange(len(first.points_m))
    return skin.distances_m(both, np.stack([number, len(number) + number], axis=1), stand_off_m=stand_off_m)


def off_foot(flat_m: Real) -> Real:
    """Places (..., 2) [m], those at the foot itself moved by next to nothing. [m]"""
    here = np.linalg.norm(flat_m, axis=-1, keepdims=True) < AT_FOOT_M
    return np.where(here, [AT_FOOT_M, 0.0], flat_m)


def _rings(radius_m: Real, angle_rad: Real) -> FilmGrid:
    """Grid of closed rings, from the middle outwards."""
    r, a = np.meshgrid(radius_m, angle_rad, indexing="ij")
    nodes = np.stack([r * np.cos(a), r * np.sin(a)], axis=-1).reshape(-1, 2)
    columns = len(angle_rad)
    inner, step = np.arange(columns * (len(radius_m) - 1)), columns
    after = inner // step * step + (inner + 1) % step
    triangles = np.concatenate(
        [np.stack([inner, inner + step, after], axis=1), np.stack([after, inner + step, after + step], axis=1)]
    )
    return FilmGrid(nodes_m=nodes, triangles=triangles)


def _without_middle(grid: FilmGrid) -> FilmGrid:
    """The grid without the triangles that are crowded into its middle."""
    return FilmGrid(nodes_m=grid.nodes_m, triangles=grid.triangles[grid.triangles.min(axis=1) >= AROUND])


def _quads(rows: int, columns: int) -> NDArray[np.int64]:
    start = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
    lower = np.stack([start, start + 1, start + columns + 1], axis=1)
    return np.concatenate([lower, np.stack([start, start + columns + 1, start + columns], axis=1)])
