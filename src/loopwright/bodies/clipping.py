"""Surfaces of triangles cut exactly by the planes of a grid: volume inside every cell, area inside every face.

Both are integrals of the winding number, 1 inside a surface that looks outwards. A triangle seen from above bounds what
lies below it; cut to the cells that it passes, it gives each of them a prism, and all cells below whole columns.
"""

import numba
import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

#: Corners that a triangle may get: one from each of six planes, and room for rounding.
_MOST_CORNERS = 16


@numba.njit(cache=True, nogil=True)
def wound_volume_m3(corners_m: Real, x_m: Real, y_m: Real, z_m: Real) -> Real:
    """Integral of the winding number over every cell of a grid.

    Parameters
    ----------
    corners_m : ndarray, shape (triangles, 3, 3)
        Corners of the triangles of a closed surface, against the clock seen from outside. [m]
    x_m, y_m, z_m : ndarrays
        Nodes of the grid, ascending. [m]

    Returns
    -------
    ndarray, shape (nx, ny, nz)
        Exact but for rounding. [m^3]
    """
    nx, ny, nz = len(x_m) - 1, len(y_m) - 1, len(z_m) - 1
    volume = np.zeros((nx, ny, nz))
    over = np.zeros((nx, ny, nz + 1))  # area of what lies over the columns' cells that end at each node
    x_rest, x_piece = np.empty((2, _MOST_CORNERS, 3)), np.empty((_MOST_CORNERS, 3))
    y_rest, y_piece = np.empty((2, _MOST_CORNERS, 3)), np.empty((_MOST_CORNERS, 3))
    z_rest, z_piece = np.empty((2, _MOST_CORNERS, 3)), np.empty((_MOST_CORNERS, 3))
    for t in range(len(corners_m)):
        x_rest[0, :3] = corners_m[t]
        low, high = x_rest[0, :3, 0].min(), x_rest[0, :3, 0].max()
        i, xs = _enter(x_rest, 3, 0, x_m, low, x_piece)
        while xs[1] > 0 and i < nx:
            count, xs = _next(x_rest, xs, 0, x_m[i + 1], high, x_piece)
            y_rest[0, :count] = x_piece[:count]
            y_low, y_high = y_rest[0, :count, 1].min(), y_rest[0, :count, 1].max()
            j, ys = _enter(y_rest, count, 1, y_m, y_low, y_piece)
            while ys[1] > 0 and j < ny:
                count, ys = _next(y_rest, ys, 1, y_m[j + 1], y_high, y_piece)
                z_rest[0, :count] = y_piece[:count]
                z_low, z_high = z_rest[0, :count, 2].min(), z_rest[0, :count, 2].max()
                k, zs = _enter(z_rest, count, 2, z_m, z_low, z_piece)
                while zs[1] > 0 and k < nz:
                    count, zs = _next(z_rest, zs, 2, z_m[k + 1], z_high, z_piece)
                    area, moment = _seen_from_above(z_piece, count, z_m[k])
                    volume[i, j, k] += moment
                    over[i, j, k] += area
                    k += 1
                if zs[1] > 0:
                    over[i, j, nz] += _seen_from_above(z_rest[zs[0]], zs[1], z_m[nz])[0]
                j += 1
            i += 1
    _hand_down(volume, over, z_m)
    return volume


@numba.njit(cache=True, nogil=True)
def wound_area_m2(corners_m: Real, u_m: Real, v_m: Real, w_m: Real) -> Real:
    """Integral of the winding number over every face of the planes u = const of a grid.

    Parameters
    ----------
    corners_m : ndarray, shape (triangles, 3, 3)
        As for :func:`wound_volume_m3`, coordinates in the order u, v, w, which is x, y, z turned cyclically. [m]
    u_m : ndarray, shape (nu,)
        Positions of the planes, ascending; a corner in a plane counts as above it. [m]
    v_m, w_m : ndarrays
        Nodes of the faces in the planes, ascending. [m]

    Returns
    -------
    ndarray, shape (nu, nv, nw)
        Exact but for rounding. [m^2]
    """
    nv, nw = len(v_m) - 1, len(w_m) - 1
    area = np.zeros((len(u_m), nv, nw))
    over = np.zeros((len(u_m), nv, nw + 1))
    ends = np.empty((2, 2))
    for t in range(len(corners_m)):
        corners = corners_m[t]
        first = np.searchsorted(u_m, corners[:, 0].min(), side="right")
        for i in range(first, np.searchsorted(u_m, corners[:, 0].max(), side="right")):
            _section(corners, u_m[i], ends)
            _add_below_segment(ends, v_m, w_m, area[i], over[i])
    _hand_down(area, over, w_m)
    return area


@numba.njit(cache=True, nogil=True)
def _enter(rest, count, axis, nodes, low, spare):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """The cell in which a polygon begins, and which of the two buffers holds how many corners of it in the grid."""
    if low >= nodes[0]:
        return max(np.searchsorted(nodes, low, side="right") - 1, 0), (0, count)
    _, kept = _split(rest[0], count, axis, nodes[0], spare, rest[1])
    return 0, (1, kept)


@numba.njit(cache=True, nogil=True)
def _next(rest, state, axis, at, high, piece):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Take the part of a polygon below ``at``; the rest stays."""
    buffer, count = state
    if high <= at:
        piece[:count] = rest[buffer, :count]
        return count, (buffer, 0)
    taken, left = _split(rest[buffer], count, axis, at, piece, rest[1 - buffer])
    return taken, (1 - buffer, left)


@numba.njit(cache=True, nogil=True)
def _split(polygon, count, axis, at, below, above):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Cut a convex polygon by a plane; how many corners its parts have."""
    lower, upper = 0, 0
    for p in range(count):
        q = (p + 1) % count
        here, there = polygon[p, axis] - at, polygon[q, axis] - at
        if here <= 0:
            below[lower] = polygon[p]
            lower += 1
        if here >= 0:
            above[upper] = polygon[p]
            upper += 1
        if here * there < 0:
            way = here / (here - there)
            for c in range(3):
                cut = polygon[p, c] + way * (polygon[q, c] - polygon[p, c])
                below[lower, c] = cut
                above[upper, c] = cut
            below[lower, axis] = at
            above[upper, axis] = at
            lower += 1
            upper += 1
    return lower, upper


@numba.njit(cache=True, nogil=True)
def _seen_from_above(polygon, count, floor):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Area of a polygon seen along z, positive where it looks up, and of the prism under it down to the floor."""
    area, moment = 0.0, 0.0
    for p in range(1, count - 1):
        a, b, c = polygon[0], polygon[p], polygon[p + 1]
        part = ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / 2
        area += part
        moment += part * ((a[2] - floor) + (b[2] - floor) + (c[2] - floor)) / 3
    return area, moment


@numba.njit(cache=True, nogil=True)
def _hand_down(inside, over, nodes):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Give every cell the columns under what lies over it."""
    for i in range(inside.shape[0]):
        for j in range(inside.shape[1]):
            total = 0.0
            for k in range(inside.shape[2] - 1, -1, -1):
                total += over[i, j, k + 1]
                inside[i, j, k] += total * (nodes[k + 1] - nodes[k])


@numba.njit(cache=True, nogil=True)
def _section(corners, at, ends):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Where a plane u = ``at`` cuts a triangle, with the inside of the surface on the left."""
    for p in range(3):
        a, b = corners[p], corners[(p + 1) % 3]
        rises = a[0] < at <= b[0]
        if rises or b[0] < at <= a[0]:
            low, high = (a, b) if rises else (b, a)  # of the same edge the neighbour finds the same point
            way = (at - low[0]) / (high[0] - low[0])
            end = 1 if rises else 0
            ends[end, 0] = low[1] + way * (high[1] - low[1])
            ends[end, 1] = low[2] + way * (high[2] - low[2])


@numba.njit(cache=True, nogil=True)
def _add_below_segment(ends, v_m, w_m, area, over):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Give the cells of a plane what lies below a segment; a segment that runs towards -v bounds from above."""
    nv, nw = len(v_m) - 1, len(w_m) - 1
    a, b = ends[0], ends[1]
    side = -1.0
    if a[0] > b[0]:
        a, b, side = b, a, 1.0
    slope = (b[1] - a[1]) / (b[0] - a[0]) if b[0] > a[0] else 0.0
    left = max(a[0], v_m[0])
    j = max(np.searchsorted(v_m, left, side="right") - 1, 0)
    while j < nv and left < b[0]:
        right = min(b[0], v_m[j + 1])
        from_w, to_w = a[1] + slope * (left - a[0]), a[1] + slope * (right - a[0])
        low, high = min(from_w, to_w), max(from_w, to_w)
        k, bottom = np.searchsorted(w_m, low, side="right") - 1, low
        while True:
            top = high if k == nw else min(high, w_m[k + 1])
            width = side * (right - left) * ((top - bottom) / (high - low) if high > low else 1.0)
            if k >= 0:
                over[j, k] += width
            if 0 <= k < nw:
                area[j, k] += width * ((bottom + top) / 2 - w_m[k])
            if top >= high:
                break
            bottom, k = top, k + 1
        left, j = right, j + 1


@numba.njit(cache=True, nogil=True)
def kept_corners_m(corners_m: Real, lower_m: Real, upper_m: Real) -> Real:
    """Corners of what a box leaves of triangles.

    Parameters
    ----------
    corners_m : ndarray, shape (triangles, 3, 3)
        Corners of the triangles. [m]
    lower_m, upper_m : ndarrays, shape (3,)
        Corners of the box. [m]

    Returns
    -------
    ndarray, shape (n, 3)
        All corners of all pieces. [m]
    """
    found = np.empty((len(corners_m) * _MOST_CORNERS, 3))
    rest, spare = np.empty((2, _MOST_CORNERS, 3)), np.empty((_MOST_CORNERS, 3))
    total = 0
    for t in range(len(corners_m)):
        rest[0, :3] = corners_m[t]
        count, buffer = 3, 0
        for axis in range(3):
            _, count = _split(rest[buffer], count, axis, lower_m[axis], spare, rest[1 - buffer])
            count, _ = _split(rest[1 - buffer], count, axis, upper_m[axis], rest[buffer], spare)
        found[total : total + count] = rest[buffer, :count]
        total += count
    return found[:total]
