"""How much of every cell and face of a grid each tissue of a body fills."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.shapes import Shape
from loopwright.bodies.solids import Solid

Real = NDArray[np.float64]
Float = TypeVar("Float", np.float32, np.float64)

#: Differences of closed forms round to about 1e-11 of a voxel; what is smaller than this is none of it.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """The cells from ``first`` to before ``end`` of a grid, along each axis."""

    first: tuple[int, ...]
    end: tuple[int, ...]

    def common(self, other: "_Window") -> "_Window":
        """The cells that are in both; none where they do not meet."""
        first = tuple(np.maximum(self.first, other.first).tolist())
        return _Window(first=first, end=tuple(np.maximum(np.minimum(self.end, other.end), first).tolist()))

    def slices(self, *, axis: int | None, start: tuple[int, ...] = (0, 0, 0)) -> tuple[slice, ...]:
        """Where its cells, or its faces normal to ``axis``, stand in an array that begins at ``start``."""
        return tuple(
            slice(first - origin, end - origin + (along == axis and end > first))
            for along, (first, end, origin) in enumerate(zip(self.first, self.end, start, strict=True))
        )

    def nodes_m(self, nodes_m: Sequence[Real]) -> list[Real]:
        """Its nodes, out of those of the grid. [m]"""
        return [along[first : end + 1] for along, first, end in zip(nodes_m, self.first, self.end, strict=True)]


def shares_of_cells(solid: Solid, nodes_m: Sequence[Real], kind: type[Float]) -> NDArray[Float]:
    """Share of every cell that each tissue fills.

    Parameters
    ----------
    solid : Solid
        The body.
    nodes_m : 3 ndarrays
        Evenly spaced nodes of the grid along x, y, z. [m]
    kind : type
        Of the numbers: single precision halves the memory.

    Returns
    -------
    ndarray, shape (tissues, nx, ny, nz)
        Never negative; they add up to one or less. A region counts what it fills of a cell, at most what the regions
        before it leave of the one that it lies in: exact where it lies wholly within, an upper bound of what is common
        to both in cells where it pokes out. [1]
    """
    return _shares(solid, nodes_m, lambda shape, nodes: shape.cell_volume_m3(nodes), axis=None, kind=kind)


def shares_of_faces(solid: Solid, nodes_m: Sequence[Real], axis: int, kind: type[Float]) -> NDArray[Float]:
    """Share of every face normal to ``axis`` that each tissue fills, as :func:`shares_of_cells`, nodes in [m]. [1]

    One more along ``axis`` than there are cells.
    """
    return _shares(solid, nodes_m, lambda shape, nodes: shape.face_area_m2(axis, nodes), axis=axis, kind=kind)


def _shares(
    solid: Solid,
    nodes_m: Sequence[Real],
    measure: Callable[[Shape, Sequence[Real]], Real],
    *,
    axis: int | None,
    kind: type[Float],
) -> NDArray[Float]:
    """Shares by handing every region its part of what the one around it still has."""
    everywhere = _Window(first=(0, 0, 0), end=tuple(len(along) - 1 for along in nodes_m))
    size: tuple[int, ...] = tuple(len(along) - 1 + (other == axis) for other, along in enumerate(nodes_m))
    whole = float(np.prod([along[1] - along[0] for other, along in enumerate(nodes_m) if other != axis]))
    air = (everywhere, np.ones(size))
    left: list[tuple[_Window, Real]] = []
    for region in solid.regions:
        around, free = air if region.within is None else left[region.within]
        window = around.common(_window(region.shape, nodes_m))
        free_here = free[window.slices(axis=axis, start=around.first)]
        if free_here.size:
            part = np.clip(measure(region.shape, window.nodes_m(nodes_m)) / whole, 0, free_here)
        else:
            part = np.zeros(free_here.shape)
        free_here -= part
        left.append((window, part))
    share = np.zeros((len(solid.tissue_names), *size), dtype=kind)
    for region, (window, part) in zip(solid.regions, left, strict=True):
        part[part < _ROUNDING] = 0
        share[region.tissue][window.slices(axis=axis)] += part.astype(kind)
    return share


def _window(shape: Shape, nodes_m: Sequence[Real]) -> _Window:
    """The cells in which a shape may have a part."""
    lower, upper = shape.box_m
    cells = [len(along) - 1 for along in nodes_m]
    first = [int(np.searchsorted(along, at, side="right")) - 1 for along, at in zip(nodes_m, lower, strict=True)]
    end = [int(np.searchsorted(along, at, side="left")) for along, at in zip(nodes_m, upper, strict=True)]
    begin = np.clip(first, 0, cells)
    return _Window(first=tuple(begin.tolist()), end=tuple(np.clip(end, begin, cells).tolist()))
