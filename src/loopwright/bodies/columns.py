"""Columns through surfaces of triangles: where a ray along an axis is inside, also where parts of the surface overlap.

Crossings count with their sign, up from inside to outside; what is wound once or more is inside. So limbs that reach
into the trunk stay solid and pieces turned inside out are empty. A ray meets the triangle on one side of an edge only.
"""

import numba
import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]


@numba.njit(cache=True, nogil=True)
def covered_by_columns(corners_m, u_m, v_m, w_m):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN201
    """Inside length of every cell along rays in direction w, and where the winding number is neither 0 nor 1.

    Parameters
    ----------
    corners_m : ndarray, shape (triangles, 3, 3)
        Corners of the triangles of a closed surface, against the clock seen from outside, coordinates in the order u,
        v, w, which is x, y, z turned cyclically. [m]
    u_m, v_m : ndarrays, shapes (nu, p), (nv, q)
        Positions of the rays, ascending: p times q for each of nu times nv columns of cells. [m]
    w_m : ndarray, shape (nw + 1,)
        Nodes along the rays, ascending. [m]

    Returns
    -------
    2 ndarrays, shapes (nu, nv, nw)
        Mean over the rays of each column, exact along them [m]; whether any of them is wound otherwise than once
        or not at all there.
    """
    (nu, p), (nv, q), nw = u_m.shape, v_m.shape, len(w_m) - 1
    first, heights, signs = _crossings(corners_m, u_m.ravel(), v_m.ravel())
    length, tangled = np.zeros((nu, nv, nw)), np.zeros((nu, nv, nw), dtype=np.bool_)
    for ray in range(len(first) - 1):
        i, j = ray // (nv * q) // p, ray % (nv * q) // q
        winding = 0
        begin, end = first[ray], first[ray + 1]
        _sort(heights, signs, begin, end)
        for crossing in range(begin, end - 1):
            winding -= signs[crossing]
            low, high = heights[crossing], heights[crossing + 1]
            if winding == 0 or high <= low:
                continue
            k = max(np.searchsorted(w_m, low, side="right") - 1, 0)
            while k < nw and w_m[k] < high:
                part = min(high, w_m[k + 1]) - max(low, w_m[k])
                if winding > 0:
                    length[i, j, k] += part / (p * q)
                if winding != 1 and part > 0:
                    tangled[i, j, k] = True
                k += 1
    return length, tangled


@numba.njit(cache=True, nogil=True)
def _crossings(corners_m, u_m, v_m):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Where rays cross triangles: those of ray r stand from first[r] to before first[r + 1]."""
    count = np.zeros(len(u_m) * len(v_m) + 1, dtype=np.int64)
    heights, signs = np.empty(0), np.empty(0, dtype=np.int8)
    for storing in (False, True):
        if storing:
            total = 0
            for ray in range(len(count)):
                total, count[ray] = total + count[ray], total
            heights, signs = np.empty(total), np.empty(total, dtype=np.int8)
        for t in range(len(corners_m)):
            a, b, c = corners_m[t]
            doubled = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
            if doubled == 0:
                continue
            i_end = np.searchsorted(u_m, max(a[0], b[0], c[0]), side="right")
            j_first = np.searchsorted(v_m, min(a[1], b[1], c[1]))
            j_end = np.searchsorted(v_m, max(a[1], b[1], c[1]), side="right")
            for i in range(np.searchsorted(u_m, min(a[0], b[0], c[0])), i_end):
                for j in range(j_first, j_end):
                    sign = crossing_sign(a, b, c, u_m[i], v_m[j])
                    if sign == 0:
                        continue
                    ray = i * len(v_m) + j
                    if storing:
                        du, dv = u_m[i] - a[0], v_m[j] - a[1]
                        to_b = (du * (c[1] - a[1]) - dv * (c[0] - a[0])) / doubled
                        to_c = (dv * (b[0] - a[0]) - du * (b[1] - a[1])) / doubled
                        height = a[2] + to_b * (b[2] - a[2]) + to_c * (c[2] - a[2])
                        # a triangle seen almost edge-on leaves little of the quotients above
                        heights[count[ray]] = min(max(height, min(a[2], b[2], c[2])), max(a[2], b[2], c[2]))
                        signs[count[ray]] = sign
                    count[ray] += 1
    return np.concatenate((np.zeros(1, dtype=np.int64), count[:-1])), heights, signs


@numba.njit(cache=True, nogil=True)
def crossing_sign(a, b, c, u, v):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN201
    """Whether a ray along w at (u, v) [m] crosses a triangle: 1 where that looks up, -1 where it looks down, else 0."""
    sign = _side(a, b, u, v)
    return sign if sign == _side(b, c, u, v) == _side(c, a, u, v) else 0


@numba.njit(cache=True, nogil=True)
def _side(a, b, u, v):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """On which side of the way from a to b a ray passes, 1 on the left; the two triangles of an edge never agree.

    Both reckon from the same end of the edge. A ray through the edge counts as a hair further along u and, by a hair
    of that, along v.
    """
    turn = 1
    if a[0] > b[0] or (a[0] == b[0] and a[1] > b[1]):
        a, b, turn = b, a, -1
    along_u, along_v = b[0] - a[0], b[1] - a[1]
    left = along_u * (v - a[1]) - along_v * (u - a[0])
    if left == 0:
        left = -along_v if along_v != 0 else along_u
    return turn if left > 0 else (-turn if left < 0 else 0)


@numba.njit(cache=True, nogil=True)
def _sort(heights, signs, begin, end):  # type: ignore[no-untyped-def] # noqa: ANN001, ANN202
    """Bring the few crossings of a ray into order from below."""
    for place in range(begin + 1, end):
        height, sign = heights[place], signs[place]
        before = place - 1
        while before >= begin and heights[before] > height:
            heights[before + 1], signs[before + 1] = heights[before], signs[before]
            before -= 1
        heights[before + 1], signs[before + 1] = height, sign
