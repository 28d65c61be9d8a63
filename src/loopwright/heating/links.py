"""Cells of conducting, perfused material in a row, each solved exactly between its two ends.

In one cell k T'' - w (T - T_b) + q = 0 has an exact solution in hyperbolic functions, so the heat that flows in at its
ends is a linear function of the temperatures of the ends. Cells put together by these relations give temperatures at
their ends that are exact however thick the cells are; only heat storage asks for thin ones.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loopwright.heating.stack import Heat, Stack

__all__ = ["Row", "divided", "row_of"]

Array = NDArray[np.float64]


class Row(NamedTuple):
    """Links in a row and the nodes between them, per area; a contact resistance is a link that stores nothing.

    Heat that flows into a link at one of its ends is own x T_here - across x T_there - share, with ``own`` and
    ``across`` (links,) [W/(m^2 K)] and the share of its sources that comes out there. [W/m^2] ``bled`` (links,) is what
    blood takes of the sources while both ends are at 0. [W/m^2] ``ends`` (layers, 2) are the nodes at the faces of a
    layer, ``free`` those that are not held at a temperature. ``diagonal`` [W/(m^2 K)] and ``source`` [W/m^2] (nodes,)
    hold the surroundings too, ``mass`` (nodes,) is what stores heat. [J/(m^2 K)] ``transfers`` [W/(m^2 K)] and
    ``held_c`` [degC] belong to the surroundings.
    """

    own: Array
    across: Array
    bled: Array
    ends: NDArray[np.int64]
    diagonal: Array
    source: Array
    mass: Array
    free: slice
    transfers: tuple[float, float]
    held_c: tuple[float, float]


def divided(thickness_m: float, first_m: float, growth: float) -> Array:
    """Cut a layer into cells that grow from both faces to the middle by a constant ratio.

    Parameters
    ----------
    thickness_m, first_m : float
        Of the layer, and at most of the cells at its faces. [m]
    growth : float
        Thickness of a cell over that of its neighbour towards the face, above 1.

    Returns
    -------
    ndarray, shape (cells,)
        Their thicknesses; one cell where the layer is thinner than ``first_m``. [m]
    """
    if thickness_m <= first_m:
        return np.array([thickness_m])
    half = int(np.ceil(np.log1p(thickness_m / 2 / first_m * (growth - 1)) / np.log(growth)))
    grown = growth ** np.arange(half)
    return np.asarray(thickness_m / 2 / grown.sum() * np.concatenate([grown, grown[::-1]]), dtype=np.float64)


def row_of(stack: Stack, heat: Heat, cuts: list[Array]) -> Row:
    """Put the cells of a stack in a row, with its heat and surroundings; ``cuts`` are each layer's cells. [m]"""
    own, across, share, bled, capacity, ends = _links(stack, dict(heat.volumes_w_per_m3), cuts)
    nodes = own.size + 1
    diagonal, source, mass = (np.zeros(nodes) for _ in range(3))
    for end in (slice(0, -1), slice(1, None)):
        diagonal[end] += own
        source[end] += share
        mass[end] += capacity / 2
    for face, sheet in heat.sheets_w_per_m2:
        source[ends[face - 1, 1] if face else 0] += sheet
    transfers = (stack.first.transfer_w_per_m2_k, stack.last.transfer_w_per_m2_k)
    held = (stack.first.temperature_c, stack.last.temperature_c)
    for node, transfer, outside in zip((0, nodes - 1), transfers, held, strict=True):
        if np.isfinite(transfer):
            diagonal[node] += transfer
            source[node] += transfer * outside
    free = slice(int(np.isinf(transfers[0])), nodes - int(np.isinf(transfers[1])))
    return Row(own, across, bled, ends, diagonal, source, mass, free, transfers, held)


def _links(
    stack: Stack, volumes: dict[int, float], cuts: list[Array]
) -> tuple[Array, Array, Array, Array, Array, NDArray[np.int64]]:
    rows: list[Array] = []
    ends = []
    for place, (layer, cut) in enumerate(zip(stack.layers, cuts, strict=True)):
        if place and stack.contacts_k_m2_per_w and (resistance := stack.contacts_k_m2_per_w[place - 1]) > 0:
            rows.append(np.array([[1 / resistance], [1 / resistance], [0.0], [0.0], [0.0]]))
        made = layer.metabolic_w_per_m3 + volumes.get(place, 0.0) + layer.perfusion_w_per_m3_k * stack.blood_c
        own, across, each = _cell(cut, layer.conductivity_w_per_m_k, layer.perfusion_w_per_m3_k)
        stored = layer.density_kg_per_m3 * layer.heat_capacity_j_per_kg_k * cut
        start = sum(part.shape[1] for part in rows)
        rows.append(np.stack([own, across, made * each, made * (cut - 2 * each), stored]))
        ends.append((start, start + cut.size))
    own, across, share, bled, capacity = np.concatenate(rows, axis=1)
    return own, across, share, bled, capacity, np.array(ends, dtype=np.int64)


def _cell(thickness: Array, conductivity: float, perfusion: float) -> tuple[Array, Array, Array]:
    """Own and across [W/(m^2 K)], and the length of each cell whose sources come out at one end [m]."""
    # z = L sqrt(w/k); written with exp(-z) so that thick cells do not overflow.
    z = thickness * np.sqrt(perfusion / conductivity)
    if perfusion == 0:
        straight = conductivity / thickness
        return straight, straight, thickness / 2
    decay = np.exp(-z)
    sinh_like = -np.expm1(-2 * z)
    own = conductivity / thickness * z * (1 + decay**2) / sinh_like
    across = conductivity / thickness * z * 2 * decay / sinh_like
    return own, across, thickness / z * np.tanh(z / 2)
