"""A ladder of tabs beside a printed plate, that brings its capacitance to a target by cutting and by bridging.

The target is met when the true value lies within half a step of it. Between ``floor`` and ``ceiling`` of that band

* a tab may be cut when the measured value, less the largest that the tab can be and the error of measurement, stays at
  the floor or above it, so no cut can go below;
* tabs are sized from the finest up such that whatever is left when a tab may not be cut, the smaller ones can remove.
"""

from dataclasses import dataclass, replace
from enum import Enum

from loopwright.conductors.plate_capacitance import WIDEST_FILM
from loopwright.conductors.print_tolerance import PrintSpreads, capacitance_limits_f, expected_spread
from loopwright.conductors.printed_capacitor import Plate, PrintStack, plate_capacitance_f, plate_for
from loopwright.ground.errors import OutsideModelError

__all__ = ["Ladder", "LadderRequest", "Tab", "TabKind", "design_ladder", "finest_printable_step"]

_MOST_TABS = 24


class TabKind(Enum):
    """Whether a tab is printed joined, to be cut, or apart, to be bridged."""

    CUT = "cut"
    BRIDGE = "bridge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """A small plate with a neck: its value as designed, and the least and largest that can come out. [F]"""

    name: str
    kind: TabKind
    plate: Plate
    nominal_f: float
    low_f: float
    high_f: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderRequest:
    """What a ladder has to do.

    ``finest_step`` is relative to the target: the band is half of it to either side. ``measurement_error`` is the
    largest error of a reading, relative to the target. ``excess`` is by how much the print is designed above the
    target; None takes the expected spread. ``bridges`` is the number of tabs printed apart: a large one for prints that
    come out low, then fine ones for a cut too many. Lengths in metres. [m]
    """

    target_f: float
    finest_step: float
    measurement_error: float
    smallest_tab_m: float
    narrowest_m: float
    widest_m: float
    fine_tabs: int = 2
    bridges: int = 2
    excess: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no ladder can do."""
        if not self.target_f > 0:
            raise OutsideModelError(f"target_f = {self.target_f:g} must be greater than 0")
        if not 0 < self.finest_step < 0.2 or not 0 <= self.measurement_error < self.finest_step / 2:
            raise OutsideModelError(
                f"a finest step of {100 * self.finest_step:.3g} % with readings good to "
                f"{100 * self.measurement_error:.3g} %: the step must lie between 0 and 20 %, and twice the error "
                "below it, or no tab is left. Measure better, or ask for a coarser step."
            )
        if not 1 <= self.fine_tabs <= 8 or not 0 <= self.bridges <= 4:
            raise OutsideModelError(
                f"fine_tabs = {self.fine_tabs} must lie from 1 to 8, bridges = {self.bridges} from 0 to 4"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """A plate that stays, its tabs in the order in which they are thought of, and what it reaches. [F]

    ``tabs`` holds those to cut, the largest first, then those to bridge. ``reach_f`` is how far above the floor a
    print may lie and still be brought into the band.
    """

    target_f: float
    step_f: float
    measurement_error_f: float
    body: Plate
    tabs: tuple[Tab, ...]
    reach_f: float
    spread: float

    @property
    def floor_f(self) -> float:
        """Lower end of the band. [F]"""
        return self.target_f - self.step_f / 2

    @property
    def ceiling_f(self) -> float:
        """Upper end of the band. [F]"""
        return self.target_f + self.step_f / 2

    @property
    def to_cut(self) -> tuple[Tab, ...]:
        """Tabs that are joined as printed, the largest first."""
        return tuple(tab for tab in self.tabs if tab.kind is TabKind.CUT)

    @property
    def to_bridge(self) -> tuple[Tab, ...]:
        """Tabs that stand apart as printed."""
        return tuple(tab for tab in self.tabs if tab.kind is TabKind.BRIDGE)


def design_ladder(stack: PrintStack, spreads: PrintSpreads, request: LadderRequest) -> Ladder:
    """Size plate and tabs.

    Parameters
    ----------
    stack : PrintStack
        Ink and film.
    spreads : PrintSpreads
        What varies from print to print, tabs included.
    request : LadderRequest
        What the ladder has to do.

    Returns
    -------
    Ladder
        Equal fine tabs, then each as large as the smaller ones allow, about twice the one before.

    Raises
    ------
    OutsideModelError
        If the finest tab, or the plate, cannot be printed; or more than 24 tabs would be needed.

    Notes
    -----
    With reach R and reading error u, a tab that may be anything from low to high can be added when high + 2 u <= R,
    and gives the reach R + low; the band itself is the first reach.
    """
    whole = plate_for(stack, request.target_f, narrowest_m=request.narrowest_m, widest_m=request.widest_m)
    spread = expected_spread(stack, whole, spreads)
    excess = spread if request.excess is None else request.excess
    step_f, error_f = request.finest_step * request.target_f, request.measurement_error * request.target_f
    needed_f = request.target_f * ((1 + excess) * (1 + spread) - 1) + step_f / 2
    tabs, reach_f = _tabs_to_cut(stack, spreads, request, step_f, error_f, needed_f)
    body_f = request.target_f * (1 + excess) - sum(tab.nominal_f for tab in tabs)
    body = plate_for(stack, body_f, narrowest_m=request.narrowest_m, widest_m=request.widest_m)
    apart = [_tab(stack, spreads, request, TabKind.BRIDGE, most_f=reach_f - error_f)] if request.bridges else []
    apart += [replace(tabs[-1], kind=TabKind.BRIDGE)] * (request.bridges - 1)
    bridges = tuple(replace(tab, name=f"B{n}") for n, tab in enumerate(apart, start=1))
    return Ladder(
        target_f=request.target_f,
        step_f=step_f,
        measurement_error_f=error_f,
        body=body,
        tabs=tuple(replace(tab, name=f"T{n}") for n, tab in enumerate(tabs, start=1)) + bridges,
        reach_f=reach_f,
        spread=spread,
    )


def _tabs_to_cut(
    stack: PrintStack, spreads: PrintSpreads, request: LadderRequest, step_f: float, error_f: float, needed_f: float
) -> tuple[tuple[Tab, ...], float]:
    """Tabs, the largest first, that reach so far above the floor, and how far they reach. [F]"""
    fine = _tab(stack, spreads, request, TabKind.CUT, most_f=step_f - 2 * error_f)
    tabs, reach_f = [fine] * request.fine_tabs, step_f + request.fine_tabs * fine.low_f
    while reach_f < needed_f:
        wanted_f = reach_f - 2 * error_f
        lacking = _tab(stack, spreads, request, TabKind.CUT, most_f=wanted_f)
        if lacking.low_f > needed_f - reach_f:  # the last need not be larger than what is lacking
            enough_f = max((needed_f - reach_f) * lacking.high_f / lacking.low_f * 1.02, fine.high_f)
            lacking = _tab(stack, spreads, request, TabKind.CUT, most_f=min(wanted_f, enough_f))
        tabs.append(lacking)
        reach_f += lacking.low_f
        if len(tabs) > _MOST_TABS:
            raise OutsideModelError(
                f"the ladder would need more than {_MOST_TABS} tabs. Ask for a coarser step, or print more evenly."
            )
    return tuple(sorted(tabs, key=lambda tab: -tab.nominal_f)), reach_f


def finest_printable_step(stack: PrintStack, spreads: PrintSpreads, request: LadderRequest) -> float:
    """Step, relative to the target, for which the finest tab is the smallest that can be printed.

    Parameters
    ----------
    stack, spreads
        Ink, film and what varies.
    request : LadderRequest
        What the ladder has to do, but for its step.
    """
    side_m = _smallest_side_m(stack, spreads, request)
    _, high_f = capacitance_limits_f(stack, Plate(width_m=side_m, length_m=side_m), spreads)
    return 1.0001 * high_f / request.target_f + 2 * request.measurement_error


def _smallest_side_m(stack: PrintStack, spreads: PrintSpreads, request: LadderRequest) -> float:
    """Smallest tab that can be printed and, at the limits of all that varies, still be told by the formula. [m]"""
    lost_m = max(spreads.registration_m - stack.margin_m, 0.0) + 2 * spreads.edge_m
    return max(request.smallest_tab_m, 1.0001 * (1 + spreads.thickness) * stack.film_m / WIDEST_FILM + lost_m)


def _tab(stack: PrintStack, spreads: PrintSpreads, request: LadderRequest, kind: TabKind, *, most_f: float) -> Tab:
    """Tab that comes out at this value at most."""
    side_m = _smallest_side_m(stack, spreads, request)
    least = Plate(width_m=side_m, length_m=side_m)
    least_f = capacitance_limits_f(stack, least, spreads)[1]
    if least_f > most_f:
        raise OutsideModelError(
            f"a step of {100 * request.finest_step:.3g} % of {1e12 * request.target_f:.3g} pF needs a tab of at most "
            f"{1e12 * most_f:.3g} pF, but the smallest that can be printed, {1e3 * side_m:.3g} mm square, may come out "
            f"at {1e12 * least_f:.3g} pF. Ask for a step of {100 * finest_printable_step(stack, spreads, request):.2g} "
            "% or more, or take a thicker film."
        )
    plate, nominal_f = least, plate_capacitance_f(stack, least)
    for _ in range(40):  # the spread depends on the size, weakly
        low_f, high_f = capacitance_limits_f(stack, plate, spreads)
        if most_f * (1 - 1e-9) <= high_f <= most_f:
            break
        nominal_f *= (1 - 1e-10) * most_f / high_f
        plate = plate_for(stack, nominal_f, narrowest_m=side_m, widest_m=max(request.widest_m, side_m))
    return Tab(name="", kind=kind, plate=plate, nominal_f=nominal_f, low_f=low_f, high_f=high_f)
