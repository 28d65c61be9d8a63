"""Transforms of face components that are padded one axis at a time, for one array library each.

Components are held as three arrays of axes (x, rows, y, z), rows being fields of different sources. *Planes* are
transformed along y and z, *lines* along x too. No transform back is scaled: the kernel carries the factor.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

import scipy.fft

Array = Any
Shape = tuple[int, int, int]
Three = tuple[Array, Array, Array]
#: Takes lines and the slice of the y axis that they are, and returns what they become; may overwrite them.
Multiply = Callable[[Three, slice], Three]

# Columns of the y axis handled together: keeps the work of the widest stage in the cache. Odd, because lines that stand
# a power of two apart share the cache's places and take 1.6 times as long.
_COLUMNS_TOGETHER = 9


class Transforms(Protocol):
    """Three steps to the spectrum and back."""

    def to_planes(self, part: Array, padded: Shape) -> Array:
        """One component, padded along y and z."""

    def through_lines(self, planes: Three, padded: Shape, multiply: Multiply) -> Three:
        """Pad along x, multiply, and come back to planes."""

    def to_faces(self, planes: Array, faces: Shape) -> Array:
        """Come back from the planes of one component and crop."""


class ColumnTransforms:
    """SciPy's, for one row at a time on one core: axis by axis, 58 % of the work of a full padded transform."""

    def to_planes(self, part: Array, padded: Shape) -> Array:
        """One component, padded along y and z."""
        return scipy.fft.fft(scipy.fft.fft(part, n=padded[2], axis=3), n=padded[1], axis=2, overwrite_x=True)

    def through_lines(self, planes: Three, padded: Shape, multiply: Multiply) -> Three:
        """Pad along x, multiply, and come back to planes, a few columns at a time."""
        count = planes[0].shape[0]
        for start in range(0, padded[1], _COLUMNS_TOGETHER):
            columns = slice(start, min(start + _COLUMNS_TOGETHER, padded[1]))
            x, y, z = (scipy.fft.fft(part[:, :, columns, :], n=padded[0], axis=0) for part in planes)
            for part, line in zip(planes, multiply((x, y, z), columns), strict=True):
                part[:, :, columns, :] = scipy.fft.ifft(line, axis=0, norm="forward", overwrite_x=True)[:count]
        return planes

    def to_faces(self, planes: Array, faces: Shape) -> Array:
        """Come back from the planes of one component and crop."""
        narrow = scipy.fft.ifft(planes, axis=2, norm="forward", overwrite_x=True)[:, :, : faces[1]]
        return scipy.fft.ifft(narrow, axis=3, norm="forward")[..., : faces[2]]


class Leaves(Protocol):
    """Transforms of whole arrays, which may overwrite what they are given."""

    def forward(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform along the axes."""

    def back(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform back, not scaled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeTransforms:
    """For many rows at once: two transforms there and two back, along y and z together and along x, in place.

    Only the planes that hold faces are transformed along y and z; x stands first, so that they lie together.
    """

    namespace: Any
    leaves: Leaves

    def to_planes(self, part: Array, padded: Shape) -> Array:
        """One component, padded along all axes, transformed along y and z."""
        nx, rows, ny, nz = part.shape
        whole = self.namespace.zeros((padded[0], rows, *padded[1:]), dtype=part.dtype)
        whole[:nx, :, :ny, :nz] = part
        whole[:nx] = self.leaves.forward(whole[:nx], (2, 3))
        return whole

    def through_lines(self, planes: Three, padded: Shape, multiply: Multiply) -> Three:
        """Transform along x, multiply, and come back to planes."""
        x, y, z = (self.leaves.forward(part, (0,)) for part in planes)
        x, y, z = (self.leaves.back(line, (0,)) for line in multiply((x, y, z), slice(0, padded[1])))
        return x, y, z

    def to_faces(self, planes: Array, faces: Shape) -> Array:
        """Come back from the planes of one component and crop."""
        return self.leaves.back(planes[: faces[0]], (2, 3))[:, :, : faces[1], : faces[2]]


@dataclass(frozen=True, slots=True, kw_only=True)
class LibraryLeaves:
    """Those of any array library with the standard's ``fft``."""

    namespace: Any

    def forward(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform along the axes."""
        return self.namespace.fft.fftn(array, axes=axes)

    def back(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform back, not scaled."""
        return self.namespace.fft.ifftn(array, axes=axes, norm="forward")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLeaves:
    """CuPy's, in place, by plans that are made once for each shape; arrays must be contiguous."""

    cufft: Any
    plans: dict[tuple[tuple[int, ...], tuple[int, ...]], Any] = field(default_factory=dict)

    def forward(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform along the axes."""
        self._plan(array.shape, axes).fft(array, array, self.cufft.CUFFT_FORWARD)
        return array

    def back(self, array: Array, axes: tuple[int, ...]) -> Array:
        """Transform back, not scaled."""
        self._plan(array.shape, axes).fft(array, array, self.cufft.CUFFT_INVERSE)
        return array

    def _plan(self, shape: tuple[int, ...], axes: tuple[int, ...]) -> Any:
        if (shape, axes) not in self.plans:
            self.plans[shape, axes] = self._made(shape, axes)
        return self.plans[shape, axes]

    def _made(self, shape: tuple[int, ...], axes: tuple[int, ...]) -> Any:
        nx, rows, ny, nz = shape
        dimensions = tuple(shape[axis] for axis in axes)
        # lines stand a whole plane apart and side by side; planes one after the other
        stride, apart, batch = (rows * ny * nz, 1, rows * ny * nz) if axes == (0,) else (1, ny * nz, nx * rows)
        layout = (dimensions, stride, apart)
        return self.cufft.PlanNd(dimensions, *layout, *layout, self.cufft.CUFFT_C2C, batch, "C", axes[-1], None)
