"""Triangles in a tree of boxes: which one is closest to a point, and how often a surface winds around it."""

from dataclasses import dataclass

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.columns import crossing_sign

Real = NDArray[np.float64]

#: Triangles in a box of the lowest level.
_IN_LEAF = 4
#: Points that one thread works on, in the order given: neighbours share their closest triangles.
_IN_A_ROW = 2048
_DEEPEST = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TriangleTree:
    """A full binary tree: the boxes inside box i are 2 i + 1 and 2 i + 2; the last level holds runs of triangles.

    Coordinates are turned cyclically by ``turn`` places, so that rays run along the shortest side of the whole.
    """

    turn: int
    corners_m: Real
    lower_m: Real
    upper_m: Real


def triangle_tree(corners_m: Real) -> TriangleTree:
    """Sort triangles with these corners (triangles, 3, 3) [m] into a tree, neighbours in space side by side."""
    turn = (int(np.argmin(np.ptp(corners_m.reshape(-1, 3), axis=0))) + 1) % 3
    corners_m = np.roll(corners_m, -turn, axis=2)
    middles = corners_m.mean(axis=1)
    low = middles.min(axis=0)
    size = max(float(np.max(middles.max(axis=0) - low)), np.finfo(float).tiny)
    corners = corners_m[np.argsort(_morton((middles - low) / size), kind="stable")]
    leaves = 1
    while leaves * _IN_LEAF < len(corners):
        leaves *= 2
    lower = np.full((2 * leaves - 1, 3), np.inf)
    upper = np.full((2 * leaves - 1, 3), -np.inf)
    starts = np.arange(0, len(corners), _IN_LEAF)
    last = slice(leaves - 1, leaves - 1 + len(starts))
    lower[last] = np.minimum.reduceat(corners.min(axis=1), starts)
    upper[last] = np.maximum.reduceat(corners.max(axis=1), starts)
    while leaves > 1:
        inner, outer = slice(leaves - 1, 2 * leaves - 1), slice(leaves // 2 - 1, leaves - 1)
        lower[outer] = lower[inner].reshape(-1, 2, 3).min(axis=1)
        upper[outer] = upper[inner].reshape(-1, 2, 3).max(axis=1)
        leaves //= 2
    return TriangleTree(turn=turn, corners_m=np.ascontiguousarray(corners), lower_m=lower, upper_m=upper)


def _morton(unit: Real) -> NDArray[np.int64]:
    """Place of points of the unit cube on a curve that fills it, coordinates interleaved to 20 bits."""
    whole = np.minimum((unit * 2**20).astype(np.int64), 2**20 - 1)
    code = np.zeros(len(unit), dtype=np.int64)
    for bit in range(20):
        for axis in range(3):
            code |= ((whole[:, axis] >> bit) & 1) << (3 * bit + axis)
    return code


def depth_m(tree: TriangleTree, walls: TriangleTree, points_m: Real) -> Real:
    """Distance of points (n, 3) [m] to the closest of some triangles, positive where a surface winds around them. [m]

    The surface is ``tree``, the triangles are ``walls``: those of the surface between what is inside and what is not.
    """
    points = _turned(points_m, walls.turn)
    around = np.roll(np.arange(3), walls.turn - tree.turn)
    return _depth_m(
        (walls.corners_m, walls.lower_m, walls.upper_m), (tree.corners_m, tree.lower_m, tree.upper_m), points, around
    )


def winding(tree: TriangleTree, points_m: Real) -> NDArray[np.int64]:
    """How often the closed surface winds around points (n, 3) [m]; shape (n,)."""
    return _windings(tree.corners_m, tree.lower_m, tree.upper_m, _turned(points_m, tree.turn))


def _turned(points: Real, turn: int) -> Real:
    return np.ascontiguousarray(np.roll(points, -turn, axis=1))


def opposite_m(tree: TriangleTree, points_m: Real, inwards: Real, *, most_m: float) -> Real:
    """Radius of the greatest ball inside that touches a surface at points and reaches across to an opposite wall.

    Parameters
    ----------
    tree : TriangleTree
        The surface.
    points_m, inwards : ndarrays, shape (n, 3)
        Points of the surface [m] and unit normals into it.
    most_m : float
        Greatest radius that is told. [m]

    Returns
    -------
    ndarray, shape (n,)
        Half the local thickness. A wall is opposite where it looks more than 60 degrees away from the point's own
        normal, so that creases of the surface are none. [m]
    """
    points, inwards = _turned(points_m, tree.turn), _turned(inwards, tree.turn)
    return _touching_ball_m(tree.corners_m, tree.lower_m, tree.upper_m, points, inwards, most_m)


@numba.njit(cache=True, nogil=True, parallel=True)
def _depth_m(walls, tree, points, around):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Signs are found by rays only where a wall may lie between a point and the one before it."""
    found = np.empty(len(points))
    for block in numba.prange((len(points) + _IN_A_ROW - 1) // _IN_A_ROW):
        closest, side, before = 0, 0.0, 0.0
        for n in range(block * _IN_A_ROW, min((block + 1) * _IN_A_ROW, len(points))):
            squared, closest = _closest(walls[0], walls[1], walls[2], points[n], closest)
            distance = np.sqrt(squared)
            step = np.sqrt(np.sum((points[n] - points[max(n - 1, 0)]) ** 2))
            if side == 0 or step >= max(distance, before):
                u, v, w = points[n, around[0]], points[n, around[1]], points[n, around[2]]
                side = 1.0 if _winding(tree[0], tree[1], tree[2], u, v, w) > 0 else -1.0
            before = distance
            found[n] = side * distance
    return found


@numba.njit(cache=True, nogil=True)
def _closest(corners, lower, upper, point, start):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Squared distance to the closest triangle, and which it is, beginning with a guess."""
    best, which = _to_triangle(corners[start], point), start
    leaves = (len(lower) + 1) // 2
    stack, far = np.empty(_DEEPEST, dtype=np.int64), np.empty(_DEEPEST)
    stack[0], far[0], held = 0, _to_box(lower[0], upper[0], point), 1
    while held > 0:
        held -= 1
        node = stack[held]
        if far[held] >= best:
            continue
        if node >= leaves - 1:
            begin = (node - leaves + 1) * _IN_LEAF
            for t in range(begin, min(begin + _IN_LEAF, len(corners))):
                distance = _to_triangle(corners[t], point)
                if distance < best:
                    best, which = distance, t
            continue
        left, right = 2 * node + 1, 2 * node + 2
        to_left, to_right = _to_box(lower[left], upper[left], point), _to_box(lower[right], upper[right], point)
        if to_left < to_right:
            left, right, to_left, to_right = right, left, to_right, to_left
        if to_left < best:
            stack[held], far[held] = left, to_left
            held += 1
        if to_right < best:
            stack[held], far[held] = right, to_right
            held += 1
    return best, which


@numba.njit(cache=True, nogil=True)
def _to_box(lower, upper, point):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    total = 0.0
    for c in range(3):
        out = max(lower[c] - point[c], point[c] - upper[c], 0.0)
        total += out * out
    return total


@numba.njit(cache=True, nogil=True)
def _to_triangle(corners, point):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Squared distance from a point to a triangle, by the part of it (corner, edge, inside) that is nearest."""
    ax, ay, az = corners[0, 0], corners[0, 1], corners[0, 2]
    bx, by, bz = corners[1, 0] - ax, corners[1, 1] - ay, corners[1, 2] - az
    cx, cy, cz = corners[2, 0] - ax, corners[2, 1] - ay, corners[2, 2] - az
    px, py, pz = point[0] - ax, point[1] - ay, point[2] - az
    bb, bc, cc = bx * bx + by * by + bz * bz, bx * cx + by * cy + bz * cz, cx * cx + cy * cy + cz * cz
    bp, cp = bx * px + by * py + bz * pz, cx * px + cy * py + cz * pz
    area = bb * cc - bc * bc
    s, t = cc * bp - bc * cp, bb * cp - bc * bp
    if area > 0 and s >= 0 and t >= 0 and s + t <= area:
        s, t = s / area, t / area
        return (px - s * bx - t * cx) ** 2 + (py - s * by - t * cy) ** 2 + (pz - s * bz - t * cz) ** 2
    pp = px * px + py * py + pz * pz
    s = min(max(bp / bb, 0.0), 1.0) if bb > 0 else 0.0
    best = pp - s * (2 * bp - s * bb)
    t = min(max(cp / cc, 0.0), 1.0) if cc > 0 else 0.0
    best = min(best, pp - t * (2 * cp - t * cc))
    ee, ep = bb - 2 * bc + cc, cp - bp - bc + bb  # the edge opposite, from its first end
    t = min(max(ep / ee, 0.0), 1.0) if ee > 0 else 0.0
    best = min(best, pp - 2 * bp + bb - t * (2 * ep - t * ee))
    return max(best, 0.0)


@numba.njit(cache=True, nogil=True, parallel=True)
def _windings(corners, lower, upper, points):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    found = np.empty(len(points), dtype=np.int64)
    for n in numba.prange(len(points)):
        found[n] = _winding(corners, lower, upper, points[n, 0], points[n, 1], points[n, 2])
    return found


@numba.njit(cache=True, nogil=True)
def _winding(corners, lower, upper, u, v, w):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Crossings above a point along w, those to the outside less those to the inside."""
    leaves = (len(lower) + 1) // 2
    stack = np.empty(_DEEPEST, dtype=np.int64)
    stack[0], held, found = 0, 1, 0
    while held > 0:
        held -= 1
        node = stack[held]
        lo, hi = lower[node], upper[node]
        if not (lo[0] <= u <= hi[0] and lo[1] <= v <= hi[1] and w <= hi[2]):
            continue
        if node < leaves - 1:
            stack[held], stack[held + 1] = 2 * node + 1, 2 * node + 2
            held += 2
            continue
        begin = (node - leaves + 1) * _IN_LEAF
        for t in range(begin, min(begin + _IN_LEAF, len(corners))):
            a, b, c = corners[t]
            sign = crossing_sign(a, b, c, u, v)
            if sign != 0 and _is_above(a, b, c, u, v, w):
                found += sign
    return found


@numba.njit(cache=True, nogil=True)
def _is_above(a, b, c, u, v, w):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Whether a triangle that a ray crosses lies above a point of the ray."""
    doubled = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
    if doubled == 0:
        return min(a[2], b[2], c[2]) > w
    to_b = ((u - a[0]) * (c[1] - a[1]) - (v - a[1]) * (c[0] - a[0])) / doubled
    to_c = ((v - a[1]) * (b[0] - a[0]) - (u - a[0]) * (b[1] - a[1])) / doubled
    return a[2] + to_b * (b[2] - a[2]) + to_c * (c[2] - a[2]) > w


@numba.njit(cache=True, nogil=True, parallel=True)
def _touching_ball_m(corners, lower, upper, points, inwards, most):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    radius = np.full(len(points), most)
    leaves = (len(lower) + 1) // 2
    for n in numba.prange(len(points)):
        stack = np.empty(_DEEPEST, dtype=np.int64)
        stack[0], held = 0, 1
        middle = points[n] + radius[n] * inwards[n]
        while held > 0:
            held -= 1
            node = stack[held]
            if _to_box(lower[node], upper[node], middle) >= radius[n] ** 2:
                continue
            if node < leaves - 1:
                stack[held], stack[held + 1] = 2 * node + 1, 2 * node + 2
                held += 2
                continue
            begin = (node - leaves + 1) * _IN_LEAF
            for t in range(begin, min(begin + _IN_LEAF, len(corners))):
                if _looks_alike(corners[t], inwards[n]):
                    continue
                radius[n] = _shrunk(corners[t], points[n], inwards[n], radius[n])
                middle = points[n] + radius[n] * inwards[n]
    return radius


@numba.njit(cache=True, nogil=True)
def _looks_alike(corners, inwards):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Whether the outward normal of a triangle is within 60 degrees of a vertex's."""
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    return -np.dot(normal, inwards) >= 0.5 * np.sqrt(np.dot(normal, normal))


@numba.njit(cache=True, nogil=True)
def _shrunk(corners, point, inwards, radius):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """The ball through a point, smaller where the corners or the middle of a triangle lie inside it."""
    for place in range(4):
        other = corners[place] if place < 3 else (corners[0] + corners[1] + corners[2]) / 3
        way = other - point
        height = np.dot(way, inwards)
        if height > 0:
            radius = min(radius, np.dot(way, way) / (2 * height))
    return radius
