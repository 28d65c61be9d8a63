"""Shapes and solids of labels: what a segmented image fills of every voxel and face of a grid."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from loopwright.bodies.imported.stairs import ColumnRuns, column_runs, distances_m
from loopwright.bodies.solids import Region, Solid
from loopwright.ground.labels import LabelVolume

__all__ = ["LabelShape", "labelled_solid"]

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]
Triple = tuple[float, float, float]

#: A plane nearer than this to one between voxels lies on it. [1 voxel]
_ON_PLANE = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class LabelShape:
    """The voxels of a volume that have one of several labels."""

    volume: LabelVolume
    labels: tuple[int, ...]

    @cached_property
    def mask(self) -> Mask:
        """Which voxels are inside, shape (nx, ny, nz)."""
        return np.isin(self.volume.labels, self.labels)

    @property
    def volume_m3(self) -> float:
        """Volume inside. [m^3]"""
        return float(np.sum(self.mask)) * self.volume.voxel_volume_m3

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of the smallest box that holds it. [m]"""
        low, high = [], []
        for axis, (origin, size) in enumerate(zip(self.volume.origin_m, self.volume.spacing_m, strict=True)):
            across = tuple(other for other in range(3) if other != axis)
            filled = np.flatnonzero(self.mask.any(axis=across))
            low.append(origin + size * filled[0])
            high.append(origin + size * (filled[-1] + 1))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    def contains(self, points_m: Real) -> Mask:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        at = np.floor((points_m - np.asarray(self.volume.origin_m)) / self.volume.spacing_m).astype(np.int64)
        within = np.all((at >= 0) & (at < self.mask.shape), axis=1)
        found = np.zeros(len(points_m), dtype=np.bool_)
        found[within] = self.mask[tuple(at[within].T)]
        return found

    def clearance_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the surface; shape (n,). [m]"""
        return np.abs(self.depth_m(points_m))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the surface, positive inside; shape (n,). [m]

        To the faces of its voxels, stairs and all.
        """
        inside = self.contains(points_m)
        found = np.zeros(len(points_m))
        # One layer of air goes round the volume, so that its ends are surface.
        places = (points_m - np.asarray(self.volume.origin_m)) / self.volume.spacing_m + 1
        spacing = np.asarray(self.volume.spacing_m)
        found[inside] = distances_m(self._to_air, places[inside], spacing)
        found[~inside] = -distances_m(self._to_body, places[~inside], spacing)
        return found

    @cached_property
    def _to_air(self) -> ColumnRuns:
        return column_runs(~np.pad(self.mask, 1))

    @cached_property
    def _to_body(self) -> ColumnRuns:
        return column_runs(np.pad(self.mask, 1))

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]

        On a plane between voxels the mean of both sides counts, and nothing beside a voxel of label 0, so that no
        current crosses the end of a body.
        """
        first, second = (other for other in range(3) if other != axis)
        position = (nodes_m[axis] - self.volume.origin_m[axis]) / self.volume.spacing_m[axis]
        nearest = np.rint(position)
        on_plane = np.abs(position - nearest) < _ON_PLANE
        below = np.where(on_plane, nearest - 1, np.floor(position)).astype(np.int64)
        above = np.where(on_plane, nearest, np.floor(position)).astype(np.int64)
        sides = [_layers(self.mask, axis, side) for side in (below, above)]
        body = [_layers(self.volume.labels > 0, axis, side) for side in (below, above)]
        share = (sides[0].astype(np.float64) + sides[1]) / 2 * (body[0] & body[1])
        across = _summed(share, 1, self._overlap_m(first, nodes_m[first]))
        return np.moveaxis(_summed(across, 2, self._overlap_m(second, nodes_m[second])), 0, axis)

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m], shape (nx, ny, nz). [m^3]"""
        found: NDArray[Any] = self.mask
        for axis in range(3):
            found = _summed(found, axis, self._overlap_m(axis, nodes_m[axis]))
        return found

    def _overlap_m(self, axis: int, nodes_m: Real) -> csr_array:
        """Length that every cell of a grid shares with every voxel along an axis, shape (cells, voxels). [m]"""
        own = self.volume.origin_m[axis] + self.volume.spacing_m[axis] * np.arange(self.mask.shape[axis] + 1)
        low = np.maximum(nodes_m[:-1, None], own[None, :-1])
        high = np.minimum(nodes_m[1:, None], own[None, 1:])
        return csr_array(np.maximum(high - low, 0))


def _layers(values: Mask, axis: int, at: NDArray[np.int64]) -> Mask:
    """Layers of a volume across an axis, that axis first; empty beyond its ends."""
    layers = np.moveaxis(values, axis, 0)
    inside = (at >= 0) & (at < len(layers))
    return np.asarray(layers[np.clip(at, 0, len(layers) - 1)] & inside[:, None, None])


def _summed(values: NDArray[Any], axis: int, weight: csr_array) -> Real:
    """Sum of an array over one axis with a weight (new, old), which leaves that axis new."""
    moved = np.moveaxis(values, axis, 0)
    summed = weight @ moved.reshape(len(moved), -1)
    return np.moveaxis(np.asarray(summed).reshape(-1, *moved.shape[1:]), 0, axis)


def labelled_solid(
    volume: LabelVolume, *, labels: Sequence[tuple[int, ...]], tissue_names: Sequence[str], name: str
) -> Solid:
    """A body of labels.

    Parameters
    ----------
    volume : LabelVolume
        The image, every label of it in ``labels`` or 0.
    labels : sequence of tuples of int
        Labels of each tissue.
    tissue_names : sequence of str
        Names of the tissues, in the same order.
    name : str
        What the body is called.
    """
    outer = Region(shape=LabelShape(volume=volume, labels=tuple(sum(labels, ()))), tissue=0, within=None)
    inner = [
        Region(shape=LabelShape(volume=volume, labels=tuple(of_tissue)), tissue=tissue, within=0)
        for tissue, of_tissue in enumerate(labels)
        if tissue > 0
    ]
    note = (
        "The surface is that of the image's voxels, with their stairs. Depth counts from the nearest air, that of "
        "airways and sinuses too."
    )
    return Solid(name=name, regions=(outer, *inner), tissue_names=tuple(tissue_names), notes=(note,))
