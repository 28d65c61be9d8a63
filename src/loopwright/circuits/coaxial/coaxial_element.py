"""Elements wound of coaxial line: gaps in the shield, cuts in the inner conductor, lines in between.

Outside, the shield is a wire of the conductors' network with a port at every gap. Inside, a piece of line reaches from
each gap or cut to the next. At a gap the inner conductor passes and the shield has two ends, at a cut it is the other
way round. Where both sit is free; alternately and evenly spaced they make the usual self-resonant element.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.parts import Capacitor, Inductor, Line, Preamplifier
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, return_node
from loopwright.conductors.coaxial_line import CoaxialCable, line_constants
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.windings import places_along, wound_circle_m

__all__ = [
    "CoaxialElement",
    "circular_coaxial_element",
    "coaxial_circuit",
    "cut_ends",
    "inside_line",
    "line_pieces",
    "terminal_tuning",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoaxialElement:
    """One element of coaxial line.

    Attributes
    ----------
    cable : CableFromDimensions or CableFromDataSheet
        What it is wound of.
    vertices_m : ndarray, shape (nodes, 3)
        Closed centre-line, its first node not repeated. [m]
    length_m : float
        Length of the line; that of the smooth curve, a little other than the polygon's. [m]
    gap_nodes : tuple of int
        Nodes at which the shield is interrupted, rising.
    cut_places : tuple of float
        Where the inner conductor is interrupted, as fractions of the length from the first node, rising. The receiver
        stands across the first one.
    """

    cable: CoaxialCable
    vertices_m: NDArray[np.float64]
    length_m: float
    gap_nodes: tuple[int, ...]
    cut_places: tuple[float, ...]

    @property
    def gap_places(self) -> tuple[float, ...]:
        """Where the shield is interrupted, as fractions of the length."""
        return tuple(float(place) for place in places_along(self.vertices_m)[list(self.gap_nodes)])


def circular_coaxial_element(
    cable: CoaxialCable, diameter_m: float, *, pairs: int = 1, turns: int = 1, pitch_m: float = 0.0, segments: int = 48
) -> CoaxialElement:
    """Circle of one or more turns with gaps and cuts alternately and evenly spaced.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    diameter_m : float
        [m]
    pairs : int
        Gaps in the shield, and as many cuts of the inner conductor half-way between them.
    turns : int
        How often the wire goes round.
    pitch_m : float
        Distance between neighbouring turns. [m]
    segments : int
        Of each turn, raised to what puts every gap on a node.

    Returns
    -------
    CoaxialElement
    """
    nodes = pairs * -(-segments * turns // pairs)
    return CoaxialElement(
        cable=cable,
        vertices_m=wound_circle_m(diameter_m, segments=nodes, turns=turns, pitch_m=pitch_m),
        length_m=turns * pi * diameter_m,
        gap_nodes=tuple(k * nodes // pairs for k in range(pairs)),
        cut_places=tuple((k + 0.5) / pairs for k in range(pairs)),
    )


def inside_line(cable: CoaxialCable, length_m: ArrayLike, frequency_hz: ArrayLike) -> Line:
    """Return a piece of the inside as a part of a circuit.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    length_m : array_like, shape (...)
        [m]
    frequency_hz : array_like, shape (...)
        At which impedance, speed and loss are taken; near it the loss goes with the root of the frequency. [Hz]

    Returns
    -------
    Line
        Its characteristic impedance without the small imaginary part that loss gives it.
    """
    constants = line_constants(cable, frequency_hz)
    return Line(
        length_m=np.asarray(length_m, dtype=np.float64),
        characteristic_ohm=constants.characteristic_ohm.real,
        velocity_factor=constants.velocity_factor,
        loss_db_per_m=constants.loss_db_per_m,
        loss_frequency_hz=np.asarray(frequency_hz, dtype=np.float64),
    )


def cut_ends(cut: int) -> tuple[str, str]:
    """Names of the inner conductor's two ends at a cut, after and before it, counted from one.

    The one before is the return of all that stands at the cut; the shield there, ``shield``, is an ordinary node.
    """
    return f"cut {cut} after", f"cut {cut} before"


def line_pieces(element: CoaxialElement) -> tuple[tuple[str, float, float], ...]:
    """Name the pieces of line inside an element, with the places at which each begins and ends.

    Parameters
    ----------
    element : CoaxialElement

    Returns
    -------
    tuple of (str, float, float)
        In the order of the wire; the last one ends past 1, where it closes.
    """
    events = _events(element)
    around = [*events, (events[0][0] + 1, events[0][1], events[0][2])]
    return tuple(
        (f"line {kind} {number} to {next_kind} {next_number}", here, there)
        for (here, kind, number), (there, next_kind, next_number) in pairwise(around)
    )


def _events(element: CoaxialElement) -> list[tuple[float, str, int]]:
    """Gaps and cuts in the order of the wire."""
    gaps = [(place, "gap", number) for number, place in enumerate(element.gap_places, start=1)]
    cuts = [(place, "cut", number) for number, place in enumerate(element.cut_places, start=1)]
    return sorted(gaps + cuts)


def coaxial_circuit(
    element: CoaxialElement, frequency_hz: ArrayLike, receiver: Preamplifier, *, across: tuple[Branch, ...] = ()
) -> ElementCircuit:
    """Wire the inside of an element to the gaps of its shield.

    Parameters
    ----------
    element : CoaxialElement
    frequency_hz : array_like, shape (...)
        At which the line's constants are taken. [Hz]
    receiver : Preamplifier
        What stands across the first cut of the inner conductor.
    across : tuple of Branch
        Further parts, across a gap (``gap 1``, ``return 1``) or across a cut (``cut_ends``): capacitors that make a
        short shielded loop resonant, or that tune.

    Returns
    -------
    ElementCircuit
        Spans named as in ``line_pieces``.

    Raises
    ------
    OutsideModelError
        If there is no gap, no cut, or two of them at one place.
    """
    places = [place for place, _, _ in _events(element)]
    if not element.gap_nodes or not element.cut_places:
        raise OutsideModelError("a coaxial element needs a gap in its shield and a cut in its inner conductor")
    if min(np.diff([*places, places[0] + 1])) < 1e-6:
        raise OutsideModelError(f"gaps and cuts must lie apart, found them at {places} of the length")
    kinds = [(kind, number) for _, kind, number in _events(element)]
    spans = tuple(
        Span(
            name=name,
            line=inside_line(element.cable, (there - here) * element.length_m, frequency_hz),
            near=_beginning(*kinds[at]),
            far=_end(*kinds[(at + 1) % len(kinds)]),
        )
        for at, (name, here, there) in enumerate(line_pieces(element))
    )
    return ElementCircuit(
        gap_count=len(element.gap_nodes),
        branches=(*spans, *across),
        channel=cut_ends(1),
        receiver=receiver,
        returns=tuple(cut_ends(cut)[1] for cut in range(1, len(element.cut_places) + 1)),
    )


def _beginning(kind: str, number: int) -> tuple[str, str]:
    """Inner conductor and shield at the beginning of the piece that leaves a gap or a cut."""
    if kind == "gap":
        return f"inner {number}", gap_node(number)
    return cut_ends(number)[0], f"shield {number}"


def _end(kind: str, number: int) -> tuple[str, str]:
    if kind == "gap":
        return f"inner {number}", return_node(number)
    return cut_ends(number)[1], f"shield {number}"


def terminal_tuning(terminal_siemens: complex, *, frequency_hz: float, quality_factor: float) -> Capacitor | Inductor:
    """Part across the terminal that makes the element resonant.

    Parameters
    ----------
    terminal_siemens : complex
        Admittance of the terminal, nothing there. [S]
    frequency_hz : float
        [Hz]
    quality_factor : float
        Of the part.

    Returns
    -------
    Capacitor or Inductor
        A capacitor where the terminal is inductive, an inductor where it is capacitive.
    """
    w, wanted_siemens = 2 * pi * frequency_hz, -terminal_siemens.imag
    # A series loss lowers the susceptance by this factor.
    lossy = 1 + quality_factor**-2
    if wanted_siemens >= 0:
        return Capacitor(capacitance_f=lossy * wanted_siemens / w, quality_factor=quality_factor)
    return Inductor(inductance_h=-1 / (w * lossy * wanted_siemens), quality_factor=quality_factor)
