"""How far points are from a surface of triangles."""

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface

__all__ = ["distances_to_m", "heights_over_m"]

Real = NDArray[np.float64]


def distances_to_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from the closest triangle; shape (n,). [m]"""
    import igl  # noqa: PLC0415 - slow to load, and only bodies of triangles need it

    squared, _, _ = igl.point_mesh_squared_distance(*_arrays(points_m, surface))
    return np.sqrt(np.asarray(squared, dtype=np.float64))


def heights_over_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from a closed surface, negative inside it; shape (n,). [m]"""
    import igl  # noqa: PLC0415 - as above

    kind = igl.SIGNED_DISTANCE_TYPE_FAST_WINDING_NUMBER
    return np.asarray(igl.signed_distance(*_arrays(points_m, surface), sign_type=kind)[0], dtype=np.float64)


def _arrays(points_m: Real, surface: Surface) -> tuple[Real, Real, NDArray[np.int64]]:
    return (
        np.ascontiguousarray(points_m, dtype=np.float64),
        np.ascontiguousarray(surface.vertices_m, dtype=np.float64),
        np.ascontiguousarray(surface.triangles, dtype=np.int64),
    )
