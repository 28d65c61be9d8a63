"""Circuits that need not be drawn again, by name of what they do."""

from dataclasses import dataclass

from loopwright.circuits.parts import Capacitor, CrossedDiodes, Inductor, Line, PinDiode, Preamplifier
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, return_node

__all__ = ["PartsKit", "capacitive_match", "matched_at_line_end", "trap_across"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsKit:
    """What the ready circuits are built of.

    Attributes
    ----------
    capacitor_q, inductor_q : float
        Quality factors.
    pin_diode : PinDiode
    crossed_diodes : CrossedDiodes
    receiver : Preamplifier
    """

    capacitor_q: float
    inductor_q: float
    pin_diode: PinDiode
    crossed_diodes: CrossedDiodes
    receiver: Preamplifier


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
    series = Branch(
        name="L series",
        part=Inductor(inductance_h=series_h, quality_factor=kit.inductor_q),
        between=(gap_node(1), "feed"),
    )
    tuned = tuple(
        Branch(name=f"C tune {gap}", part=_capacitor(kit, tune_f), between=(gap_node(gap), return_node(gap)))
        for gap in range(2 + len(traps), gap_count + 1)
    )
    return ElementCircuit(
        gap_count=gap_count,
        branches=(first, series, *(branch for trap in traps for branch in trap), *tuned),
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
    tuned = tuple(
        Branch(name=f"C tune {gap}", part=_capacitor(kit, tune_f), between=(gap_node(gap), return_node(gap)))
        for gap in range(2, gap_count + 1)
    )
    return ElementCircuit(
        gap_count=gap_count,
        branches=(
            Span(name="line", line=line, near=(gap_node(1), return_node(1)), far=end),
            Branch(name="C match", part=_capacitor(kit, match_f), between=end),
            Branch(
                name="L series",
                part=Inductor(inductance_h=series_h, quality_factor=kit.inductor_q),
                between=(end[0], "feed"),
            ),
            *tuned,
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


def _capacitor(kit: PartsKit, capacitance_f: float) -> Capacitor:
    return Capacitor(capacitance_f=capacitance_f, quality_factor=kit.capacitor_q)
