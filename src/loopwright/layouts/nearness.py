"""How far points are from a surface of triangles."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.triangle_tree import TriangleTree, depth_m, triangle_tree
from loopwright.ground.surface import Surface

__all__ = ["distances_to_m", "heights_over_m"]

Real = NDArray[np.float64]


def distances_to_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from the closest triangle; shape (n,). [m]"""
    return np.abs(heights_over_m(points_m, surface))


def heights_over_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from a closed surface, negative inside it; shape (n,). [m]"""
    tree = _tree(surface)
    return np.asarray(-depth_m(tree, tree, np.asarray(points_m, dtype=np.float64)))


@lru_cache(maxsize=4)
def _tree(surface: Surface) -> TriangleTree:
    """Boxes about the triangles of a surface, kept: a film that is laid asks for distances hundreds of times."""
    return triangle_tree(surface.corners_m)
