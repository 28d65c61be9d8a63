"""Which points lie near a wire."""

from itertools import pairwise

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled_parallel
from loopwright.fields.wires.pieces import StraightWires

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@compiled_parallel
def _near_segments(points_m: Floats, starts_m: Floats, ends_m: Floats, reach_m: float) -> NDArray[np.bool_]:
    """Points within reach of a segment; those outside the box of all are dismissed at once."""
    near = np.zeros(points_m.shape[0], dtype=np.bool_)
    low, high = np.empty(3), np.empty(3)
    for axis in range(3):
        low[axis] = min(starts_m[:, axis].min(), ends_m[:, axis].min()) - reach_m
        high[axis] = max(starts_m[:, axis].max(), ends_m[:, axis].max()) + reach_m
    for p in numba.prange(points_m.shape[0]):
        x, y, z = points_m[p, 0], points_m[p, 1], points_m[p, 2]
        if x < low[0] or x > high[0] or y < low[1] or y > high[1] or z < low[2] or z > high[2]:
            continue
        for i in range(starts_m.shape[0]):
            a, b = starts_m[i], ends_m[i]
            ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
            ax, ay, az = x - a[0], y - a[1], z - a[2]
            share = (ax * ux + ay * uy + az * uz) / (ux * ux + uy * uy + uz * uz)
            share = min(max(share, 0.0), 1.0)
            square = (ax - share * ux) ** 2 + (ay - share * uy) ** 2 + (az - share * uz) ** 2
            near[p] |= square < reach_m * reach_m
    return near


def near_polygon(points_m: Floats, vertices_m: Floats, reach_m: float) -> Flags:
    """Which points (points, 3) [m] lie within reach [m] of the closed polygon (vertices, 3) [m], shape (points,)."""
    vertices = np.asarray(vertices_m, dtype=np.float64)
    return _near_segments(*_contiguous(points_m, vertices, np.roll(vertices, -1, axis=0)), float(reach_m))


def near_wires(points_m: Floats, mesh: StraightWires, reach_m: float) -> Flags:
    """Which points (points, 3) [m] lie within reach [m] of any wire, shape (points,)."""
    near = np.zeros(len(points_m), dtype=np.bool_)
    starts_m, ends_m = mesh.vertices_m, mesh.vertices_m + mesh.steps_m
    for start, stop in pairwise(mesh.first_node):
        own = slice(start, stop)
        near |= _near_segments(*_contiguous(points_m, starts_m[own], ends_m[own]), float(reach_m))
    return near


def _contiguous(points_m: Floats, starts_m: Floats, ends_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Bring arrays into the one layout for which the kernel is compiled."""
    points, starts, ends = (np.ascontiguousarray(part, dtype=np.float64) for part in (points_m, starts_m, ends_m))
    return points, starts, ends
