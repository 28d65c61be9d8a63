"""Cases in their order, and averages over 10 g and hot places of the few that may be the worst."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loopwright import limits
from loopwright.brief import Brief
from loopwright.circuits.states import ElementState
from loopwright.limits import maps_told
from loopwright.limits.hot_places import HeatOfCases, hot_places_of
from loopwright.limits.telling import fault_row, with_local_sar
from loopwright.transmission.question import Asked
from loopwright.transmit.lie import Lie

__all__ = ["Found", "limit_set_of", "look_closer"]

#: Hot places that are told of one case.
_OF_ONE = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """All cases told, and in which order they stand."""

    told: tuple[limits.CaseTold, ...]
    ranked: tuple[limits.RankedFault, ...]
    worst: tuple[str, ...]
    heat: HeatOfCases | None
    bound_left: float
    maps: tuple[limits.ScalarInBody, ...]


def look_closer(
    asked: Asked,
    lie: Lie,
    told: Sequence[limits.CaseTold],
    *,
    ranked_names: set[str],
    states: Sequence[ElementState],
    heat: HeatOfCases | None,
) -> Found:
    """Rank the cases, and look closer at the worst."""
    limit_set, count = limit_set_of(asked.brief), asked.request.worst_states
    ranked = _ranked(asked, told, limit_set, heat, ranked_names)
    worst = tuple(one.row.name for one in ranked[:count])
    candidates = [number for number, one in enumerate(told) if one.case.failed or one.case.name in ranked_names]
    by_bound = sorted(candidates, key=lambda number: -told[number].local_sar_ratio_bound)
    averaged = {number for number in candidates if told[number].case.name in {*worst, *(s.name for s in states)}}
    averaged |= set(by_bound[:count])
    known, cubes = list(told), {}
    for number in sorted(averaged):
        known[number], cubes[number] = with_local_sar(lie, asked.sar, told[number])
    if heat is not None:
        for number in averaged:
            known[number] = replace(known[number], hot_places=hot_places_of(heat, number, _OF_ONE))
    top = max(averaged, key=lambda number: cubes[number].max())
    plugged = next(one for one in known if one.case.name == states[0].name)
    worst_case = next(one for one in known if one.case.name == worst[0])
    return Found(
        told=tuple(known),
        ranked=_ranked(asked, known, limit_set, heat, ranked_names),
        worst=worst,
        heat=heat,
        bound_left=max((told[n].local_sar_ratio_bound for n in candidates if n not in averaged), default=0.0),
        maps=(
            maps_told.b1_map(lie, plugged, "b1_plugged"),
            maps_told.b1_map(lie, worst_case, "b1_worst"),
            *maps_told.sar_maps(asked.sar, known[top], cubes[top]),
        ),
    )


def limit_set_of(brief: Brief) -> limits.LimitSet:
    """The packaged limits, with what the brief puts in their place."""
    return limits.edited(limits.packaged_limits(), brief.limits)


def _ranked(
    asked: Asked,
    told: Sequence[limits.CaseTold],
    limit_set: limits.LimitSet,
    heat: HeatOfCases | None,
    ranked_names: set[str],
) -> tuple[limits.RankedFault, ...]:
    rows = [
        fault_row(one, asked.exposure, surface=None if heat is None else heat.surface(number))
        for number, one in enumerate(told)
        if one.case.failed or one.case.name in ranked_names
    ]
    return limits.ranked(rows, limit_set, surface_at_rest_c=float("nan") if heat is None else heat.at_rest_c)
