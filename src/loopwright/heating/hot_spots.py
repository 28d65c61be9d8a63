"""Which of many sources of heat make the hottest spots; only their kinds are solved in three dimensions."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from loopwright.ground.part_sizes import PartSize
from loopwright.heating.columns import column_transfer_w_per_m2_k
from loopwright.heating.local import LocalResponse, local_response
from loopwright.heating.probes import Expected, ProbePlace
from loopwright.heating.spot import Part, Place, Side, SpotStack, Stretch, Trace

__all__ = ["HotSpots", "Spot", "SpotKind", "hottest_spots", "part_of", "places_to_probe", "rise_bound_k_per_w"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotKind:
    """What decides the rise per watt; spots of equal kinds share one answer.

    Attributes
    ----------
    heat : Part or Stretch
    trace : Trace
    stack : SpotStack
    """

    heat: Part | Stretch
    trace: Trace
    stack: SpotStack


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A part or a piece of trace of one element, and the power that it takes in every state.

    Attributes
    ----------
    name, element : str
    position_m : tuple of float
        [m]
    kind : SpotKind
    powers_w : mapping of str to float
        Mean powers by the name of the state. [W]
    """

    name: str
    element: str
    position_m: tuple[float, float, float]
    kind: SpotKind
    powers_w: Mapping[str, float]

    @property
    def worst_state(self) -> str:
        """The state in which it takes most; the first of equals."""
        return max(self.powers_w, key=lambda state: self.powers_w[state])

    @property
    def most_w(self) -> float:
        """What it takes then. [W]"""
        return self.powers_w[self.worst_state]


@dataclass(frozen=True, slots=True, kw_only=True)
class HotSpots:
    """The hottest spots, and the answers of their kinds.

    Attributes
    ----------
    chosen : tuple of Spot
        By their rise in their worst state, hottest first.
    others : tuple of Spot
        The rest, by what is known or bounded of theirs.
    responses : mapping of SpotKind to LocalResponse
        Every kind that was solved; those of the chosen among them.
    place : Place
        By the rise of which they are ordered.
    """

    chosen: tuple[Spot, ...]
    others: tuple[Spot, ...]
    responses: Mapping[SpotKind, LocalResponse]
    place: Place

    def own_rise_k(self, spot: Spot, state: str) -> float:
        """Settled rise by the spot's own power in a state. [K]"""
        return spot.powers_w[state] * self.responses[spot.kind].rise_k_per_w(self.place)

    def neighbours_rise_k(self, spot: Spot, state: str) -> float:
        """At most what the other spots add in a state, as if all lay in one stack. [K]

        At a distance the layers decide and not the part: kinds that were not solved count as the one that adds most.
        """
        return sum(
            other.powers_w[state] * self._beside_k_per_w(other.kind, math.dist(other.position_m, spot.position_m))
            for other in (*self.chosen, *self.others)
            if other is not spot
        )

    def _beside_k_per_w(self, kind: SpotKind, distance_m: float) -> float:
        told = (self.responses[kind],) if kind in self.responses else self.responses.values()
        return max(response.fine[self.place].beside_k_per_w(distance_m) for response in told)

    def uncertainty_k(self, spot: Spot, state: str) -> float:
        """Half-width that the grid leaves to the spot's own rise. [K]"""
        return spot.powers_w[state] * self.responses[spot.kind].uncertainty_k_per_w(self.place)


def part_of(size: PartSize, *, side: Side = Side.OUTER) -> Part:
    """A part of a usual size."""
    return Part(
        length_m=size.length_m,
        width_m=size.width_m,
        height_m=size.height_m,
        gap_m=size.gap_m,
        conductivity_w_per_m_k=size.conductivity_w_per_m_k,
        density_kg_per_m3=size.density_kg_per_m3,
        heat_capacity_j_per_kg_k=size.heat_capacity_j_per_kg_k,
        side=side,
    )


def rise_bound_k_per_w(kind: SpotKind) -> float:
    """Rise per watt that no place of a spot exceeds, without a grid. [K/W]

    Returns
    -------
    float
        Infinite where metal does not spread the heat.

    Notes
    -----
    Thomson's principle: any flow of heat that balances has a resistance no lower than the true one. This one goes
    straight down to the pads, spreads in the metal by 45 degrees until it fills the trace, and leaves the trace
    straight through the layers; no heat takes any other way. It bounds the mean rise where heat arises; that the
    hottest point stays below it as well is tested with usual parts, of which it is one and a half to four times the
    rise.
    """
    heat, trace, stack = kind.heat, kind.trace, kind.stack
    loss = column_transfer_w_per_m2_k(stack.outer, stack.air.transfer_w_per_m2_k) + column_transfer_w_per_m2_k(
        stack.below, stack.core.transfer_w_per_m2_k
    )
    sheet = trace.conductivity_w_per_m_k * trace.thickness_m
    if loss == 0 or sheet == 0:
        return math.inf
    if isinstance(heat, Stretch):
        return _along_trace_k_per_w(trace, sheet, loss, start_m=0.0, width_m=trace.width_m)
    width = min(heat.width_m, trace.width_m)
    k, pads = heat.conductivity_w_per_m_k, width * (heat.length_m - heat.gap_m)
    downwards = heat.height_m / (2 * k * pads)
    aside = heat.gap_m**2 / (8 * k * heat.length_m * heat.width_m * heat.height_m)
    across = heat.width_m / (8 * k * heat.length_m * heat.height_m) if heat.width_m > width else 0.0
    along = _along_trace_k_per_w(trace, sheet, loss, start_m=heat.gap_m / 2, width_m=width)
    return downwards + aside + across + along


def _along_trace_k_per_w(trace: Trace, sheet: float, loss: float, *, start_m: float, width_m: float) -> float:
    """Two arms of metal that widen to the trace and lose heat from there on; starts and widths in [m]. [K/W]

    The flow of the part that widens is longer at its sides: a third more on the mean of its square.
    """
    widening = (trace.width_m - width_m) / 2
    spread = 4 / 3 * math.log(trace.width_m / width_m) / (2 * sheet)
    arm = trace.length_m / 2 - start_m - widening
    if arm <= 0:
        return math.inf
    return (spread + 1 / (trace.width_m * math.sqrt(sheet * loss) * math.tanh(arm * math.sqrt(loss / sheet)))) / 2


def _solved(kind: SpotKind) -> LocalResponse:
    return local_response(kind.heat, kind.trace, kind.stack)


def hottest_spots(
    spots: Sequence[Spot],
    *,
    count: int,
    place: Place = Place.APPLIED_SURFACE,
    respond: Callable[[SpotKind], LocalResponse] = _solved,
) -> HotSpots:
    """The hottest spots, each in its worst state, solving no more kinds than it takes to be sure.

    Parameters
    ----------
    spots : sequence of Spot
    count : int
        How many are wanted.
    place : Place
        Of which the rise counts.
    respond : callable
        Solves a kind.

    Returns
    -------
    HotSpots

    Notes
    -----
    A kind that has not been solved counts with its bound. Solve the first that is unsolved among the hottest, order
    again, and stop when all of the hottest are solved: nothing below them can come up. Equals are ordered by element
    and name.
    """
    responses: dict[SpotKind, LocalResponse] = {}

    def estimate(spot: Spot) -> tuple[float, str, str]:
        known = responses.get(spot.kind)
        per_watt = rise_bound_k_per_w(spot.kind) if known is None else known.rise_k_per_w(place)
        return (-spot.most_w * per_watt if spot.most_w > 0 else 0.0, spot.element, spot.name)

    while True:
        ranked = sorted(spots, key=estimate)
        unsolved = next((spot for spot in ranked[:count] if spot.kind not in responses), None)
        if unsolved is None:
            break
        responses[unsolved.kind] = respond(unsolved.kind)
    return HotSpots(chosen=tuple(ranked[:count]), others=tuple(ranked[count:]), responses=responses, place=place)


def places_to_probe(found: HotSpots) -> tuple[ProbePlace, ...]:
    """Settled temperatures of the chosen spots in all their states, as a plan of probes takes them.

    Neighbours add between nothing and the most that they can: half of that, and as much uncertainty.
    """

    def expected(spot: Spot, state: str) -> Expected:
        shared = found.neighbours_rise_k(spot, state) / 2
        own = found.responses[spot.kind].temperature_c(found.place, spot.powers_w[state])
        return Expected(temperature_c=own + shared, uncertainty_k=found.uncertainty_k(spot, state) + shared)

    return tuple(
        ProbePlace(
            name=spot.name,
            element=spot.element,
            part="trace" if isinstance(spot.kind.heat, Stretch) else "part",
            position_m=spot.position_m,
            expected={state: expected(spot, state) for state in spot.powers_w},
        )
        for spot in found.chosen
    )
