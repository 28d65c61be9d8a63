"""Temperatures at every source of heat of an array in every case, from the answers of few kinds of spots to a watt."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from loopwright.heating.array_spots import CONDUCTOR, ArraySpots
from loopwright.heating.hot_spots import SpotKind, rise_bound_k_per_w
from loopwright.heating.local import LocalResponse, PlaceRise, local_response
from loopwright.heating.spot import Part, Place

__all__ = ["ARRAY_HEAT_LIMITS", "SPREAD_OF_VALUES", "ArrayHeat", "array_heat", "rises_k"]

Floats = NDArray[np.float64]

#: By how much thermal values of materials and tissue spread, of which the larger end counts (common practice).
SPREAD_OF_VALUES = 0.3
#: A kind of spot that stays below this rise everywhere, by its bound, is not solved. [K]
LEAST_RISE_K = 0.05

ARRAY_HEAT_LIMITS = (
    (
        "What neighbours add to a spot lies between nothing and a bound, that of all in one stack of flat layers: "
        "half of the bound is in the temperature and half in its uncertainty, beside the change of the grid and "
        f"{100 * SPREAD_OF_VALUES:.0f} % of the rise for thermal values."
    ),
    (
        "A conductor is taken as straight and as warm all along as at its hottest node. Lines are left out: their heat "
        "is spread over their length."
    ),
    (
        "Heat that the transmit field leaves in the body itself is not in these temperatures, nor that of boxes and "
        "preamplifiers, which is told for the coil as a whole."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArrayHeat:
    """All sources of heat, and the answers of their kinds.

    Attributes
    ----------
    spots : ArraySpots
    responses : mapping of SpotKind to LocalResponse
        Kinds that matter.
    """

    spots: ArraySpots
    responses: Mapping[SpotKind, LocalResponse]

    def start_c(self, place: Place) -> float:
        """Highest temperature of a place without power. [degC]"""
        return max(float(one.fine[place].base_c.max()) for one in self.responses.values())


def array_heat(spots: ArraySpots, *, respond: Callable[[SpotKind], LocalResponse] | None = None) -> ArrayHeat:
    """Solve the kinds of spots that may get warm.

    Parameters
    ----------
    spots : ArraySpots
    respond : callable, optional
        Solves a kind; the local model when left out.

    Returns
    -------
    ArrayHeat
        With one kind at least, so that temperatures without power are known.

    Raises
    ------
    OutsideModelError
        Where a part does not fit on its trace.
    NotConvergedError
        Where the equations are not solved.
    """
    solve = respond or (lambda kind: local_response(kind.heat, kind.trace, kind.stack))
    most_w = np.zeros(len(spots.kinds))
    np.maximum.at(most_w, [source.kind for source in spots.sources], spots.power_w.max(axis=1))
    bounds = [
        power * rise_bound_k_per_w(kind) if power > 0 else 0.0
        for power, kind in zip(most_w.tolist(), spots.kinds, strict=True)
    ]
    wanted = [kind for kind, bound in zip(spots.kinds, bounds, strict=True) if bound > LEAST_RISE_K]
    wanted = wanted or [spots.kinds[int(np.argmax(bounds))]]
    return ArrayHeat(spots=spots, responses={kind: solve(kind) for kind in wanted})


def rises_k(heat: ArrayHeat, place: Place, *, time_s: float = inf) -> tuple[Floats, Floats]:
    """Rise at every source of heat in every case, and its uncertainty.

    Parameters
    ----------
    heat : ArrayHeat
    place : Place
        Where the hottest point is asked for.
    time_s : float
        Since the sequence began; for ever when left out. [s]

    Returns
    -------
    rise_k, uncertainty_k : ndarray, shape (sources, cases)
        [K]
    """
    spots, power = heat.spots, heat.spots.power_w
    per_watt = np.zeros(len(spots.sources))
    grid = np.zeros(len(spots.sources))
    share = np.ones(len(spots.sources))
    for at, source in enumerate(spots.sources):
        response = heat.responses.get(spots.kinds[source.kind])
        if response is None:
            continue
        per_watt[at] = response.rise_k_per_w(place, time_s)
        grid[at] = response.uncertainty_k_per_w(place, time_s)
        share[at] = per_watt[at] / response.rise_k_per_w(place)
    own = per_watt[:, None] * power
    beside = share[:, None] * (_beside_k_per_w(heat, place) @ power)
    rise = own + beside / 2
    return rise, grid[:, None] * power + beside / 2 + SPREAD_OF_VALUES * rise


def _beside_k_per_w(heat: ArrayHeat, place: Place) -> Floats:
    """Most that a watt of one source adds at another, shape (where, of which); nought of a source to itself. [K/W]"""
    spots = heat.spots
    places_m = np.array([source.position_m for source in spots.sources])
    sizes_m = np.array([_size_m(spots.kinds[source.kind]) for source in spots.sources])
    found = np.zeros((len(spots.sources),) * 2)
    for at, source in enumerate(spots.sources):
        response = heat.responses.get(spots.kinds[source.kind])
        if response is None:
            continue
        surface = response.fine[Place.APPLIED_SURFACE if place is Place.PART else place]
        if source.part == CONDUCTOR:
            ring_m = spots.ring_m[source.element]
            away = np.linalg.norm(places_m[:, None] - ring_m[None], axis=-1).min(axis=1)
            found[:, at] = _at_most(surface, surface.points_m[:, 1], away)
        else:
            away = np.maximum(np.linalg.norm(places_m - places_m[at], axis=1), (sizes_m + sizes_m[at]) / 2)
            found[:, at] = _at_most(surface, np.hypot(surface.points_m[:, 0], surface.points_m[:, 1]), away)
        found[at, at] = 0.0
    return found


def _size_m(kind: SpotKind) -> float:
    """Smaller side of a part: parts at one gap stand side by side. [m]"""
    return min(kind.heat.length_m, kind.heat.width_m) if isinstance(kind.heat, Part) else 0.0


def _at_most(surface: PlaceRise, reach_m: Floats, distance_m: Floats) -> Floats:
    """Largest rise at points of this reach or a larger one, for each distance. [K/W]"""
    order = np.argsort(-reach_m)
    highest = np.maximum.accumulate(surface.steady_k_per_w[order])
    beyond = np.searchsorted(-reach_m[order], -distance_m, side="right")
    return np.where(beyond > 0, highest[np.maximum(beyond, 1) - 1], 0.0)
