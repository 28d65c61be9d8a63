"""A body bounded by triangles, also cut by axis-parallel planes: what it fills of every voxel and face."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import inf

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.clipping import kept_corners_m, wound_area_m2, wound_volume_m3
from loopwright.bodies.columns import covered_by_columns
from loopwright.bodies.triangle_tree import TriangleTree, depth_m, triangle_tree, winding
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

#: A plane of the grid is the plane of a corner within this part of a voxel.
_SAME_PLANE = 1e-6
#: Columns across a voxel, each way, where parts of the surface overlap.
_COLUMNS = 4
#: Cells along each axis in which a volume is found, and parts of the surface that overlap are sought.
_CELLS_OF_ALL = 64


@dataclass(frozen=True, kw_only=True, eq=False)
class MeshShape:
    """What a closed surface holds; what lies outside the box from ``lower_m`` to ``upper_m`` is cut away.

    Volumes and areas are exact where the surface winds once around its inside. Where parts of it overlap or are turned
    inside out, what is wound once or more is inside, found along 4 times 4 columns in a voxel and 4 in a face.

    Raises
    ------
    OutsideModelError
        If the surface is not closed, looks inwards, or lies outside the box.
    """

    surface: Surface
    lower_m: Triple = (-inf, -inf, -inf)
    upper_m: Triple = (inf, inf, inf)

    def __post_init__(self) -> None:
        """Refuse a surface that bounds nothing."""
        edges = self.surface.triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        size = len(self.surface.vertices_m)
        there, back = (np.sort(edges[:, one] * size + edges[:, other]) for one, other in ((0, 1), (1, 0)))
        if not np.array_equal(there, back):
            raise OutsideModelError(
                "The surface is not closed: it has edges with one triangle, or neighbours that look to opposite sides."
            )
        if self.surface.volume_m3 <= 0:
            raise OutsideModelError("The surface looks inwards: turn the corners of its triangles round.")
        if len(self.outline_m) == 0:
            raise OutsideModelError("Nothing of the surface lies inside the box that it is cut by.")

    @cached_property
    def outline_m(self) -> Real:
        """Points of the surface that are left by the cuts, whose convex hull holds the shape; shape (n, 3). [m]"""
        corners = self.surface.corners_m
        lower, upper = np.asarray(self.lower_m), np.asarray(self.upper_m)
        whole = np.all((corners >= lower) & (corners <= upper), axis=(1, 2))
        met = np.all((corners.max(axis=1) >= lower) & (corners.min(axis=1) <= upper), axis=1)
        pieces = kept_corners_m(corners[met & ~whole], lower, upper)
        box = np.array([corner for corner in product(*zip(lower, upper, strict=True)) if np.all(np.isfinite(corner))])
        inside = box.reshape(-1, 3)[winding(self._tree, box.reshape(-1, 3)) > 0]
        return np.vstack([corners[whole].reshape(-1, 3), pieces, inside])

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of the smallest box that holds what the cuts leave. [m]"""
        a, b, c = self.outline_m.min(axis=0).tolist()
        d, e, f = self.outline_m.max(axis=0).tolist()
        return (a, b, c), (d, e, f)

    @cached_property
    def volume_m3(self) -> float:
        """Volume of what is left by the cuts. [m^3]"""
        nodes = [np.linspace(low, high, _CELLS_OF_ALL + 1) for low, high in zip(*self.box_m, strict=True)]
        return float(self.cell_volume_m3(nodes).sum())

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        found = np.all((points_m >= self.lower_m) & (points_m < self.upper_m), axis=1)
        found[found] = winding(self._tree, points_m[found]) > 0
        return found

    def clearance_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to surface and cuts; a lower bound outside; shape (n,). [m]"""
        return np.abs(self.depth_m(points_m))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to surface and cuts, positive inside; shape (n,). [m]

        Exact inside; beyond a cut minus a lower bound. Parts of the surface that lie inside others do not count.
        """
        to_cuts = np.minimum(points_m - self.lower_m, np.asarray(self.upper_m) - points_m).min(axis=1)
        return np.minimum(depth_m(self._tree, self._walls, points_m), to_cuts)

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]

        A face in the plane of a flat piece of the surface, or of a cut, is empty.
        """
        u, v, w = (self._kept(nodes_m[(axis + turn) % 3], (axis + turn) % 3) for turn in range(3))
        corners = self._turned_m[axis]
        step = nodes_m[axis][1] - nodes_m[axis][0]
        area = self._areas_m2(corners, u, v, w)
        flat = u[_to_nearest(np.unique(corners[:, :, 0]), u) < _SAME_PLANE * step]
        if len(flat):
            before, behind = (self._areas_m2(corners, flat + side * _SAME_PLANE * step, v, w) for side in (-1, 1))
            area[np.isin(u, flat)] = np.minimum(before, behind)
        inside = (nodes_m[axis] > self.lower_m[axis] + _SAME_PLANE * step) & (
            nodes_m[axis] < self.upper_m[axis] - _SAME_PLANE * step
        )
        return np.transpose(area * inside[:, None, None], np.argsort([(axis + turn) % 3 for turn in range(3)]))

    def _areas_m2(self, corners: Real, u: Real, v: Real, w: Real) -> Real:
        whole = np.diff(v)[:, None] * np.diff(w)
        area = wound_area_m2(corners, u, v, w)
        if self._overlaps or _beyond(area, whole):
            length, tangled = covered_by_columns(corners, u[:, None], _across(v), w)
            area = np.where(tangled, length * np.diff(v)[:, None], area)
        return np.clip(area, 0, whole)

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m]. [m^3]"""
        x, y, z = (self._kept(nodes_m[axis], axis) for axis in range(3))
        corners = self._turned_m[0]
        across = np.diff(x)[:, None, None] * np.diff(y)[:, None]
        volume = wound_volume_m3(corners, x, y, z)
        if self._overlaps or _beyond(volume, across * np.diff(z)):
            length, tangled = covered_by_columns(corners, _across(x), _across(y), z)
            volume = np.where(tangled, length * across, volume)
        return np.clip(volume, 0, across * np.diff(z))

    def _kept(self, nodes_m: Real, axis: int) -> Real:
        """Nodes brought into the kept box. [m]"""
        return np.clip(nodes_m, self.lower_m[axis], self.upper_m[axis])

    @cached_property
    def _turned_m(self) -> tuple[Real, Real, Real]:
        """Corners of the triangles with the coordinates turned so that each axis comes first. [m]"""
        x, y, z = (np.ascontiguousarray(np.roll(self.surface.corners_m, -axis, axis=2)) for axis in range(3))
        return x, y, z

    @cached_property
    def _overlaps(self) -> bool:
        """Whether a column through the surface finds any part of it wound otherwise than once or not at all."""
        low, high = self.surface.box_m
        x, y, z = (np.linspace(low[axis], high[axis], _CELLS_OF_ALL + 1) for axis in range(3))
        return bool(covered_by_columns(self._turned_m[0], _across(x), _across(y), z)[1].any())

    @cached_property
    def _tree(self) -> TriangleTree:
        return triangle_tree(self.surface.corners_m)

    @cached_property
    def _walls(self) -> TriangleTree:
        """The triangles with the inside behind them and the outside before them: all, where nothing overlaps."""
        if not self._overlaps:
            return self._tree
        corners, normals = self.surface.corners_m, self.surface.area_vectors_m2
        normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), np.finfo(float).tiny)
        hair = 1e-6 * np.max(np.subtract(*self.surface.box_m[::-1]))
        parts = np.array([[1, 1, 1], [8, 1, 1], [1, 8, 1], [1, 1, 8]], dtype=float)
        bare = np.zeros(len(corners), dtype=bool)
        for part in parts / parts.sum(axis=1, keepdims=True):
            at = part @ corners
            outside, inside = (winding(self._tree, at + side * hair * normals) for side in (1, -1))
            bare |= (outside <= 0) & (inside > 0)
        return triangle_tree(corners[bare])


def _across(nodes_m: Real) -> Real:
    """Positions of the columns in every cell, a hair off the middles, where corners rarely are; shape (n, 4). [m]"""
    return nodes_m[:-1, None] + np.diff(nodes_m)[:, None] * (np.arange(_COLUMNS) + 0.5 + 1e-5) / _COLUMNS


def _beyond(measure: Real, whole: Real) -> bool:
    """Whether any cell holds less than nothing or more than itself, by more than rounding."""
    least = 1e-9 * whole.max()
    return bool(np.any((measure < -least) | (measure > whole + least)))


def _to_nearest(places: Real, at: Real) -> Real:
    """Distance of each of ``at`` to the nearest of sorted places."""
    after = np.clip(np.searchsorted(places, at), 1, max(len(places) - 1, 1))
    return np.minimum(np.abs(places[np.minimum(after, len(places) - 1)] - at), np.abs(places[after - 1] - at))
