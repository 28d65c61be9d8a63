"""Steady temperatures of a stack of layers, exact to round-off, with perfusion after Pennes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import solve_banded

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.layers import Layer
from loopwright.heating.links import Row, row_of
from loopwright.heating.stack import Heat, Stack

__all__ = ["SteadyState", "steady_state", "temperature_at_c"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyState:
    """Temperatures and heat flows of a stack that no longer change.

    Attributes
    ----------
    stack, heat
        What it belongs to.
    faces_c : ndarray, shape (layers, 2)
        Temperature of each layer at its earlier and its later face; they differ across a contact resistance. [degC]
    given_w_per_m2 : float
        Heat put in, without metabolism. [W/m^2]
    metabolic_w_per_m2 : float
        [W/m^2]
    left_w_per_m2 : tuple of float
        Heat that leaves through the first and the last face. [W/m^2]
    perfusion_w_per_m2 : float
        Heat that blood takes away; negative where it brings heat. [W/m^2]
    """

    stack: Stack
    heat: Heat
    faces_c: Array
    given_w_per_m2: float
    metabolic_w_per_m2: float
    left_w_per_m2: tuple[float, float]
    perfusion_w_per_m2: float

    def before(self, name: str) -> float:
        """Temperature of the earlier face of a layer. [degC]"""
        return float(self.faces_c[self.stack.place_of(name), 0])

    def behind(self, name: str) -> float:
        """Temperature of the later face of a layer. [degC]"""
        return float(self.faces_c[self.stack.place_of(name), 1])


def steady_state(stack: Stack, heat: Heat) -> SteadyState:
    """Solve k T'' - w (T - T_blood) + q = 0 in every layer at once, without discretisation.

    Parameters
    ----------
    stack : Stack
    heat : Heat
        Beside the metabolism of the layers.

    Returns
    -------
    SteadyState

    Raises
    ------
    OutsideModelError
        If heat is put where the stack has no face or layer.

    Notes
    -----
    Flow of heat is across the layers only: a source smaller than the depth it has to heat is cooler than this, because
    heat also flows sideways. Perfusion is that of the table at all temperatures, as in Pennes' equation; living skin
    opens its vessels when it is warmed. Evaporation is left out.

    References
    ----------
    [pennes1948]; H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, section 4.14 [carslaw1959].
    """
    check_places(stack, heat)
    row = row_of(stack, heat, [np.array([layer.thickness_m]) for layer in stack.layers])
    nodes_c = _solved(row)
    faces_c = nodes_c[row.ends]
    bled = 0.0
    for layer, volume, (before_c, behind_c) in zip(stack.layers, _volumes(stack, heat), faces_c, strict=True):
        excess_k_m = _integral_k_m(layer, volume, before_c - stack.blood_c, behind_c - stack.blood_c)
        bled += layer.perfusion_w_per_m3_k * excess_k_m
    return SteadyState(
        stack=stack,
        heat=heat,
        faces_c=faces_c,
        given_w_per_m2=given_w_per_m2(stack, heat),
        metabolic_w_per_m2=sum(layer.metabolic_w_per_m3 * layer.thickness_m for layer in stack.layers),
        left_w_per_m2=left_w_per_m2(row, nodes_c),
        perfusion_w_per_m2=bled,
    )


def temperature_at_c(state: SteadyState, depth_m: ArrayLike) -> Array:
    """Temperature at depths below the first face. [degC]

    Parameters
    ----------
    state : SteadyState
    depth_m : array_like, shape (...)
        From 0 to the thickness of the stack; at a contact resistance, that of the later layer. [m]

    Returns
    -------
    ndarray, shape (...)

    Raises
    ------
    OutsideModelError
        If a depth lies outside the stack.
    """
    depth = np.asarray(depth_m, dtype=np.float64)
    tops = np.concatenate([[0.0], np.cumsum([layer.thickness_m for layer in state.stack.layers])])
    if np.any(depth < 0) or np.any(depth > tops[-1] * (1 + 1e-12)):
        raise OutsideModelError(f"the stack reaches from 0 to {tops[-1]:g} m")
    places = np.clip(np.searchsorted(tops, depth, side="right") - 1, 0, len(state.stack.layers) - 1)
    found = np.empty_like(depth)
    for place, (layer, volume) in enumerate(zip(state.stack.layers, _volumes(state.stack, state.heat), strict=True)):
        here = places == place
        excess_k = state.faces_c[place] - state.stack.blood_c
        found[here] = state.stack.blood_c + _profile_k(layer, volume, excess_k, depth[here] - tops[place])
    return found


def check_places(stack: Stack, heat: Heat) -> None:
    """Refuse heat at a face or in a layer that is not there."""
    layers = len(stack.layers)
    if any(not 0 <= face <= layers for face, _ in heat.sheets_w_per_m2):
        raise OutsideModelError(f"faces of this stack are 0 to {layers}")
    places = [place for place, _ in heat.volumes_w_per_m3]
    if any(not 0 <= place < layers for place in places) or len(set(places)) < len(places):
        raise OutsideModelError(f"layers of this stack are 0 to {layers - 1}, each named once")


def given_w_per_m2(stack: Stack, heat: Heat) -> float:
    """Heat put into a stack, without metabolism. [W/m^2]"""
    volumes = sum(volume * stack.layers[place].thickness_m for place, volume in heat.volumes_w_per_m3)
    return volumes + sum(sheet for _, sheet in heat.sheets_w_per_m2)


def left_w_per_m2(row: Row, nodes_c: Array) -> tuple[float, float]:
    """Heat that leaves a row of links with these nodes [degC] through its first and last one. [W/m^2]"""
    flows = []
    for node, inner, link, transfer, outside_c in zip(
        (0, -1), (1, -2), (0, -1), row.transfers, row.held_c, strict=True
    ):
        if np.isfinite(transfer):
            flows.append(transfer * (nodes_c[node] - outside_c))
        else:  # a held face passes on what its link and its sheet bring
            flows.append(row.source[node] - row.own[link] * nodes_c[node] + row.across[link] * nodes_c[inner])
    return float(flows[0]), float(flows[1])


def _solved(row: Row) -> Array:
    nodes_c = np.empty(row.diagonal.size)
    nodes_c[[0, -1]] = row.held_c
    source = row.source.copy()
    if row.free.start:
        source[1] += row.across[0] * nodes_c[0]
    if row.free.stop < nodes_c.size:
        source[-2] += row.across[-1] * nodes_c[-1]
    diagonal = row.diagonal[row.free]
    if diagonal.size:
        beside = row.across[row.free.start : row.free.stop - 1]
        band = np.zeros((3, diagonal.size))
        band[0, 1:], band[1], band[2, :-1] = -beside, diagonal, -beside
        nodes_c[row.free] = solve_banded((1, 1), band, source[row.free])
    return nodes_c


def _volumes(stack: Stack, heat: Heat) -> list[float]:
    """Heat made in each layer, metabolism and what is put in. [W/m^3]"""
    put = dict(heat.volumes_w_per_m3)
    return [layer.metabolic_w_per_m3 + put.get(place, 0.0) for place, layer in enumerate(stack.layers)]


def _profile_k(layer: Layer, volume: float, ends_k: Array, depth: Array) -> Array:
    """Excess over blood inside a layer from that of its two faces. [K]"""
    length, k, w = layer.thickness_m, layer.conductivity_w_per_m_k, layer.perfusion_w_per_m3_k
    if w == 0:
        return np.asarray(
            ends_k[0] + (ends_k[1] - ends_k[0]) * depth / length + volume / (2 * k) * depth * (length - depth)
        )
    m = np.sqrt(w / k)
    whole = -np.expm1(-2 * m * length)
    first = np.exp(-m * depth) * -np.expm1(-2 * m * (length - depth)) / whole
    last = np.exp(-m * (length - depth)) * -np.expm1(-2 * m * depth) / whole
    # 1 - first - last without cancellation
    inner = np.expm1(-m * depth) * np.expm1(-m * (length - depth)) / (1 + np.exp(-m * length))
    return np.asarray(ends_k[0] * first + ends_k[1] * last + volume / w * inner)


def _integral_k_m(layer: Layer, volume: float, before_k: float, behind_k: float) -> float:
    """Excess over blood, integrated through a perfused layer; zero is returned where there is no perfusion. [K m]"""
    w = layer.perfusion_w_per_m3_k
    if w == 0:
        return 0.0
    m = np.sqrt(w / layer.conductivity_w_per_m_k)
    each = np.tanh(m * layer.thickness_m / 2) / m
    return float((before_k + behind_k) * each + volume / w * (layer.thickness_m - 2 * each))
