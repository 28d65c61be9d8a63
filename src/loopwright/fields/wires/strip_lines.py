"""Where the filaments of a strip run: beside the centre-line of an element, in the surface that the element lies in."""

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts import Element
from loopwright.layouts.moving import area_vector_m2

__all__ = ["filament_lines_m", "lines_keep_their_way", "surface_normals"]

Floats = NDArray[np.float64]


def surface_normals(element: Element) -> Floats:
    """Normals, at every corner, of the surface in which an element's strip lies.

    Parameters
    ----------
    element : Element
        The element.

    Returns
    -------
    ndarray, shape (corners, 3)
        Unit vectors on the side of the element's right-handed normal.

    Notes
    -----
    The surface is the paraboloid through the element's centre that best meets its corners: exact for plane elements,
    the second order of any smooth skin for bent ones.
    """
    corners = np.asarray(element.vertices_m, dtype=np.float64)
    normal = _unit(area_vector_m2(corners))
    across = np.linalg.svd(normal[None])[2][1:]
    away = corners - np.asarray(element.centre_m)
    u, v = across @ away.T
    bend = np.linalg.lstsq(np.stack([u * u / 2, u * v, v * v / 2], axis=1), away @ normal, rcond=None)[0]
    slopes = np.stack([bend[0] * u + bend[1] * v, bend[1] * u + bend[2] * v], axis=1)
    found = normal - slopes @ across
    return np.asarray(found / np.linalg.norm(found, axis=1)[:, None])


def filament_lines_m(corners_m: Floats, normals: Floats, offsets_m: Floats) -> Floats:
    """Closed lines beside a closed centre-line, mitred at its corners.

    Parameters
    ----------
    corners_m : ndarray, shape (corners, 3)
        Centre-line. [m]
    normals : ndarray, shape (corners, 3)
        Unit normals of the strip's surface.
    offsets_m : ndarray, shape (lines,)
        Distance of each line from the centre-line, positive to the right of its way, seen against the normal. [m]

    Returns
    -------
    ndarray, shape (lines, corners, 3)
        Corners of the lines. [m]
    """
    way = np.roll(corners_m, -1, axis=0) - corners_m
    right_after, right_before = (_unit(np.cross(w, normals)) for w in (way, np.roll(way, 1, axis=0)))
    turn = 1 + np.sum(right_after * right_before, axis=1)
    mitre = (right_after + right_before) / turn[:, None]
    return np.asarray(corners_m + offsets_m[:, None, None] * mitre)


def lines_keep_their_way(corners_m: Floats, lines_m: Floats) -> bool:
    """Say whether no segment of the lines (lines, corners, 3) [m] turns back against its centre-line's (corners, 3)."""
    ways = [np.roll(line, -1, axis=-2) - line for line in (corners_m, lines_m)]
    return bool(np.all(np.sum(ways[0] * ways[1], axis=-1) > 0))


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))
