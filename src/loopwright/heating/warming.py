"""How a stack of layers warms from one steady state towards another."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.links import Row, divided, row_of
from loopwright.heating.modes import StepResponse, modes_of_row
from loopwright.heating.slab import SteadyState, check_places, given_w_per_m2, steady_state
from loopwright.heating.stack import Heat, Stack

__all__ = ["Warming", "face_response", "warming"]

Array = NDArray[np.float64]
Placed = tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Warming:
    """Temperatures of a stack over time, after its heat has changed at t = 0.

    Attributes
    ----------
    before, final : SteadyState
        Where it starts, and where it ends.
    times_s : ndarray, shape (times,)
        [s]
    faces_c : ndarray, shape (times, layers, 2)
        Temperature of each layer at its earlier and its later face. [degC]
    time_constants_s : ndarray, shape (modes,)
        Of the stack, the slowest first. [s]
    given_j_per_m2, stored_j_per_m2, perfusion_j_per_m2 : ndarray, shape (times,)
        What the change of heat has put in, what has stayed, and what blood has taken away. [J/m^2]
    left_j_per_m2 : ndarray, shape (times, 2)
        What has left through the first and the last face. All four count from the state before. [J/m^2]
    """

    before: SteadyState
    final: SteadyState
    times_s: Array
    faces_c: Array
    time_constants_s: Array
    given_j_per_m2: Array
    stored_j_per_m2: Array
    left_j_per_m2: Array
    perfusion_j_per_m2: Array


def warming(stack: Stack, before: Heat, during: Heat, times_s: ArrayLike, *, fineness: float = 1.0) -> Warming:
    """Warm a stack from the steady state of ``before`` with the heat of ``during``.

    Parameters
    ----------
    stack : Stack
    before, during : Heat
    times_s : array_like, shape (times,)
        Not before 0; the least positive one sets how thin the cells at the faces are. [s]
    fineness : float
        Number of cells against the usual number; errors fall with its square.

    Returns
    -------
    Warming

    Raises
    ------
    OutsideModelError
        For times before 0, or heat where the stack has no place for it.

    Notes
    -----
    Second order in the thickness of cells, exact in time: the cells' equations are solved by their modes. The end is
    exact for any cells. Transfers to the surroundings stay what they are in ``stack``. For the rest see
    :func:`~loopwright.heating.slab.steady_state`.
    """
    times = np.atleast_1d(np.asarray(times_s, dtype=np.float64))
    if np.any(times < 0):
        raise OutsideModelError("times count from the change of heat and must not be negative")
    start, final = steady_state(stack, before), steady_state(stack, during)
    row, response = _answer(stack, _change(before, during), times, fineness)
    rise, integral = _all_nodes(row, response.rise_k(times)), _all_nodes(row, response.integral_k_s(times))
    kept = row.own - row.across  # what perfusion takes out of a link, at each of its ends
    return Warming(
        before=start,
        final=final,
        times_s=times,
        faces_c=start.faces_c + np.moveaxis(rise[row.ends], -1, 0),
        time_constants_s=1 / response.rates_per_s,
        given_j_per_m2=(given_w_per_m2(stack, during) - given_w_per_m2(stack, before)) * times,
        stored_j_per_m2=row.mass @ rise,
        left_j_per_m2=_left_j_per_m2(row, integral, times),
        perfusion_j_per_m2=kept @ (integral[1:] + integral[:-1]) + row.bled.sum() * times,
    )


def face_response(stack: Stack, heat: Heat, *, resolved_s: float, fineness: float = 1.0) -> StepResponse:
    """Rise at all faces of a stack after heat is switched on, as a function of time.

    Parameters
    ----------
    stack : Stack
    heat : Heat
    resolved_s : float
        The shortest time that is of interest. [s]
    fineness : float
        As in :func:`warming`.

    Returns
    -------
    StepResponse
        Places are the earlier and the later face of layer 0, of layer 1, and so on.

    Raises
    ------
    OutsideModelError
        If the time is not positive, or for heat where the stack has no place for it.
    """
    row, response = _answer(stack, heat, np.array([resolved_s]), fineness)
    weights = _all_nodes(row, response.weights_k_per_s)[row.ends.ravel()]
    return StepResponse(rates_per_s=response.rates_per_s, weights_k_per_s=weights)


def _answer(stack: Stack, extra: Heat, times: Array, fineness: float) -> tuple[Row, StepResponse]:
    check_places(stack, extra)
    if fineness <= 0 or not np.any(times > 0):
        raise OutsideModelError("the fineness and one time at least must be positive")
    cuts = _cuts(stack, float(times[times > 0].min()), fineness)
    row = row_of(_at_zero(stack), extra, cuts)
    free = row.free
    inner = row.across[free.start : free.stop - 1]
    return row, modes_of_row(row.diagonal[free], -inner, row.mass[free], row.source[free])


def _change(before: Heat, during: Heat) -> Heat:
    return Heat(
        sheets_w_per_m2=_less(before.sheets_w_per_m2, during.sheets_w_per_m2),
        volumes_w_per_m3=_less(before.volumes_w_per_m3, during.volumes_w_per_m3),
    )


def _less(first: Placed, then: Placed) -> Placed:
    """Heat at each place of ``then`` less that of ``first``."""
    change = dict.fromkeys(sorted({place for place, _ in (*first, *then)}), 0.0)
    for sign, told in ((-1, first), (1, then)):
        for place, heat in told:
            change[place] += sign * heat
    return tuple(change.items())


def _at_zero(stack: Stack) -> Stack:
    """Return the stack of the rise alone: surroundings and blood at 0, no metabolism."""
    return replace(
        stack,
        layers=tuple(replace(layer, metabolic_w_per_m3=0.0) for layer in stack.layers),
        first=replace(stack.first, temperature_c=0.0),
        last=replace(stack.last, temperature_c=0.0),
        blood_c=0.0,
    )


def _cuts(stack: Stack, shortest_s: float, fineness: float) -> list[Array]:
    """Cells that are thin against the way of heat in the shortest time at the faces, and grow towards the middle."""
    cuts = []
    for layer in stack.layers:
        diffusivity = layer.conductivity_w_per_m_k / (layer.density_kg_per_m3 * layer.heat_capacity_j_per_kg_k)
        way_m = np.sqrt(diffusivity * shortest_s)
        cuts.append(divided(layer.thickness_m, float(way_m) / (16 * fineness), 1 + 1 / (16 * fineness)))
    return cuts


def _all_nodes(row: Row, free_nodes: Array) -> Array:
    nodes = np.zeros((row.diagonal.size, free_nodes.shape[-1]))
    nodes[row.free] = free_nodes
    return nodes


def _left_j_per_m2(row: Row, integral: Array, times: Array) -> Array:
    left = np.empty((times.size, 2))
    for side, (node, inner, link) in enumerate(((0, 1, 0), (-1, -2, -1))):
        transfer = row.transfers[side]
        if np.isfinite(transfer):
            left[:, side] = transfer * integral[node]
        else:
            left[:, side] = row.source[node] * times + row.across[link] * integral[inner]
    return left
