"""From the circuit of the brief to one circuit for every element, its free values at a sensible start."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import assert_never

import numpy as np

from loopwright.brief.records import (
    CapacitorPart,
    CircuitRequest,
    HighInputRequest,
    LineEndRequest,
    LowInputRequest,
    MatchRequest,
    MatchWithTrapsRequest,
    OwnWiringRequest,
    ReadyWiringRequest,
    TrapAcrossMatchRequest,
)
from loopwright.circuits.parts import Capacitor, Inductor
from loopwright.circuits.ready import (
    PartsKit,
    amplifier_across_match,
    capacitive_match,
    fuse_in_series,
    match_with_trap_across,
    matched_at_line_end,
    trap_across,
)
from loopwright.circuits.requested_parts import (
    requested_branch,
    requested_crossed_diodes,
    requested_fuse,
    requested_line,
    requested_pin_diode,
    requested_preamplifier,
)
from loopwright.circuits.values.preferred_values import nearest_fixed
from loopwright.circuits.values.synthesis import Wanted
from loopwright.circuits.values.traps import trap_for_capacitor
from loopwright.circuits.wiring import Branch, ElementCircuit

__all__ = ["Start", "circuits_of", "trimmed_of", "wanted_of"]

#: Where the search for a free inductor begins unless told. [ohm]
_START_REACTANCE_OHM = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What is known of one element before its circuit: tuned alone by equal capacitors.

    Attributes
    ----------
    gap_count : int
    capacitance_f : float
        In each of its gaps. [F]
    resistance_ohm : float
        In series with its current. [ohm]
    """

    gap_count: int
    capacitance_f: float
    resistance_ohm: float


def circuits_of(request: CircuitRequest, starts: Sequence[Start], *, frequency_hz: float) -> tuple[ElementCircuit, ...]:
    """Wire every element as the brief asks.

    Parameters
    ----------
    request : CircuitRequest
        The circuit of the brief.
    starts : sequence of Start
        One for each element.
    frequency_hz : float
        Operating frequency. [Hz]

    Returns
    -------
    tuple of ElementCircuit
        Free values where the element alone, a chain of equal gaps, would have them; synthesis moves them.
    """
    return tuple(_circuit(request, start, 2 * np.pi * frequency_hz) for start in starts)


def wanted_of(request: CircuitRequest) -> Wanted:
    """What synthesis is asked for: the parts that it may change, by name, and the source that receivers shall see."""
    source = (
        None
        if request.seen_resistance_ohm is None
        else complex(request.seen_resistance_ohm, request.seen_reactance_ohm)
    )
    match request:
        case OwnWiringRequest(parts=parts):
            return Wanted(free=tuple(part.name for part in parts if part.is_free), source_ohm=source)
        case HighInputRequest():
            return Wanted(free=("C match", _trimmed(request)), source_ohm=source)
        case _:
            return Wanted(free=("C match", _trimmed(request), "L series"), source_ohm=source)


def trimmed_of(request: CircuitRequest, wanted: Wanted, *, by_tabs: tuple[str, ...]) -> tuple[str, ...]:
    """Names of the capacitors that stay adjustable, as the brief says or as the wiring suggests.

    Parameters
    ----------
    request : CircuitRequest
        The circuit of the brief.
    wanted : Wanted
        Which parts were free.
    by_tabs : tuple of str
        Capacitors that are printed: cutting tabs trims them, so that no trimmer is needed unless one is asked for.
    """
    match request:
        case _ if request.trimmed is not None:
            return request.trimmed
        case OwnWiringRequest(parts=parts):
            return tuple(part.name for part in parts if part.is_free and isinstance(part.what, CapacitorPart))[-1:]
        case _:
            return tuple(name for name in wanted.free if name == _trimmed(request) and name not in by_tabs)


def _trimmed(request: ReadyWiringRequest) -> str:
    """Name of the tuning capacitor that is trimmed: that of the first gap after match and protection."""
    return f"C tune {2 + _protected(request)}"


def _protected(request: ReadyWiringRequest) -> int:
    """Gaps that hold a trap or a fuse."""
    return len(request.protection) if isinstance(request, MatchWithTrapsRequest) else 0


def _circuit(request: CircuitRequest, start: Start, w: float) -> ElementCircuit:
    if isinstance(request, OwnWiringRequest):
        return ElementCircuit(
            gap_count=start.gap_count,
            branches=tuple(
                requested_branch(part, start_f=start.capacitance_f, start_h=_START_REACTANCE_OHM / w)
                for part in request.parts
            ),
            channel=request.receiver,
            receiver=requested_preamplifier(request.preamplifier),
            returns=request.returns,
        )
    return _ready(request, start, w)


def _ready(
    request: MatchRequest
    | MatchWithTrapsRequest
    | TrapAcrossMatchRequest
    | LowInputRequest
    | HighInputRequest
    | LineEndRequest,
    start: Start,
    w: float,
) -> ElementCircuit:
    kit, gaps = _kit(request), start.gap_count
    match_ohm, tune_f = _match_and_tune(request, start, w)
    match_f, series_h = 1 / (w * match_ohm), match_ohm / w
    match request:
        case MatchRequest() | LowInputRequest():
            return capacitive_match(kit, gap_count=gaps, match_f=match_f, tune_f=tune_f, series_h=series_h)
        case MatchWithTrapsRequest():
            traps = _protection(request, kit, start.capacitance_f, w)
            return capacitive_match(kit, gap_count=gaps, match_f=match_f, tune_f=tune_f, series_h=series_h, traps=traps)
        case TrapAcrossMatchRequest(pin_diode=told):
            return match_with_trap_across(
                kit, gap_count=gaps, match_f=match_f, tune_f=tune_f, series_h=series_h, diode=requested_pin_diode(told)
            )
        case HighInputRequest():
            return amplifier_across_match(kit, gap_count=gaps, match_f=match_f, tune_f=tune_f)
        case LineEndRequest(line=line):
            return matched_at_line_end(
                kit, gap_count=gaps, line=requested_line(line), match_f=match_f, tune_f=tune_f, series_h=series_h
            )
    assert_never(request)


def _match_and_tune(request: ReadyWiringRequest, start: Start, w: float) -> tuple[float, float]:
    """Reactance of the match capacitor that transforms the loop's resistance to the source's [ohm], and C tune [F].

    With the loop resonant, capacitor of reactance X in it, a source of X^2 / R - jX stands across the capacitor.
    """
    source_ohm = request.seen_resistance_ohm or request.preamplifier.best_source_resistance_ohm
    match_ohm = np.sqrt(source_ohm * start.resistance_ohm)
    gap_ohm = 1 / (w * start.capacitance_f)
    others = _protected(request)
    tuning = start.gap_count - 1 - others
    left_ohm = ((start.gap_count - others) * gap_ohm - match_ohm) / tuning
    return float(match_ohm), _as_sold(request, float(1 / (w * max(left_ohm, 0.1 * gap_ohm))))


def _as_sold(request: ReadyWiringRequest, capacitance_f: float) -> float:
    """Take a capacitor from the series: nobody bends a fixed one to its value."""
    return nearest_fixed(capacitance_f, request.values)


def _protection(
    request: MatchWithTrapsRequest, kit: PartsKit, capacitance_f: float, w: float
) -> tuple[tuple[Branch, ...], ...]:
    capacitance_f = _as_sold(request, capacitance_f)
    capacitor = Capacitor(capacitance_f=capacitance_f, quality_factor=kit.capacitor_q)
    coil = Inductor(inductance_h=1 / (w**2 * capacitance_f), quality_factor=kit.inductor_q)
    made = []
    for gap, word in enumerate(request.protection, start=2):
        if word == "fuse":
            made.append(fuse_in_series(gap, kit, capacitance_f=capacitance_f, fuse=requested_fuse(request.fuse)))
        else:
            diode = (
                requested_pin_diode(request.pin_diode)
                if word == "PIN trap"
                else requested_crossed_diodes(request.crossed_diodes)
            )
            found_h = trap_for_capacitor(capacitor, coil, diode, frequency_hz=w / (2 * np.pi)).inductor.inductance_h
            made.append(trap_across(gap, kit, capacitance_f=capacitance_f, inductance_h=float(found_h), diode=diode))
    return tuple(made)


def _kit(request: ReadyWiringRequest) -> PartsKit:
    return PartsKit(
        capacitor_q=request.capacitor_quality,
        inductor_q=request.inductor_quality,
        receiver=requested_preamplifier(request.preamplifier),
        capacitor_rating_v=inf if request.capacitor_rating_v is None else request.capacitor_rating_v,
    )
