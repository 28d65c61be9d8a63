"""Organs as balloons: ellipsoids blown up from a middle until they hold a volume, stopped by planes and by the body."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, cKDTree

from loopwright.ground.surface import Surface

Real = NDArray[np.float64]
Depth = Callable[[Real], Real]
Triple = tuple[float, float, float]

_DIRECTIONS = 480
_STATIONS = 40
_HALVINGS, _EVENED = 30, 3
#: A balloon is blown up to this many times its own half-axes before it counts as stopped.
_LARGEST = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Balloon:
    """An ellipsoid of some size about a middle, in a box of planes. [m]"""

    centre_m: Triple
    semi_axes_m: Triple
    lower_m: Triple = (-inf, -inf, -inf)
    upper_m: Triple = (inf, inf, inf)


def blown_up(balloon: Balloon, volume_m3: float, depth_m: Depth, *, cover_m: float) -> Surface:
    """The closed surface of a balloon that holds a volume [m^3], or as much of it as planes and cover allow.

    Parameters
    ----------
    balloon : Balloon
        With its middle inside the planes and covered.
    volume_m3 : float
        Volume wanted. [m^3]
    depth_m : callable
        Depth of points (n, 3) [m] under the surface that has to cover it, shape (n,). [m]
    cover_m : float
        Least cover. [m]
    """
    ways, _ = _ball()
    stop = np.minimum(_to_planes_m(balloon, ways), _evened(covered_m(balloon, depth_m, cover_m=cover_m)))
    ellipsoid = 1 / np.linalg.norm(ways / np.asarray(balloon.semi_axes_m), axis=1)

    def surface(size: float) -> Surface:
        return around(balloon.centre_m, np.minimum(size * ellipsoid, stop))

    low, high = 0.05, _LARGEST
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if surface(middle).volume_m3 < volume_m3 else (low, middle)
    return surface(low)


def around(centre_m: Triple, radius_m: Real) -> Surface:
    """The closed surface about a middle with these distances in the directions of all balloons. [m]"""
    ways, triangles = _ball()
    return Surface(vertices_m=np.asarray(centre_m) + radius_m[:, None] * ways, triangles=triangles)


def covered_m(balloon: Balloon, depth_m: Depth, *, cover_m: float) -> Real:
    """How far from the middle each direction stays covered, shape (directions,). [m]

    Parameters as for :func:`blown_up`, in [m].
    """
    ways, _ = _ball()
    far = _LARGEST * max(balloon.semi_axes_m)
    reach = np.linspace(0, far, _STATIONS)
    points = np.asarray(balloon.centre_m) + reach[:, None, None] * ways
    depth = depth_m(points.reshape(-1, 3)).reshape(_STATIONS, len(ways)) - cover_m
    first = np.argmax(depth < 0, axis=0)
    first = np.where(np.any(depth < 0, axis=0), first, _STATIONS - 1)
    before = np.maximum(first - 1, 0)
    column = np.arange(len(ways))
    a, b = depth[before, column], depth[first, column]
    part = np.where(a - b > 0, np.clip(a / np.where(a - b > 0, a - b, 1), 0, 1), 1)
    return np.maximum(reach[before] + part * (reach[first] - reach[before]), 1e-3 * far)


def _evened(reach_m: Real) -> Real:
    """Reach in each direction, nowhere more than before, without single ridges. [m]"""
    _, triangles = _ball()
    near = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    for _ in range(_EVENED):
        total, count = np.zeros_like(reach_m), np.zeros_like(reach_m)
        np.add.at(total, near[:, 0], reach_m[near[:, 1]])
        np.add.at(count, near[:, 0], 1.0)
        reach_m = np.minimum(reach_m, (reach_m + total / count) / 2)
    return reach_m


def _to_planes_m(balloon: Balloon, ways: Real) -> Real:
    """Distance from the middle to the nearest plane in each direction. [m]"""
    centre = np.asarray(balloon.centre_m)
    room = np.where(ways > 0, np.asarray(balloon.upper_m) - centre, centre - np.asarray(balloon.lower_m))
    return np.asarray(np.min(np.maximum(room, 0) / np.maximum(np.abs(ways), 1e-12), axis=1))


@cache
def _ball() -> tuple[Real, NDArray[np.int64]]:
    """Directions, shape (directions, 3), and the triangles of their hull, looking outwards."""
    z = 1 - (2 * np.arange(_DIRECTIONS) + 1) / _DIRECTIONS
    turn = np.pi * (1 + np.sqrt(5)) * np.arange(_DIRECTIONS)  # golden spiral
    ways = np.column_stack([np.sqrt(1 - z**2) * np.cos(turn), np.sqrt(1 - z**2) * np.sin(turn), z])
    triangles = ConvexHull(ways).simplices.astype(np.int64)
    a, b, c = ways[triangles].transpose(1, 0, 2)
    inwards = np.sum(np.cross(b - a, c - a) * a, axis=1) < 0
    triangles[inwards] = triangles[inwards][:, ::-1]
    return ways, triangles


def quick_depth(surface: Surface) -> Depth:
    """Depth under a closed surface from the plane of its nearest triangle or vertex.

    Parameters
    ----------
    surface : Surface
        Closed, and smooth over the distance between its vertices.

    Returns
    -------
    callable
        Depth of points (n, 3) [m], positive inside, shape (n,): exact under flat skin, and as good as its triangles
        are small elsewhere; organs are placed by it, nothing else. [m]
    """
    middles, areas = surface.corners_m.mean(axis=1), surface.area_vectors_m2
    normals = areas / np.maximum(np.linalg.norm(areas, axis=1, keepdims=True), 1e-30)
    points = np.concatenate([surface.vertices_m, middles])
    outward = np.concatenate([surface.vertex_normals, normals])
    tree = cKDTree(points)

    def depth_m(at_m: Real) -> Real:
        distance, nearest = tree.query(at_m)
        plane = np.sum((points[nearest] - at_m) * outward[nearest], axis=1)
        return np.asarray(np.where(plane > 0, np.maximum(plane, 0.5 * distance), -distance))

    return depth_m
