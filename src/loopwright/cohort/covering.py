"""Area that the elements of an array cover, overlaps counted once."""

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts import Layout
from loopwright.layouts.films.grids import inside_outline

__all__ = ["covered_area_m2"]

Real = NDArray[np.float64]

#: Rings of sample points between an element's centre and its outline.
_RINGS = 12
#: Points further above or below an element's plane than this part of its size are not under it.
_NEAR_PLANE = 0.5


def covered_area_m2(layout: Layout) -> float:
    """Area within the outlines of all elements, what several cover counted once. [m^2]

    Parameters
    ----------
    layout : Layout
        The array.

    Notes
    -----
    Every outline is a fan of triangles about its middle, sampled at the middles of cells; each sample counts by one
    over the number of outlines that hold its projection on their plane. Good to about one per cent of an element.
    """
    samples = [_fan(element.vertices_m) for element in layout.elements]
    total = 0.0
    for points, areas in samples:
        times = np.zeros(len(points))
        for element in layout.elements:
            times += _holds(element.vertices_m, np.array(element.normal), points, element.size_m)
        total += float(np.sum(areas / np.maximum(times, 1.0)))
    return total


def _fan(outline_m: Real) -> tuple[Real, Real]:
    """Sample points (n, 3) [m] inside an outline (m, 3) [m], and the area that each stands for (n,) [m^2]."""
    middle = outline_m.mean(axis=0)
    first, second = outline_m - middle, np.roll(outline_m, -1, axis=0) - middle
    triangle_m2 = np.linalg.norm(np.cross(first, second), axis=1) / 2
    inner, outer = np.arange(_RINGS) / _RINGS, (np.arange(_RINGS) + 1) / _RINGS
    at = (inner + outer) / 2
    points = middle + at[:, None, None] * ((first + second) / 2)[None]
    return points.reshape(-1, 3), ((outer**2 - inner**2)[:, None] * triangle_m2[None]).ravel()


def _holds(outline_m: Real, normal: Real, points_m: Real, size_m: float) -> NDArray[np.bool_]:
    """Whether the projections of points (n, 3) [m] on an element's plane lie in its outline (m, 3) [m]; (n,)."""
    middle = outline_m.mean(axis=0)
    along = outline_m[0] - middle
    along = along - (along @ normal) * normal
    along = along / np.linalg.norm(along)
    plane = np.stack([along, np.cross(normal, along)], axis=1)
    corners, flat = (outline_m - middle) @ plane, (points_m - middle) @ plane
    near = np.abs((points_m - middle) @ normal) < _NEAR_PLANE * size_m
    return near & inside_outline(flat, corners)
