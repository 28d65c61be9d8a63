"""Circuits that need not be drawn again, by name of what they do."""

from dataclasses import dataclass, replace
from math import inf

from loopwright.circuits.parts import Capacitor, CrossedDiodes, Fuse, Inductor, Line, PinDiode, Preamplifier
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, return_node

__all__ = [
    "PartsKit",
    "amplifier_across_match",
    "capacitive_match",
    "fuse_in_series",
    "match_with_trap_across",
    "matched_at_line_end",
    "trap_across",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsKit:
    """What the ready circuits are built of.

    Attributes
    ----------
    capacitor_q, inductor_q : float
        Quality factors.
    receiver : Preamplifier
    pin_diode : PinDiode or None
    crossed_diodes : CrossedDiodes or None
        Diodes of its traps, for who builds several of them.
    capacitor_rating_v : float
        Peak voltage that the capacitors may see; infinite where nobody said. [V]
    """

    capacitor_q: float
    inductor_q: float
    receiver: Preamplifier
    pin_diode: PinDiode | None = None
    crossed_diodes: CrossedDiodes | None = None
    capacitor_rating_v: float = inf


def capacitive_match(
    kit: PartsKit,
    *,
    gap_count: int,
    match_f: float,
    tune_f: float,
    series_h: float,
    traps: tuple[tuple[Branch, ...], ...] = (),
) -> ElementCircuit:
    """Capacitor across the first gap, inductor from there to the receiver, capacitors in the other gaps.

    Parameters
    ----------
    kit : PartsKit
        Qualities, and the receiver.
    gap_count : int
        Gaps of the element.
    match_f : float
        Across gap 1: ``C match``. [F]
    tune_f : float
        Across every gap that holds no trap: ``C tune k``. [F]
    series_h : float
        From gap 1 to the receiver: ``L series``. [H]
    traps : tuple
        Branches of the traps; they take the gaps 2, 3, ... in turn.

    Returns
    -------
    ElementCircuit
    """
    first = Branch(name="C match", part=_capacitor(kit, match_f), between=(gap_node(1), return_node(1)))
    return ElementCircuit(
        gap_count=gap_count,
        branches=(
            first,
            _series_inductor(kit, series_h, gap_node(1)),
            *(branch for trap in traps for branch in trap),
            *_tuned(kit, tune_f, range(2 + len(traps), gap_count + 1)),
        ),
        channel=("feed", return_node(1)),
        receiver=kit.receiver,
    )


def matched_at_line_end(
    kit: PartsKit, *, gap_count: int, line: Line, tune_f: float, match_f: float, series_h: float
) -> ElementCircuit:
    """Line from the first gap, and at its far end the capacitor and inductor of the match; no match on the element.

    Parameters
    ----------
    kit : PartsKit
        Qualities, and the receiver.
    gap_count : int
        Gaps of the element.
    line : Line
        From gap 1 to the match, ``line``: part of the coil, with its own speed and loss.
    tune_f : float
        Across every other gap: ``C tune k``. [F]
    match_f : float
        Across the far end of the line: ``C match``. [F]
    series_h : float
        From there to the receiver: ``L series``. [H]

    Returns
    -------
    ElementCircuit
        Its inside only: the current that the line's outside picks up needs a conductor of its own.
    """
    end = ("line end", "line end return")
    return ElementCircuit(
        gap_count=gap_count,
        branches=(
            Span(name="line", line=line, near=(gap_node(1), return_node(1)), far=end),
            Branch(name="C match", part=_capacitor(kit, match_f), between=end),
            _series_inductor(kit, series_h, end[0]),
            *_tuned(kit, tune_f, range(2, gap_count + 1)),
        ),
        channel=("feed", end[1]),
        receiver=kit.receiver,
        returns=(end[1],),
    )


def trap_across(
    gap: int, kit: PartsKit, *, capacitance_f: float, inductance_h: float, diode: PinDiode | CrossedDiodes
) -> tuple[Branch, ...]:
    """Capacitor across a gap, and across it an inductor in series with a diode that closes the trap.

    Parameters
    ----------
    gap : int
        Counted from one.
    kit : PartsKit
        Qualities.
    capacitance_f, inductance_h : float
        Resonant together once the diode conducts. [F], [H]
    diode : PinDiode or CrossedDiodes
        What closes it.
    """
    top, middle, bottom = gap_node(gap), f"trap {gap}", return_node(gap)
    return (
        Branch(name=f"C trap {gap}", part=_capacitor(kit, capacitance_f), between=(top, bottom)),
        Branch(
            name=f"L trap {gap}",
            part=Inductor(inductance_h=inductance_h, quality_factor=kit.inductor_q),
            between=(top, middle),
        ),
        Branch(name=f"D trap {gap}", part=diode, between=(middle, bottom)),
    )


def fuse_in_series(gap: int, kit: PartsKit, *, capacitance_f: float, fuse: Fuse) -> tuple[Branch, ...]:
    """Capacitor and fuse in series across a gap.

    Parameters
    ----------
    gap : int
        Counted from one.
    kit : PartsKit
        Qualities.
    capacitance_f : float
        [F]
    fuse : Fuse
        Opens the gap where the loop carries too much.
    """
    middle = f"fuse {gap}"
    return (
        Branch(name=f"C fuse {gap}", part=_capacitor(kit, capacitance_f), between=(gap_node(gap), middle)),
        Branch(name=f"Fuse {gap}", part=fuse, between=(middle, return_node(gap))),
    )


def match_with_trap_across(
    kit: PartsKit, *, gap_count: int, match_f: float, tune_f: float, series_h: float, diode: PinDiode
) -> ElementCircuit:
    """Capacitive match whose inductor is its trap: a PIN diode at the receiver closes it over the match capacitor.

    Parameters
    ----------
    kit : PartsKit
        Qualities, diode and receiver.
    gap_count : int
        Gaps of the element.
    match_f, tune_f : float
        Across gap 1, and across every other. [F]
    series_h : float
        Resonant with the match capacitor. [H]
    diode : PinDiode
        From the receiver's node to the return.
    """
    circuit = capacitive_match(kit, gap_count=gap_count, match_f=match_f, tune_f=tune_f, series_h=series_h)
    across = Branch(name="D match", part=diode, between=circuit.channel)
    return replace(circuit, branches=(*circuit.branches[:2], across, *circuit.branches[2:]))


def amplifier_across_match(kit: PartsKit, *, gap_count: int, match_f: float, tune_f: float) -> ElementCircuit:
    """Amplifier of high input impedance straight across the capacitor of the first gap.

    Parameters
    ----------
    kit : PartsKit
        Qualities and receiver.
    gap_count : int
        Gaps of the element.
    match_f, tune_f : float
        Across gap 1, and across every other. [F]
    """
    first = Branch(name="C match", part=_capacitor(kit, match_f), between=(gap_node(1), return_node(1)))
    return ElementCircuit(
        gap_count=gap_count,
        branches=(first, *_tuned(kit, tune_f, range(2, gap_count + 1))),
        channel=(gap_node(1), return_node(1)),
        receiver=kit.receiver,
    )


def _series_inductor(kit: PartsKit, inductance_h: float, node: str) -> Branch:
    part = Inductor(inductance_h=inductance_h, quality_factor=kit.inductor_q)
    return Branch(name="L series", part=part, between=(node, "feed"))


def _tuned(kit: PartsKit, tune_f: float, gaps: range) -> tuple[Branch, ...]:
    return tuple(
        Branch(name=f"C tune {gap}", part=_capacitor(kit, tune_f), between=(gap_node(gap), return_node(gap)))
        for gap in gaps
    )


def _capacitor(kit: PartsKit, capacitance_f: float) -> Capacitor:
    return Capacitor(
        capacitance_f=capacitance_f, quality_factor=kit.capacitor_q, rated_voltage_v=kit.capacitor_rating_v
    )
