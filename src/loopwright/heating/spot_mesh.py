"""Planes of a graded grid of bricks round a hot spot: one quarter, for the spot is symmetric."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.columns import column_transfer_w_per_m2_k
from loopwright.heating.layers import Layer
from loopwright.heating.spot import Part, Side, SpotStack, Stretch, Trace

__all__ = ["SpotPlanes", "decay_length_m", "graded_m", "spot_planes"]

#: Bricks along the shortest edge of the spot where it meets the metal, and how fast they grow with the distance from
#: there, on the coarsest grid.
BRICKS_ALONG_EDGE = 6
GROWTH = 0.4

#: Decay lengths of the rise between the spot and the sides, where heat does not flow. A side that mirrors the heat
#: adds to the hot spot what decays there and back again: exp(-8).
DECAY_LENGTHS = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotPlanes:
    """Coordinates of the planes of a grid. [m]

    ``x_m`` runs along the conductor from the middle of the spot, ``y_m`` across it, ``z_m`` from the core (negative)
    through the conductor at nought to the outside.
    """

    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    z_m: NDArray[np.float64]

    @property
    def nodes(self) -> int:
        """How many points the grid has."""
        return len(self.x_m) * len(self.y_m) * len(self.z_m)


def graded_m(
    breaks_m: Sequence[float], *, sharp_m: Sequence[float], least_m: float, largest_m: float, fineness: int
) -> NDArray[np.float64]:
    """Planes through all breaks, close together at the sharp ones and wider away from them. [m]

    Parameters
    ----------
    breaks_m : sequence of float
        Where there must be a plane; the first and last are the ends. [m]
    sharp_m : sequence of float
        Where the heat begins or ends. [m]
    least_m, largest_m : float
        Distance of planes at a sharp break, and the most anywhere, where ``fineness`` is 1. [m]
    fineness : int
        Into how many each interval of the coarsest planes is divided; planes of fineness 2 hold those of 1.

    Returns
    -------
    ndarray, shape (planes,)
        [m]
    """
    marks = sorted(set(breaks_m))
    merged = [marks[0]] + [b for a, b in pairwise(marks) if b - a > 1e-9]
    pieces = [np.array([merged[0]])]
    for start, end in pairwise(merged):
        s = np.linspace(start, end, 801)
        distance = np.min(np.abs(s[:, np.newaxis] - np.asarray(sharp_m)), axis=1)
        density = 1 / np.minimum(least_m + GROWTH * distance, largest_m)
        count = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2 * np.diff(s))])
        bricks = fineness * max(1, math.ceil(count[-1] - 1e-6))
        pieces.append(np.interp(np.linspace(0, count[-1], bricks + 1), count, s)[1:])
    return np.concatenate(pieces)


def decay_length_m(stack: SpotStack, *, sheet_w_per_k: float) -> float:
    """Length over which a rise falls to 1/e sideways, taken long. [m]

    Parameters
    ----------
    stack : SpotStack
    sheet_w_per_k : float
        Conductivity times thickness of the metal. [W/K]

    Returns
    -------
    float
        The longer of that of the array as one sheet that loses heat on both sides, and that of the tissue. [m]
    """
    array = stack.outer + stack.inner + stack.between
    spreading = sheet_w_per_k + sum(layer.conductivity_w_per_m_k * layer.thickness_m for layer in array)
    outwards = column_transfer_w_per_m2_k(stack.outer, stack.air.transfer_w_per_m2_k)
    inwards = column_transfer_w_per_m2_k(stack.below, stack.core.transfer_w_per_m2_k)
    loss = outwards + inwards
    if loss == 0:
        raise OutsideModelError("a hot spot from which no heat can leave has no steady temperature")
    tissue = max((_tissue_decay_m(layer, stack) for layer in stack.tissue), default=0.0)
    return max(math.sqrt(spreading / loss), tissue)


def _tissue_decay_m(layer: Layer, stack: SpotStack) -> float:
    """Of one layer of tissue: what blood leaves, at most the depth of all tissue. [m]"""
    depth = stack.core_m - stack.skin_m
    if layer.perfusion_w_per_m3_k == 0:
        return depth
    return min(depth, math.sqrt(layer.conductivity_w_per_m_k / layer.perfusion_w_per_m3_k))


def spot_planes(
    heat: Part | Stretch, trace: Trace, stack: SpotStack, *, fineness: int, extent_factor: float = 1.0
) -> SpotPlanes:
    """Grid round a hot spot with planes at every face of it and of the layers.

    Parameters
    ----------
    heat : Part or Stretch
    trace : Trace
    stack : SpotStack
    fineness : int
        As in :func:`graded_m`.
    extent_factor : float
        By which the grid is wider than usual, to see that the width does not matter.

    Raises
    ------
    OutsideModelError
        Where a part on the side of the skin is higher than the layers that it stands in.
    """
    edges_x, edges_y, top = _edges_m(heat, trace, stack)
    sheet = trace.conductivity_w_per_m_k * trace.thickness_m
    along, across = (extent_factor * decay_length_m(stack, sheet_w_per_k=s) for s in (sheet, 0.0))
    x_end = max(edges_x) + DECAY_LENGTHS * min(along, trace.length_m / 2 / DECAY_LENGTHS + across)
    x_breaks = [0.0, *edges_x, *([trace.length_m / 2] if trace.length_m / 2 < x_end else []), x_end]
    y_breaks = [0.0, *edges_y, max(edges_y) + DECAY_LENGTHS * across]
    z_breaks = [0.0, top, *_faces(stack.outer), *(-z for z in _faces(stack.below))]
    depth = min([across, *(_tissue_decay_m(layer, stack) for layer in stack.tissue)])

    def planes(breaks: list[float], sharp: tuple[float, ...], edge: float, largest: float) -> NDArray[np.float64]:
        least = edge / BRICKS_ALONG_EDGE
        return graded_m(breaks, sharp_m=sharp, least_m=least, largest_m=largest, fineness=fineness)

    flat = 2 * min(max(edges_x), *edges_y)
    return SpotPlanes(
        x_m=planes(x_breaks, edges_x, flat, along),
        y_m=planes(y_breaks, (min(edges_y),), flat, across),
        z_m=planes(z_breaks, (0.0,), min(flat, abs(top)) if top else flat, depth / 2),
    )


def _edges_m(
    heat: Part | Stretch, trace: Trace, stack: SpotStack
) -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Where heat or metal begins or ends along and across the conductor, and how far up. [m]"""
    if isinstance(heat, Stretch):
        return (heat.length_m / 2,), (trace.width_m / 2,), 0.0
    if heat.side is Side.SKIN and heat.height_m > stack.applied_m:
        raise OutsideModelError(
            f"the part is {heat.height_m * 1e3:g} mm high but the layers between the conductor and the surface "
            f"that faces the skin are {stack.applied_m * 1e3:g} mm thick: make them thicker or turn the part round"
        )
    top = heat.height_m if heat.side is Side.OUTER else -heat.height_m
    return (heat.gap_m / 2, heat.length_m / 2), (heat.width_m / 2, trace.width_m / 2), top


def _faces(layers: tuple[Layer, ...]) -> list[float]:
    """Distances from the conductor of the far faces of layers. [m]"""
    return list(np.cumsum([layer.thickness_m for layer in layers]))
