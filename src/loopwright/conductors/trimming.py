"""Trimming: which tabs to cut for a measured value, and what comes of it over many prints."""

from dataclasses import dataclass, replace
from enum import Enum
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors.print_tolerance import (
    PrintSpreads,
    draw_edges_m,
    draw_sheets,
    drawn_capacitance_f,
)
from loopwright.conductors.printed_capacitor import PrintStack
from loopwright.conductors.trimming_ladder import Ladder, Tab
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "CuttingPlan",
    "Stage",
    "Trimmed",
    "capacitance_from_resonance_f",
    "cutting_plan",
    "cutting_plan_for_resonance",
    "resonance_from_capacitance_hz",
    "trim_draws",
]

Real = NDArray[np.float64]


class Stage(Enum):
    """Where a print stands."""

    IN_BAND = "within half a step of the target: leave it"
    CUT = "cut the tabs named, then measure again"
    BRIDGE = "bridge the tab named, then measure again"
    TOO_LOW = "below the band with no tab left to bridge: repair it with ink, or reject it"
    TOO_HIGH = "above the band with no tab left to cut: reject it"


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingPlan:
    """What to do with a measured print, and what it will then measure if the tabs are as designed. [F], [Hz]

    ``expected_hz`` is there where a resonance was measured.
    """

    stage: Stage
    tabs: tuple[str, ...]
    expected_f: float
    expected_hz: float | None = None

    @property
    def instruction(self) -> str:
        """The plan in one sentence."""
        match self.stage:
            case Stage.CUT | Stage.BRIDGE:
                verb = "Cut" if self.stage is Stage.CUT else "Bridge"
                noun = "tab" if len(self.tabs) == 1 else "tabs"
                return f"{verb} {noun} {', '.join(self.tabs)}; expect {self._expected}; measure again."
            case _:
                return f"{self._expected} is {self.stage.value}."

    @property
    def _expected(self) -> str:
        farad = f"{1e12 * self.expected_f:.4g} pF"
        return farad if self.expected_hz is None else f"{1e-6 * self.expected_hz:.2f} MHz ({farad})"


def cutting_plan(ladder: Ladder, measured_f: float, *, done: frozenset[str] = frozenset()) -> CuttingPlan:
    """Tell which tabs to cut, or which one to bridge, for a measured value.

    Parameters
    ----------
    ladder : Ladder
        The ladder of this print.
    measured_f : float
        Capacitance as measured, good to the error of the ladder. [F]
    done : frozenset of str
        Names of the tabs that were cut or bridged before, or that were passed over as too large.

    Returns
    -------
    CuttingPlan
        Several tabs at once while even at their limits all of them may go; the same tabs as one by one.

    Raises
    ------
    OutsideModelError
        If a name is no tab of this ladder, or the value is not above zero.
    """
    unknown = done - {tab.name for tab in ladder.tabs}
    if unknown or not measured_f > 0:
        raise OutsideModelError(
            f"no tab is called {', '.join(sorted(unknown))}; there are {', '.join(tab.name for tab in ladder.tabs)}"
            if unknown
            else f"measured_f = {measured_f:g} must be greater than 0"
        )
    apart = [tab for tab in ladder.to_bridge if tab.name not in done]
    if measured_f < ladder.floor_f - ladder.measurement_error_f:
        if not apart:
            return CuttingPlan(stage=Stage.TOO_LOW, tabs=(), expected_f=measured_f)
        tab = next((one for one in reversed(apart) if _lifts(ladder, one, measured_f)), apart[0])
        return CuttingPlan(stage=Stage.BRIDGE, tabs=(tab.name,), expected_f=measured_f + tab.nominal_f)
    cut = _cut_together(ladder, measured_f, [tab for tab in ladder.to_cut if tab.name not in done])
    if cut:
        expected_f = measured_f - sum(tab.nominal_f for tab in cut)
        return CuttingPlan(stage=Stage.CUT, tabs=tuple(tab.name for tab in cut), expected_f=expected_f)
    stage = Stage.TOO_HIGH if measured_f > ladder.ceiling_f + ladder.measurement_error_f else Stage.IN_BAND
    return CuttingPlan(stage=stage, tabs=(), expected_f=measured_f)


def cutting_plan_for_resonance(
    ladder: Ladder,
    measured_hz: float,
    *,
    target_hz: float,
    participation: float,
    done: frozenset[str] = frozenset(),
) -> CuttingPlan:
    """Tell which tabs to cut, or which one to bridge, for a measured resonance of the element.

    Parameters
    ----------
    ladder : Ladder
        The ladder of this print.
    measured_hz, target_hz : float
        Resonance as measured, and the wanted one, with the same load. [Hz]
    participation : float
        Share of this capacitor in the element's electric energy; 1 where all its capacitors get the same cuts.
    done : frozenset of str
        As of :func:`cutting_plan`.

    Returns
    -------
    CuttingPlan
        With the resonance to expect. A reading of the resonance has to be good to p/2 of the ladder's own error.
    """
    there = {"target_hz": target_hz, "target_f": ladder.target_f, "participation": participation}
    plan = cutting_plan(ladder, capacitance_from_resonance_f(measured_hz, **there), done=done)
    return replace(plan, expected_hz=resonance_from_capacitance_hz(plan.expected_f, **there))


def _lifts(ladder: Ladder, tab: Tab, measured_f: ArrayLike) -> NDArray[np.bool_]:
    """Whether a tab, once bridged, brings this value to the floor even at its smallest."""
    return np.asarray(np.asarray(measured_f) - ladder.measurement_error_f + tab.low_f >= ladder.floor_f)


def _cut_together(ladder: Ladder, measured_f: float, joined: list[Tab]) -> list[Tab]:
    """Tabs that may all go without another reading: each of them even at its largest, none passed over in doubt."""
    least_f, most_f = measured_f - ladder.measurement_error_f, measured_f + ladder.measurement_error_f
    cut: list[Tab] = []
    for tab in joined:
        if least_f - tab.high_f >= ladder.floor_f:
            cut.append(tab)
            least_f, most_f = least_f - tab.high_f, most_f - tab.low_f
        elif cut and most_f + ladder.measurement_error_f - tab.high_f >= ladder.floor_f:
            break  # another reading may allow this one
    return cut


def capacitance_from_resonance_f(
    measured_hz: float, *, target_hz: float, target_f: float, participation: float
) -> float:
    """Capacitance of a print that resonates beside its target.

    Parameters
    ----------
    measured_hz, target_hz : float
        Resonance as measured, and the wanted one. [Hz]
    target_f : float
        Capacitance that belongs to the wanted one. [F]
    participation : float
        Share of this capacitor in the element's electric energy: one over their number where equal ones share it.

    Returns
    -------
    float
        C / (1 + ((f/f0)^2 - 1) / p), for an inductance that stays; C (1 - (2/p) df/f) to first order, which is off by
        half a per cent of C where one of four capacitors has moved the resonance by 1 %. [F]

    Raises
    ------
    OutsideModelError
        If the resonance lies so low that no capacitance of this one could bring it there.
    """
    _check_participation(participation)
    elastance = 1 + ((measured_hz / target_hz) ** 2 - 1) / participation
    if not elastance > 0:
        raise OutsideModelError(
            f"measured_hz = {measured_hz:g}: a capacitor with a share of {participation:g} cannot move the resonance "
            f"from {target_hz:g} Hz below {target_hz * sqrt(1 - participation):g} Hz. Look for another fault."
        )
    return target_f / elastance


def resonance_from_capacitance_hz(
    capacitance_f: float, *, target_hz: float, target_f: float, participation: float
) -> float:
    """Resonance of an element one of whose capacitors is off: the inverse of :func:`capacitance_from_resonance_f`.

    Parameters
    ----------
    capacitance_f, target_f : float
        Capacitance, and the one that belongs to the target. [F]
    target_hz : float
        Wanted resonance. [Hz]
    participation : float
        Share of this capacitor in the element's electric energy.
    """
    _check_participation(participation)
    return target_hz * sqrt(1 + participation * (target_f / capacitance_f - 1))


def _check_participation(participation: float) -> None:
    if not 0 < participation <= 1:
        raise OutsideModelError(f"participation = {participation:g} must be above 0 and at most 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trimmed:
    """Many prints before and after, true values. [F]

    ``start_f``, ``final_f`` (draw,); ``cut`` (draw, tab) marks the tabs that were cut, in the ladder's order;
    ``bridged`` (draw,) is the number of tabs that were bridged.
    """

    start_f: Real
    final_f: Real
    cut: NDArray[np.bool_]
    bridged: NDArray[np.int_]
    in_band: NDArray[np.bool_]

    @property
    def yield_fraction(self) -> float:
        """Part of the prints that end in the band."""
        return float(self.in_band.mean())

    @property
    def yield_by_cutting(self) -> float:
        """Part of the prints that end in the band without a bridge."""
        return float((self.in_band & (self.bridged == 0)).mean())


def trim_draws(
    ladder: Ladder, stack: PrintStack, spreads: PrintSpreads, *, generator: np.random.Generator, draws: int
) -> Trimmed:
    """Print so many capacitors with all that varies, and trim each by the rule, with a reading before every cut.

    Parameters
    ----------
    ladder : Ladder
        The ladder of these prints.
    stack : PrintStack
        As designed.
    spreads : PrintSpreads
        What varies; film, permittivity and shift are common to a plate and its tabs, edges are not.
    generator : numpy.random.Generator
        Where the draws come from.
    draws : int
        Number of prints, at least 1.

    Returns
    -------
    Trimmed
        Readings are off by at most the ladder's error, evenly distributed.
    """
    if draws < 1:
        raise OutsideModelError(f"draws = {draws} must be 1 or more")
    sheets = draw_sheets(stack, spreads, generator, draws)

    def printed(tab: Tab) -> Real:
        return drawn_capacitance_f(stack, tab.plate, sheets, draw_edges_m(spreads, generator, draws))

    def reading(true_f: Real) -> Real:
        return true_f + ladder.measurement_error_f * generator.uniform(-1.0, 1.0, size=draws)

    tabs = {tab.name: printed(tab) for tab in ladder.tabs}
    body_f = drawn_capacitance_f(stack, ladder.body, sheets, draw_edges_m(spreads, generator, draws))
    start_f = body_f + sum(tabs[tab.name] for tab in ladder.to_cut)
    now_f, bridged = start_f.copy(), np.zeros(draws, dtype=np.int_)
    for tab in reversed(ladder.to_bridge):  # the smallest that will do
        found_f = reading(now_f)
        low = found_f < ladder.floor_f - ladder.measurement_error_f
        low &= _lifts(ladder, tab, found_f) | (tab is ladder.to_bridge[0])
        now_f, bridged = now_f + low * tabs[tab.name], bridged + low
    cuts = []
    for tab in ladder.to_cut:
        cut = reading(now_f) - tab.high_f - ladder.measurement_error_f >= ladder.floor_f
        now_f = now_f - cut * tabs[tab.name]
        cuts.append(cut)
    in_band = (now_f >= ladder.floor_f) & (now_f <= ladder.ceiling_f)
    return Trimmed(start_f=start_f, final_f=now_f, cut=np.stack(cuts, axis=1), bridged=bridged, in_band=in_band)
