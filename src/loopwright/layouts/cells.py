"""Which elements of a closed surface border on each other, and how far its barest spots lie from them."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.coupling import Pairs
from loopwright.layouts.curved import Feet

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Twice the area below which three points count as one line. [m^2]
_NO_AREA_M2 = 1e-300


class Cells(NamedTuple):
    """Neighbours, and triangles (2 * elements - 4, 3) of elements, each right-handed as seen from outside."""

    pairs: Pairs
    triangles: Integers


def cells_of(feet: Feet) -> Cells:
    """Cells of the elements of a closed surface: faces and edges of the convex hull of their normals.

    There are three edges for each element less six in all, wherever the elements lie, so that covers compare.
    """
    if len(feet.normal) < 4:
        raise OutsideModelError("zero coupling on a closed surface needs four elements or more.")
    hull = ConvexHull(feet.normal)
    corners = feet.normal[hull.simplices]
    turn = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inward = np.sum(turn * hull.equations[:, :3], axis=1) < 0
    triangles = np.where(inward[:, None], hull.simplices[:, ::-1], hull.simplices).astype(np.int64)
    edges = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    return Cells(pairs=tuple((int(i), int(j)) for i, j in np.unique(edges, axis=0)), triangles=triangles)


def barest_m(points_m: Real, triangles: Integers) -> Real:
    """Way along the surface from the middle of each triangle to its three corners; shape (triangles,). [m]

    Parameters
    ----------
    points_m : ndarray, shape (elements, 3)
        Centres of the elements about the origin. [m]
    triangles : ndarray of int, shape (triangles, 3)
        As :func:`cells_of` gives them.

    Notes
    -----
    The arc of the sphere about the origin's foot on the triangle's plane that holds its circumcircle: exact on a
    sphere, and there the middle is the spot that lies furthest from all centres.
    """
    a, b, c = (points_m[triangles[:, corner]] for corner in range(3))
    turn = np.cross(b - a, c - a)
    radius = circumradius_m(points_m, triangles)
    height = np.sum(turn * a, axis=1) / np.maximum(np.linalg.norm(turn, axis=1), _NO_AREA_M2)
    return np.asarray(np.hypot(radius, height) * np.arctan2(radius, height))


def circumradius_m(points_m: Real, triangles: Integers) -> Real:
    """Radius of the circle through the corners of triangles (triangles, 3) of points (n, 3) [m]; (triangles,). [m]"""
    a, b, c = (points_m[triangles[:, corner]] for corner in range(3))
    twice_area = np.maximum(np.linalg.norm(np.cross(b - a, c - a), axis=1), _NO_AREA_M2)
    p, q, r = (np.linalg.norm(side, axis=1) for side in (a - b, b - c, c - a))
    return np.asarray(p * q * r / (2 * twice_area))
