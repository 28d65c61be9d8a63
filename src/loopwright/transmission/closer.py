"""Cases in their order, and averages over 10 g and hot places of the few that may be the worst."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright import limits
from loopwright.brief import Brief
from loopwright.circuits.faults.cases import Wearing
from loopwright.limits import maps_told
from loopwright.limits.hot_places import HeatOfCases, hot_places_of
from loopwright.limits.telling import fault_row, with_local_sar
from loopwright.transmission.question import Asked
from loopwright.transmit.lie import Lie

__all__ = ["Found", "limit_set_of", "look_closer"]

#: Hot places that are told of one case.
_OF_ONE = 3
#: Cases whose currents differ by less than this are twins: of a diode and the coil in series with it either is open.
_TWINS = 0.02
#: At most so many averages over 10 g for every worst state that is asked for.
_MOST = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """All cases told, and in which order they stand.

    Attributes
    ----------
    told : tuple of CaseTold
    ranked : tuple of RankedFault
        Of them those in which the scanner transmits, and faults.
    worst : tuple of int
        Numbers of the worst cases, one of twins, one at least of each condition as far as they reach.
    heat : HeatOfCases or None
    bound_left_w_per_kg : float
        No case whose fields are in place and that has no averages over 10 g has a larger one. [W/kg]
    maps : tuple of ScalarInBody
    """

    told: tuple[limits.CaseTold, ...]
    ranked: tuple[limits.RankedFault, ...]
    worst: tuple[int, ...]
    heat: HeatOfCases | None
    bound_left_w_per_kg: float
    maps: tuple[limits.ScalarInBody, ...]

    @property
    def with_temperature(self) -> tuple[int, ...]:
        """Ranked cases whose temperatures are told, in their order; none where no heat was asked for."""
        if self.heat is None:
            return ()
        number_of = {one.case.name: number for number, one in enumerate(self.told)}
        ranked = (number_of[one.row.name] for one in self.ranked)
        return tuple(number for number in ranked if _is_warmed(self.told[number]))

    @property
    def hottest(self) -> tuple[int, ...]:
        """As many of them as are the worst, those with the hottest surfaces; one of twins, some of each condition."""
        heat = self.heat
        if heat is None:
            return ()
        order = sorted(self.with_temperature, key=lambda number: -heat.surface(number)[0])
        return _worst_without_twins(self.told, order, len(self.worst))


def look_closer(
    asked: Asked,
    told: Sequence[limits.CaseTold],
    lies: Sequence[Lie],
    *,
    transmitting: Sequence[str],
    heat: HeatOfCases | None,
) -> Found:
    """Rank the cases, and look closer at the worst.

    Parameters
    ----------
    asked : Asked
    told : sequence of CaseTold
        All cases.
    lies : sequence of Lie
        The lie of each of them.
    transmitting : sequence of str
        Names of the normal conditions in which the scanner may transmit, plugged in and whole first.
    heat : HeatOfCases or None
        Of all cases, where it is asked for.
    """
    limit_set, count = limit_set_of(asked.brief), asked.request.worst_states
    candidates = [number for number, one in enumerate(told) if one.case.failed or one.case.name in transmitting]
    ranked = _ranked(asked, told, candidates, heat, limit_set)
    number_of = {one.case.name: number for number, one in enumerate(told)}
    worst = _worst_without_twins(told, [number_of[one.row.name] for one in ranked], count)
    in_place = [number for number in candidates if lies[number].in_place]
    by_bound = sorted(in_place, key=lambda number: -told[number].local_sar_ratio_bound)
    averaged = {*worst, *(number_of[name] for name in transmitting if name in number_of), *by_bound[: _MOST * count]}
    known, top, cubes = _averaged(asked, told, lies, sorted(averaged.intersection(in_place)))
    if heat is not None:
        for number in sorted(number for number in averaged if _is_warmed(told[number])):
            known[number] = replace(known[number], hot_places=hot_places_of(heat, number, _OF_ONE))
    left = [told[number].local_sar_ratio_bound for number in in_place if number not in averaged]
    mapped = next((number for number in worst if lies[number].in_place), number_of[transmitting[0]])
    return Found(
        told=tuple(known),
        ranked=_ranked(asked, known, candidates, heat, limit_set),
        worst=worst,
        heat=heat,
        bound_left_w_per_kg=asked.sar.peak_w_per_kg * max(left, default=0.0),
        maps=(
            maps_told.b1_map(lies[number_of[transmitting[0]]], known[number_of[transmitting[0]]], "b1_plugged"),
            maps_told.b1_map(lies[mapped], known[mapped], "b1_worst"),
            *maps_told.sar_maps(asked.sar, known[top], cubes),
        ),
    )


def _averaged(
    asked: Asked, told: Sequence[limits.CaseTold], lies: Sequence[Lie], numbers: Sequence[int]
) -> tuple[list[limits.CaseTold], int, NDArray[np.float64]]:
    """All cases, these with averages over 10 g; the number of that with the largest, and its averages. [W/kg]"""
    known, top, highest = list(told), numbers[0], np.zeros(1)
    for lie in {id(lies[number]): lies[number] for number in numbers}.values():
        own = [number for number in numbers if lies[number] is lie]
        found = with_local_sar(lie, asked.sar, [told[number] for number in own])
        for number, (one, cubes) in zip(own, found, strict=True):
            known[number] = one
            if cubes.max() > highest.max():
                top, highest = number, cubes
    return known, top, highest


def _is_warmed(told: limits.CaseTold) -> bool:
    """Whether temperatures are told: layers and places are not those of the design where it is folded or inside out."""
    return told.case.wearing not in (Wearing.INSIDE_OUT, Wearing.FOLDED)


def _worst_without_twins(told: Sequence[limits.CaseTold], order: Sequence[int], count: int) -> tuple[int, ...]:
    """The first of the order, leaving out twins; the worst of every condition is among them while there is room."""
    chosen = _firsts_of_families(told, order)[:count]
    for number in order:
        if len(chosen) >= count:
            break
        own = told[number].answer.port_current_a_per_t
        if not any(_alike(own, told[other].answer.port_current_a_per_t) for other in chosen):
            chosen.append(number)
    return tuple(sorted(chosen, key=order.index))


def _firsts_of_families(told: Sequence[limits.CaseTold], order: Iterable[int]) -> list[int]:
    firsts: dict[str, int] = {}
    for number in order:
        firsts.setdefault(told[number].case.family, number)
    return list(firsts.values())


def _alike(one: NDArray[np.complex128], other: NDArray[np.complex128]) -> bool:
    return len(one) == len(other) and bool(np.linalg.norm(one - other) <= _TWINS * np.linalg.norm(one))


def limit_set_of(brief: Brief) -> limits.LimitSet:
    """The packaged limits, with what the brief puts in their place."""
    return limits.edited(limits.packaged_limits(), brief.limits)


def _ranked(
    asked: Asked,
    told: Sequence[limits.CaseTold],
    candidates: Sequence[int],
    heat: HeatOfCases | None,
    limit_set: limits.LimitSet,
) -> tuple[limits.RankedFault, ...]:
    rows = [
        fault_row(
            told[number],
            asked.exposure,
            surface=None if heat is None or not _is_warmed(told[number]) else heat.surface(number),
        )
        for number in candidates
    ]
    return limits.ranked(rows, limit_set, surface_at_rest_c=float("nan") if heat is None else heat.at_rest_c)
