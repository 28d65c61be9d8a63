"""Lines of a netlist for SPICE: names of nodes, the conductor between its gaps, and every kind of part.

A part is what it is at the operating frequency; quality factors become fixed resistors.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import assert_never

import numpy as np

from loopwright.circuits.part_admittance import admittance_siemens, line_admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, OffGap, PassivePart, Resistor
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, nodes_of, return_node

__all__ = ["NetlistNames", "branch_lines", "conductor_lines", "impedance_lines", "part_word"]


#: Nodes of the netlist's own begin so, or are ground.
_OWN_NODES = ("loop", "in_", "sense_", "emf", "x")
_GROUND = ("0", "gnd")


@dataclass(frozen=True, slots=True, kw_only=True)
class NetlistNames:
    """Names of nodes as SPICE wants them: words, of which it does not tell capitals; the channel's return is ground."""

    words: Mapping[str, str]

    @classmethod
    def in_circuit(cls, circuit: ElementCircuit) -> "NetlistNames":
        """Words for all nodes of a circuit."""
        ground, words, taken = circuit.channel[1], {}, set(_GROUND)
        for node in (*nodes_of(circuit), *sorted(circuit.every_return - {ground})):
            word = part_word(node)
            while word.lower() in taken or word.lower().startswith(_OWN_NODES):
                word = f"n_{word}"
            taken.add(word.lower())
            words[node] = word
        return cls(words={**words, ground: "0"})

    def of(self, node: str) -> str:
        """Word of a node."""
        return self.words[node]


def conductor_lines(
    circuit: ElementCircuit, names: NetlistNames, loop_ohm: complex, frequency_hz: float
) -> Iterator[str]:
    """Inductance and resistance of one uniform current, spread evenly between the gaps.

    Parameters
    ----------
    circuit : ElementCircuit
        Its gaps count.
    names : NetlistNames
        Of its nodes.
    loop_ohm : complex
        What the gaps show together for one uniform current. [ohm]
    frequency_hz : float
        [Hz]
    """
    count = circuit.gap_count
    inductance_h = loop_ohm.imag / (2 * np.pi * frequency_hz * count)
    yield "* conductor, from each gap to the next"
    for gap in range(1, count + 1):
        here, there = names.of(gap_node(gap)), names.of(return_node(gap % count + 1))
        yield f"Rloop{gap} {here} loop{gap} {loop_ohm.real / count:.9g}"
        yield f"Lloop{gap} loop{gap} {there} {inductance_h:.9g}"


def branch_lines(branch: Branch | Span, name: str, names: NetlistNames, frequency_hz: float) -> Iterator[str]:
    """Lines of one part under a name that no other part has, capitals or not.

    Parameters
    ----------
    branch : Branch or Span
        Passive.
    name : str
    names : NetlistNames
        Of the nodes.
    frequency_hz : float
        At which it is what it is. [Hz]
    """
    if isinstance(branch, Span):
        yield from _span_lines(branch, name, names, frequency_hz)
        return
    one, other = branch.between
    yield f"* {branch.name}: {one}, {other}"
    yield from _part_lines(name, branch.part, names.of(one), names.of(other), frequency_hz)  # type: ignore[arg-type]


def part_word(name: str) -> str:
    """Name of a part as SPICE wants it."""
    return re.sub(r"\W", "_", name, flags=re.ASCII)


def _part_lines(name: str, part: PassivePart, one: str, other: str, frequency_hz: float) -> Iterator[str]:
    w = 2 * np.pi * frequency_hz
    match part:
        case Resistor():
            yield from impedance_lines(
                name, one, other, complex(1 / admittance_siemens(part, frequency_hz)), frequency_hz
            )
        case Capacitor():
            loss_ohm = complex(1 / admittance_siemens(part, frequency_hz)).real
            yield from _with_loss(name, one, other, f"C{name}", part.capacitance_f, loss_ohm)
        case Inductor():
            loss_ohm = float(w * part.inductance_h / part.quality_factor)
            yield from _with_loss(name, one, other, f"L{name}", part.inductance_h, loss_ohm)
            if np.isfinite(part.self_resonance_hz):
                stray_f = 1 / ((2 * np.pi * part.self_resonance_hz) ** 2 * part.inductance_h)
                yield f"Cown{name} {one} {other} {stray_f:.9g}"
        case OffGap():
            yield f"R{name} {one} {other} {part.resistance_ohm:.9g}"
            yield f"C{name} {one} {other} {part.capacitance_f:.9g}"
        case _:
            assert_never(part)


def _with_loss(name: str, one: str, other: str, title: str, value: object, loss_ohm: object) -> Iterator[str]:
    """A reactance and its loss in series."""
    if loss_ohm:
        yield f"R{name} {one} in_{name} {loss_ohm:.9g}"
        one = f"in_{name}"
    yield f"{title} {one} {other} {value:.9g}"


def impedance_lines(name: str, one: str, other: str, impedance_ohm: complex, frequency_hz: float) -> Iterator[str]:
    """An impedance at one frequency, as a resistor with an inductor or a capacitor.

    Parameters
    ----------
    name, one, other : str
        Name and nodes.
    impedance_ohm : complex
        [ohm]
    frequency_hz : float
        [Hz]
    """
    z, w = complex(impedance_ohm), 2 * np.pi * frequency_hz
    if z.imag == 0:
        yield f"R{name} {one} {other} {z.real:.9g}"
        return
    reactive = f"L{name}" if z.imag > 0 else f"C{name}"
    value = z.imag / w if z.imag > 0 else -1 / (w * z.imag)
    yield from _with_loss(name, one, other, reactive, value, z.real)


def _span_lines(span: Span, name: str, names: NetlistNames, frequency_hz: float) -> Iterator[str]:
    """A line as its pi equivalent at the operating frequency, and an ideal transformer that keeps its ends apart."""
    own, mutual = (complex(y) for y in line_admittance_siemens(span.line, frequency_hz))
    near, back = (names.of(node) for node in span.near)
    far, sheath = (names.of(node) for node in span.far)
    inside, sense = f"in_{name}", f"sense_{name}"
    yield f"* {span.name}: its equivalent at {frequency_hz:.9g} Hz, its two ends apart; negative resistors are meant"
    yield from impedance_lines(f"{name}_near", near, back, 1 / (own + mutual), frequency_hz)
    yield from impedance_lines(f"{name}_through", near, inside, -1 / mutual, frequency_hz)
    yield from impedance_lines(f"{name}_far", inside, back, 1 / (own + mutual), frequency_hz)
    yield f"E{name} {far} {sense} {inside} {back} 1"
    yield f"V{name} {sense} {sheath} 0"
    yield f"F{name} {back} {inside} V{name} 1"
