"""Bodies as a film meets them: the triangles of their surface, and where on it the middle of the film goes."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Block, Dome, Ellipsoid, EllipticColumn, Solid
from loopwright.bodies.shapes import Shape
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.curved import unit
from loopwright.layouts.films.laid import FilmPlacement
from loopwright.layouts.grounds import Triangulated, skin_of
from loopwright.layouts.nearness import heights_over_m

__all__ = ["covered_surface", "placement_towards"]

Real = NDArray[np.float64]

#: Corners round a column: chords lie 4 um inside a circle of 100 mm radius.
_AROUND = 360
#: Corners round an ellipsoid or a dome, and from its equator to its top: 15 um.
_AROUND_DOME, _UPWARDS = 180, 45
#: A film faces where the skin about its middle looks on the mean, as far about it as this. [m]
_ABOUT_M = 0.02


def covered_surface(solid: Solid) -> Surface:
    """Triangles of the surface that a film is laid on: the body's own, or those of its formula.

    Raises
    ------
    OutsideModelError
        If the body is bounded by neither.
    """
    match solid.skin:
        case Triangulated(surface=surface):
            return surface
        case Ellipsoid() | Dome() | EllipticColumn() | Block() as shape:
            return _of_formula(shape)
        case _:
            raise OutsideModelError(
                f"A film cannot be laid on {solid.name}: its surface is no ellipsoid, dome, column, block or mesh."
            )


def placement_towards(solid: Solid, facing: tuple[float, float, float], *, turned_rad: float) -> FilmPlacement:
    """Where a film goes whose middle is towards a direction, its axes turned against the clock. [rad]

    Raises
    ------
    OutsideModelError
        If the direction does not leave the body through its surface.
    """
    match solid.skin:
        case Triangulated(surface=surface, lower_m=lower, upper_m=upper):
            point, outwards = _left_at_m(surface, np.asarray(lower), np.asarray(upper), np.asarray(facing))
        case _:
            foot = skin_of(solid).feet_towards(np.array([facing]))
            point, outwards = foot.points_m[0], foot.normal[0]
    return FilmPlacement(point_m=point, outwards=outwards, turned_rad=turned_rad)


def _left_at_m(surface: Surface, lower_m: Real, upper_m: Real, facing: Real) -> tuple[Real, Real]:
    """Point where a ray leaves a surface for the last time, and where the skin about it looks.

    Rays start at the origin where it lies inside, otherwise at the middle of the corners that the cuts leave.
    """
    start = np.zeros(3)
    if heights_over_m(start[None], surface)[0] >= 0:
        left = np.all((surface.vertices_m >= lower_m) & (surface.vertices_m <= upper_m), axis=1)
        start = surface.vertices_m[left].mean(axis=0)
    ray = facing / np.linalg.norm(facing)
    a, b, c = np.moveaxis(surface.corners_m, 1, 0)
    first, second = b - a, c - a
    across = np.cross(ray, second)
    size = np.sum(first * across, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.sum((start - a) * across, axis=1) / size
        turned = np.cross(start - a, first)
        v, way = turned @ ray / size, np.sum(second * turned, axis=1) / size
        met = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (way > 0)
    if not met.any():
        raise OutsideModelError("facing does not leave the body through its surface. Choose another `facing`.")
    point = start + way[met].max() * ray
    if np.any(point < lower_m) or np.any(point > upper_m):
        raise OutsideModelError("facing leaves the body where it is cut. Choose another `facing`.")
    near = np.linalg.norm(surface.corners_m.mean(axis=1) - point, axis=1) < _ABOUT_M
    looking = surface.area_vectors_m2[near].sum(axis=0) if near.any() else ray
    return point, unit(looking) if np.linalg.norm(looking) > 0 else ray


@lru_cache(maxsize=16)
def _of_formula(shape: Shape) -> Surface:
    match shape:
        case Ellipsoid(semi_axes_m=(a, b, c)):
            turn = np.linspace(-np.pi / 2, np.pi / 2, 2 * _UPWARDS + 1)
            return _turned(a, b, np.cos(turn)[1:-1], c * np.sin(turn), around=_AROUND_DOME)
        case Dome(semi_axes_m=(a, b, c), height_m=height):
            turn = np.linspace(0, np.pi / 2, _UPWARDS + 1)
            shares, heights = np.append(1.0, np.cos(turn))[:-1], np.concatenate([[-height] * 2, c * np.sin(turn)])
            return _turned(a, b, shares, heights, around=_AROUND_DOME)
        case EllipticColumn(semi_axes_m=(a, b), height_m=height):
            return _turned(a, b, np.ones(2), np.repeat([-height / 2, height / 2], 2))
        case Block(semi_axes_m=(a, b, c)):
            return _turned(a * np.sqrt(2), b * np.sqrt(2), np.ones(2), np.repeat([-c, c], 2), around=4)
    raise OutsideModelError("a film can be laid on an ellipsoid, dome, column, block or mesh.")


def _turned(a_m: float, b_m: float, shares: Real, heights_m: Real, *, around: int = _AROUND) -> Surface:
    """Elliptic rings, their half-axes shares (rings,) of two, closed by the first and last of heights (rings + 2,)."""
    angle = 2 * np.pi * (np.arange(around) + 0.5) / around
    ring = np.stack([a_m * np.cos(angle), b_m * np.sin(angle)], axis=1)
    flat = shares[:, None, None] * ring
    level = np.broadcast_to(heights_m[1:-1, None, None], (len(shares), around, 1))
    rings = np.concatenate([flat, level], axis=2).reshape(-1, 3)
    ends = np.array([[0.0, 0.0, heights_m[0]], [0.0, 0.0, heights_m[-1]]])
    i = np.arange(around)
    j = (i + 1) % around
    start = around * np.arange(len(shares) - 1)[:, None]
    low = np.stack([start + i, start + j, start + around + j], axis=2).reshape(-1, 3)
    high = np.stack([start + i, start + around + j, start + around + i], axis=2).reshape(-1, 3)
    bottom, top, last = len(rings), len(rings) + 1, around * (len(shares) - 1)
    caps = [
        np.stack([np.full(around, bottom), j, i], axis=1),
        np.stack([np.full(around, top), last + i, last + j], axis=1),
    ]
    return Surface(vertices_m=np.concatenate([rings, ends]), triangles=np.concatenate([low, high, *caps]))
