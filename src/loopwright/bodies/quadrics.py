"""The shapes that bodies are built from: ellipsoids, also cut by axis-parallel planes, elliptic columns, domes, blocks.

All are convex. Each tells whether a point is inside, a bound of the distance to its surface, and how much of every
face and voxel of a grid it fills, in closed form.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, pi

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.closest import depth_in_block_m, depth_in_dome_m, depth_in_ellipsoid_m
from loopwright.bodies.corners import ball_corner_volume, disc_corner_area

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

_NO_LOWER: Triple = (-inf, -inf, -inf)
_NO_UPPER: Triple = (inf, inf, inf)

#: A cut plane on a face plane of the grid leaves that face empty: no current crosses the end of a body.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipsoid:
    """An ellipsoid with axes along x, y, z; what lies outside the box from ``lower_m`` to ``upper_m`` is cut away."""

    semi_axes_m: Triple
    centre_m: Triple = (0.0, 0.0, 0.0)
    lower_m: Triple = _NO_LOWER
    upper_m: Triple = _NO_UPPER

    @property
    def volume_m3(self) -> float:
        """Volume of what is left by the cuts. [m^3]"""
        nodes = [self._scaled(np.array([-inf, inf]), axis) for axis in range(3)]
        return float(_cell_measure(ball_corner_volume(*np.ix_(*nodes))).item() * np.prod(self.semi_axes_m))

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of a box that holds it, cuts ignored. [m]"""
        return _box(self.centre_m, self.semi_axes_m)

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        in_box = np.all((points_m >= self.lower_m) & (points_m < self.upper_m), axis=1)
        return np.asarray((self._radius(points_m) < 1) & in_box)

    def clearance_m(self, points_m: Real) -> Real:
        """Lower bound of the distance from points (n, 3) [m] to the surface; shape (n,). [m]

        Exact for an uncut sphere: scaling to the unit ball stretches no distance by more than 1/(least semi-axis).
        """
        to_quadric = (self._radius(points_m) - 1) * min(self.semi_axes_m)
        to_box = np.max(np.maximum(np.asarray(self.lower_m) - points_m, points_m - np.asarray(self.upper_m)), axis=1)
        return np.abs(np.maximum(to_quadric, to_box))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the uncut surface, positive inside; shape (n,). [m]"""
        return depth_in_ellipsoid_m(points_m - self.centre_m, self.semi_axes_m)

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]"""
        first, second = _others(axis)
        height = (nodes_m[axis] - self.centre_m[axis]) / self.semi_axes_m[axis]
        kept = (nodes_m[axis] >= self.lower_m[axis]) & (nodes_m[axis] < self.upper_m[axis])
        radius = np.sqrt(np.maximum(1 - height**2, 0)) * kept
        radius_safe = np.where(radius > 0, radius, 1)[:, None, None]
        u = self._scaled(nodes_m[first], first)[None, :, None] / radius_safe
        v = self._scaled(nodes_m[second], second)[None, None, :] / radius_safe
        area = np.diff(np.diff(disc_corner_area(u, v), axis=1), axis=2) * radius[:, None, None] ** 2
        return _from_axis_first(area * self.semi_axes_m[first] * self.semi_axes_m[second], axis)

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m]. [m^3]"""
        nodes = [self._scaled(nodes_m[axis], axis) for axis in range(3)]
        return _cell_measure(ball_corner_volume(*np.ix_(*nodes))) * np.prod(self.semi_axes_m)

    def _radius(self, points_m: Real) -> Real:
        return np.linalg.norm((points_m - self.centre_m) / self.semi_axes_m, axis=1)

    def _scaled(self, nodes_m: Real, axis: int) -> Real:
        """Nodes brought into the kept box, in units of the semi-axis."""
        kept = np.clip(nodes_m, self.lower_m[axis], self.upper_m[axis])
        return np.clip((kept - self.centre_m[axis]) / self.semi_axes_m[axis], -1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class EllipticColumn:
    """An elliptic cylinder whose axis runs along z, cut flat at both ends."""

    semi_axes_m: tuple[float, float]
    height_m: float
    centre_m: Triple = (0.0, 0.0, 0.0)

    @property
    def volume_m3(self) -> float:
        """Volume. [m^3]"""
        return pi * self.semi_axes_m[0] * self.semi_axes_m[1] * self.height_m

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of the smallest box that holds it. [m]"""
        return _box(self.centre_m, (*self.semi_axes_m, self.height_m / 2))

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        return np.asarray((self._radius(points_m) < 1) & (self._past_middle_m(points_m) < self.height_m / 2))

    def clearance_m(self, points_m: Real) -> Real:
        """Lower bound of the distance from points (n, 3) [m] to side and ends; shape (n,). [m]"""
        to_side = (self._radius(points_m) - 1) * min(self.semi_axes_m)
        return np.abs(np.maximum(to_side, self._past_middle_m(points_m) - self.height_m / 2))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to side and ends, positive inside; outside minus a lower bound of it. [m]"""
        to_side = depth_in_ellipsoid_m((points_m - self.centre_m)[:, :2], self.semi_axes_m)
        return np.asarray(np.minimum(to_side, self.height_m / 2 - self._past_middle_m(points_m)))

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]"""
        if axis == 2:
            kept = np.abs(nodes_m[2] - self.centre_m[2]) < self.height_m / 2 * (1 - _ROUNDING)
            return np.asarray(self._disc_area_m2(nodes_m)[:, :, None] * kept)
        other = 1 - axis
        along = (nodes_m[axis] - self.centre_m[axis]) / self.semi_axes_m[axis]
        half_width = self.semi_axes_m[other] * np.sqrt(np.maximum(1 - along**2, 0))
        inside = np.clip((nodes_m[other] - self.centre_m[other])[None, :], -half_width[:, None], half_width[:, None])
        width = np.diff(inside, axis=1)
        return np.asarray((width if axis == 0 else width.T)[:, :, None] * self._slab_m(nodes_m))

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m]. [m^3]"""
        return np.asarray(self._disc_area_m2(nodes_m)[:, :, None] * self._slab_m(nodes_m))

    def _radius(self, points_m: Real) -> Real:
        return np.linalg.norm((points_m[:, :2] - self.centre_m[:2]) / self.semi_axes_m, axis=1)

    def _past_middle_m(self, points_m: Real) -> Real:
        return np.abs(points_m[:, 2] - self.centre_m[2])

    def _slab_m(self, nodes_m: Sequence[Real]) -> Real:
        """Length of every cell along z that lies between the ends, shape (nz,)."""
        return _covered_m(nodes_m[2], self.centre_m[2], self.height_m / 2)

    def _disc_area_m2(self, nodes_m: Sequence[Real]) -> Real:
        """Area of the cross-section in every column of cells, shape (nx, ny)."""
        (a, b), (x, y, _) = self.semi_axes_m, self.centre_m
        corners = disc_corner_area((nodes_m[0][:, None] - x) / a, (nodes_m[1][None, :] - y) / b)
        return np.asarray(np.diff(np.diff(corners, axis=0), axis=1) * a * b)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dome:
    """The upper half of an ellipsoid on an elliptic column of the same section, which is cut flat ``height_m`` below.

    ``centre_m`` is the middle of the plane in which the two meet, without a step.
    """

    semi_axes_m: Triple
    height_m: float
    centre_m: Triple = (0.0, 0.0, 0.0)

    @property
    def volume_m3(self) -> float:
        """Volume. [m^3]"""
        a, b, c = self.semi_axes_m
        return pi * a * b * (self.height_m + 2 / 3 * c)

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of the smallest box that holds it. [m]"""
        lower, upper = _box(self.centre_m, self.semi_axes_m)
        return (lower[0], lower[1], self._end_m), upper

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        return np.asarray((self._radius(points_m) < 1) & (points_m[:, 2] > self._end_m))

    def clearance_m(self, points_m: Real) -> Real:
        """Lower bound of the distance from points (n, 3) [m] to cap, side and end; shape (n,). [m]"""
        to_skin = (self._radius(points_m) - 1) * min(self.semi_axes_m)
        return np.abs(np.maximum(to_skin, self._end_m - points_m[:, 2]))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to cap, side and end, positive inside, low below the cap; shape (n,). [m]"""
        return depth_in_dome_m(points_m - self.centre_m, self.semi_axes_m, self.height_m)

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]"""
        cap, column = self._parts
        if axis != 2:
            return cap.face_area_m2(axis, nodes_m) + column.face_area_m2(axis, nodes_m)
        # The plane in which the parts meet is no cut: a face on it belongs to the column alone.
        up = nodes_m[2] > self.centre_m[2]
        below = replace(column, height_m=2 * self.height_m, centre_m=self.centre_m).face_area_m2(2, nodes_m)
        return np.where(up, cap.face_area_m2(2, nodes_m), below)

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m]. [m^3]"""
        cap, column = self._parts
        return cap.cell_volume_m3(nodes_m) + column.cell_volume_m3(nodes_m)

    @property
    def _end_m(self) -> float:
        """Where the column ends below. [m]"""
        return self.centre_m[2] - self.height_m

    @property
    def _parts(self) -> tuple[Ellipsoid, EllipticColumn]:
        """The cap and the column below it."""
        (a, b, _), (x, y, z) = self.semi_axes_m, self.centre_m
        cap = Ellipsoid(semi_axes_m=self.semi_axes_m, centre_m=self.centre_m, lower_m=(-inf, -inf, z))
        return cap, EllipticColumn(semi_axes_m=(a, b), height_m=self.height_m, centre_m=(x, y, z - self.height_m / 2))

    def _radius(self, points_m: Real) -> Real:
        """Distance from the middle in units of the half-axes; of the column below, from its axis."""
        scaled = (points_m - self.centre_m) / self.semi_axes_m
        return np.linalg.norm(np.maximum(scaled, [-inf, -inf, 0.0]), axis=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A rectangular block with edges along x, y, z; ``semi_axes_m`` are half of its sizes."""

    semi_axes_m: Triple
    centre_m: Triple = (0.0, 0.0, 0.0)

    @property
    def volume_m3(self) -> float:
        """Volume. [m^3]"""
        x, y, z = self.semi_axes_m
        return 8 * x * y * z

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner. [m]"""
        return _box(self.centre_m, self.semi_axes_m)

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""
        return np.asarray(self._outward_m(points_m).max(axis=1) < 0)

    def clearance_m(self, points_m: Real) -> Real:
        """Distance from points (n, 3) [m] to the nearest face; a lower bound beside edges; shape (n,). [m]"""
        return np.abs(self._outward_m(points_m).max(axis=1))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the nearest face, positive inside; shape (n,). [m]"""
        return depth_in_block_m(points_m - self.centre_m, self.semi_axes_m)

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]"""
        kept = np.abs(nodes_m[axis] - self.centre_m[axis]) < self.semi_axes_m[axis] * (1 - _ROUNDING)
        parts = [kept.astype(float) if other == axis else self._covered_m(nodes_m, other) for other in range(3)]
        return np.asarray(np.prod(np.broadcast_arrays(*np.ix_(*parts)), axis=0))

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m]. [m^3]"""
        parts = [self._covered_m(nodes_m, axis) for axis in range(3)]
        return np.asarray(np.prod(np.broadcast_arrays(*np.ix_(*parts)), axis=0))

    def _outward_m(self, points_m: Real) -> Real:
        """How far points lie outside each pair of faces, negative between them, shape (n, 3)."""
        return np.asarray(np.abs(points_m - self.centre_m) - self.semi_axes_m)

    def _covered_m(self, nodes_m: Sequence[Real], axis: int) -> Real:
        return _covered_m(nodes_m[axis], self.centre_m[axis], self.semi_axes_m[axis])


Quadric = Ellipsoid | EllipticColumn | Dome | Block


def _box(centre_m: Triple, half_m: Triple) -> tuple[Triple, Triple]:
    (x, y, z), (a, b, c) = centre_m, half_m
    return (x - a, y - b, z - c), (x + a, y + b, z + c)


def _covered_m(nodes_m: Real, centre_m: float, half_m: float) -> Real:
    """Length of every cell along one axis that lies within ``half_m`` of the centre, shape (n,)."""
    return np.diff(np.clip(nodes_m, centre_m - half_m, centre_m + half_m))


def _others(axis: int) -> tuple[int, int]:
    """The two other axes, in ascending order."""
    first, second = (other for other in range(3) if other != axis)
    return first, second


def _from_axis_first(values: Real, axis: int) -> Real:
    """Bring an array whose first dimension runs along ``axis`` into the order x, y, z."""
    return np.moveaxis(values, 0, axis)


def _cell_measure(corners: Real) -> Real:
    """Third difference of a cumulative measure at the nodes."""
    return np.diff(np.diff(np.diff(corners, axis=0), axis=1), axis=2)
