"""Which points lie near a wire."""

from itertools import pairwise

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled_parallel
from loopwright.fields.wires.impedance import WireMesh

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@compiled_parallel
def _near_polygon(points_m: Floats, vertices_m: Floats, reach_m: float) -> NDArray[np.bool_]:
    """Points within reach of a segment of the closed polygon; those outside its box are dismissed at once."""
    near = np.zeros(points_m.shape[0], dtype=np.bool_)
    segments = vertices_m.shape[0]
    low, high = np.empty(3), np.empty(3)
    for axis in range(3):
        low[axis] = vertices_m[:, axis].min() - reach_m
        high[axis] = vertices_m[:, axis].max() + reach_m
    for p in numba.prange(points_m.shape[0]):
        x, y, z = points_m[p, 0], points_m[p, 1], points_m[p, 2]
        if x < low[0] or x > high[0] or y < low[1] or y > high[1] or z < low[2] or z > high[2]:
            continue
        for i in range(segments):
            a, b = vertices_m[i], vertices_m[(i + 1) % segments]
            ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
            ax, ay, az = x - a[0], y - a[1], z - a[2]
            share = (ax * ux + ay * uy + az * uz) / (ux * ux + uy * uy + uz * uz)
            share = min(max(share, 0.0), 1.0)
            square = (ax - share * ux) ** 2 + (ay - share * uy) ** 2 + (az - share * uz) ** 2
            near[p] |= square < reach_m * reach_m
    return near


def near_polygon(points_m: Floats, vertices_m: Floats, reach_m: float) -> Flags:
    """Which points (points, 3) [m] lie within reach [m] of the closed polygon (vertices, 3) [m], shape (points,)."""
    points, vertices = (np.ascontiguousarray(part, dtype=np.float64) for part in (points_m, vertices_m))
    return _near_polygon(points, vertices, float(reach_m))


def near_wires(points_m: Floats, mesh: WireMesh, reach_m: float) -> Flags:
    """Which points (points, 3) [m] lie within reach [m] of any wire, shape (points,)."""
    near = np.zeros(len(points_m), dtype=np.bool_)
    for start, stop in pairwise(mesh.first_node):
        near |= near_polygon(points_m, mesh.vertices_m[start:stop], reach_m)
    return near
