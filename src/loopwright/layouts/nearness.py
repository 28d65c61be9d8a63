"""How far points are from a surface of triangles."""

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface

__all__ = ["distances_to_m", "heights_over_m"]

Real = NDArray[np.float64]


def distances_to_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from the closest triangle; shape (n,). [m]"""
    points, vertices, triangles = _arrays(points_m, surface)
    squared, _, _ = _tree(surface).squared_distance(vertices, triangles, points)
    return np.sqrt(np.asarray(squared, dtype=np.float64))


def heights_over_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from a closed surface, negative inside it; shape (n,). [m]"""
    import igl  # noqa: PLC0415 - as below

    kind = igl.SIGNED_DISTANCE_TYPE_FAST_WINDING_NUMBER
    return np.asarray(igl.signed_distance(*_arrays(points_m, surface), sign_type=kind)[0], dtype=np.float64)


@lru_cache(maxsize=4)
def _tree(surface: Surface) -> Any:
    """Boxes about the triangles of a surface, kept: a film that is laid asks for distances hundreds of times."""
    import igl  # noqa: PLC0415 - slow to load, and only bodies of triangles need it

    tree = igl.AABB()
    _, vertices, triangles = _arrays(np.zeros((0, 3)), surface)
    tree.init(vertices, triangles)
    return tree


def _arrays(points_m: Real, surface: Surface) -> tuple[Real, Real, NDArray[np.int64]]:
    return (
        np.ascontiguousarray(points_m, dtype=np.float64),
        np.ascontiguousarray(surface.vertices_m, dtype=np.float64),
        np.ascontiguousarray(surface.triangles, dtype=np.int64),
    )
