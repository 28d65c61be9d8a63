"""A flat film cut into small triangles, so that what happens on it can be told place by place."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

__all__ = ["FilmGrid", "film_grid", "inside_outline", "within_outline"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmGrid:
    """Nodes (nodes, 2) [m] of a flat film and its triangles (triangles, 3), which run against the clock."""

    nodes_m: Real
    triangles: NDArray[np.int64]

    @property
    def areas_m2(self) -> Real:
        """Area of every triangle, shape (triangles,). [m^2]"""
        a, b, c = np.moveaxis(self.nodes_m[self.triangles], 1, 0)
        return _cross(b - a, c - a) / 2

    @property
    def node_areas_m2(self) -> Real:
        """A third of the triangles about every node, shape (nodes,). [m^2]"""
        shares = np.zeros(len(self.nodes_m))
        np.add.at(shares, self.triangles.ravel(), np.repeat(self.areas_m2 / 3, 3))
        return shares


def film_grid(outline_m: Real, *, spacing_m: float) -> FilmGrid:
    """Triangles that fill a closed outline.

    Parameters
    ----------
    outline_m : ndarray, shape (corners, 2)
        Corners of the film, against the clock, the first not repeated. [m]
    spacing_m : float
        About how far nodes are apart. [m]

    Returns
    -------
    FilmGrid
    """
    rim = _resampled_m(outline_m, spacing_m)
    low, high = outline_m.min(axis=0), outline_m.max(axis=0)
    columns, rows = (np.arange(a + spacing_m / 2, b, spacing_m) for a, b in zip(low, high, strict=True))
    inner = np.stack(np.meshgrid(columns, rows, indexing="ij"), axis=-1).reshape(-1, 2)
    inner = inner[inside_outline(inner, outline_m)]
    inner = inner[_least_distance_m(inner, rim) > spacing_m / 2] if len(inner) else inner
    nodes = np.concatenate([rim, inner])
    triangles = Delaunay(nodes).simplices.astype(np.int64)
    corners = nodes[triangles]
    turned = _cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    triangles[turned < 0] = triangles[turned < 0][:, ::-1]
    kept = inside_outline(corners.mean(axis=1), outline_m) & (np.abs(turned) > 1e-6 * spacing_m**2)
    return FilmGrid(nodes_m=nodes, triangles=triangles[kept])


def inside_outline(points_m: Real, outline_m: Real) -> NDArray[np.bool_]:
    """Whether points (n, 2) [m] lie within a closed outline (corners, 2) [m]: rays cross it an odd number of times."""
    start, end = outline_m, np.roll(outline_m, -1, axis=0)
    x, y = points_m[:, :1], points_m[:, 1:]
    spans = (start[:, 1] > y) != (end[:, 1] > y)
    rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
    at = start[:, 0] + (y - start[:, 1]) / rise * (end[:, 0] - start[:, 0])
    return np.asarray((spans & (x < at)).sum(axis=1) % 2 == 1)


def within_outline(parts_m: Sequence[Real], outline_m: Real) -> tuple[Real, ...]:
    """What of closed outlines (corners, 2) lies within another one; nothing of those outside. [m]"""
    import shapely  # noqa: PLC0415 - slow to load, and only slits need it

    whole = shapely.Polygon(outline_m)
    kept = [shapely.intersection(shapely.make_valid(shapely.Polygon(part)), whole) for part in parts_m]
    pieces = [piece for one in kept for piece in shapely.get_parts(one) if piece.geom_type == "Polygon" and piece.area]
    return tuple(np.asarray(shapely.geometry.polygon.orient(piece).exterior.coords)[:-1] for piece in pieces)


def _resampled_m(outline_m: Real, spacing_m: float) -> Real:
    sides = zip(outline_m, np.roll(outline_m, -1, axis=0), strict=True)
    pieces = []
    for start, end in sides:
        count = max(1, ceil(np.linalg.norm(end - start) / spacing_m))
        pieces.append(start + (end - start) * (np.arange(count) / count)[:, None])
    return np.concatenate(pieces)


def _least_distance_m(points_m: Real, others_m: Real) -> Real:
    return np.asarray(np.linalg.norm(points_m[:, None] - others_m, axis=2).min(axis=1))


def _cross(first: Real, second: Real) -> Real:
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
