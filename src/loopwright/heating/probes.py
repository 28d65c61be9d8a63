"""Where to put the temperature probes: so that the hottest place of every state is measured."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loopwright.heating.layers import GREATEST_C

__all__ = ["Expected", "Probe", "ProbePlace", "ProbePlan", "probe_plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is expected of a place in one state.

    Attributes
    ----------
    temperature_c : float
        [degC]
    uncertainty_k : float
        One half-width. [K]
    """

    temperature_c: float
    uncertainty_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbePlace:
    """A place that could be measured.

    Attributes
    ----------
    name, element, part : str
    position_m : tuple of float
        [m]
    expected : mapping of str to Expected
        By the name of the state.
    """

    name: str
    element: str
    part: str
    position_m: tuple[float, float, float]
    expected: Mapping[str, Expected]

    @property
    def worst_state(self) -> str:
        """The state in which it gets hottest; the first of equals."""
        return max(self.expected, key=lambda state: self.expected[state].temperature_c)

    @property
    def worst(self) -> Expected:
        """What is expected then."""
        return self.expected[self.worst_state]


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """One probe: where it goes and why there."""

    place: ProbePlace
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbePlan:
    """Where the probes go.

    Attributes
    ----------
    probes : tuple of Probe
        The most important first; one probe fewer than there are, for the last is the reference.
    reference : str
        Where the reference probe goes.
    unseen : tuple of str
        States of which the hottest place has no probe, hottest first.
    close_calls : tuple of str
        Places without a probe that may, within the uncertainties, be as hot as the hottest of a state; one sentence
        each.
    """

    probes: tuple[Probe, ...]
    reference: str
    unseen: tuple[str, ...]
    close_calls: tuple[str, ...]


def probe_plan(places: Sequence[ProbePlace], *, count: int, apart_m: float) -> ProbePlan:
    """Choose where to measure.

    Parameters
    ----------
    places : sequence of ProbePlace
        All with the same states.
    count : int
        Probes at hand; one of them is the reference.
    apart_m : float
        Places closer than this to one with a probe are not measured, unless they are the hottest of a state. [m]

    Returns
    -------
    ProbePlan

    Raises
    ------
    ValueError
        With fewer than two probes, without places, or where places differ in their states.

    Notes
    -----
    First come the hottest places of the states, from the hottest state down, so that few probes see the worst. Then
    the hottest of what is left and lies apart. Equals are ordered by element and name.
    """
    if count < 2:
        raise ValueError(f"count = {count}: a plan needs at least two probes, one of them for reference")
    if not places or any(set(place.expected) != set(places[0].expected) for place in places):
        raise ValueError("places: at least one, and all with the same states")
    hottest = _hottest_of_states(places)
    chosen: dict[int, str] = {}
    for state, place in hottest.items():
        if id(place) in chosen:
            chosen[id(place)] += f', and in "{state}"'
        elif len(chosen) < count - 1:
            chosen[id(place)] = f'hottest of all in "{state}" ({_told(place.expected[state])})'
    kept = [place for key in chosen for place in places if id(place) == key]
    for place in sorted(places, key=_worst_first):
        near = any(math.dist(place.position_m, other.position_m) < apart_m for other in kept)
        if len(kept) < count - 1 and id(place) not in chosen and not near:
            kept.append(place)
            chosen[id(place)] = f'next hottest, in "{place.worst_state}" ({_told(place.worst)})'
    return ProbePlan(
        probes=tuple(Probe(place=place, reason=chosen[id(place)]) for place in kept),
        reference=_reference(apart_m),
        unseen=tuple(state for state, place in hottest.items() if id(place) not in chosen),
        close_calls=_close_calls(places, hottest, set(chosen)),
    )


def _hottest_of_states(places: Sequence[ProbePlace]) -> dict[str, ProbePlace]:
    """The hottest place of each state, the state with the hottest first."""
    found = {
        state: min(places, key=lambda place: (-place.expected[state].temperature_c, place.element, place.name))
        for state in places[0].expected
    }
    return dict(sorted(found.items(), key=lambda item: (-item[1].expected[item[0]].temperature_c, item[0])))


def _worst_first(place: ProbePlace) -> tuple[float, str, str]:
    return (-place.worst.temperature_c, place.element, place.name)


def _told(expected: Expected) -> str:
    if expected.temperature_c > GREATEST_C:
        return f"> {GREATEST_C:g} °C"
    return f"{expected.temperature_c:.1f} ± {expected.uncertainty_k:.1f} °C"


def _reference(apart_m: float) -> str:
    return (
        "one probe for reference: on the skin or the phantom under the array, away from every heated place by more "
        f"than {max(apart_m, 0.05) * 1e3:.0f} mm, so that warming by the room and by the scan's own SAR can be told "
        "from that by the array"
    )


def _close_calls(places: Sequence[ProbePlace], hottest: Mapping[str, ProbePlace], chosen: set[int]) -> tuple[str, ...]:
    """Sentences on places without a probe that may be the hottest of a state."""
    sentences = []
    for place in sorted(places, key=_worst_first):
        states = [
            state
            for state, top in hottest.items()
            if id(place) not in chosen
            and place is not top
            and place.expected[state].temperature_c + place.expected[state].uncertainty_k
            >= top.expected[state].temperature_c - top.expected[state].uncertainty_k
        ]
        if states:
            sentences.append(
                f"{place.element} {place.name} has no probe and may be as hot as the hottest in "
                + ", ".join(f'"{state}"' for state in states)
            )
    return tuple(sentences)
