"""The circuit of one element as a netlist for SPICE, its conductor as inductance and resistance between the gaps.

The netlist holds the element alone in its receiving state: the inductance and resistance that its gaps show together
for one uniform current, body included, spread evenly between them. A part is what it is at the operating frequency;
quality factors become fixed resistors. The receiver is away, and one ampere is put into the channel, so the voltage
there is the impedance that the receiver would see. Written for ngspice; other SPICE programs may want the control
block taken out.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import assert_never

import numpy as np

from loopwright.circuits.part_admittance import admittance_siemens, line_admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, OffGap, PassivePart, Resistor
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, gap_node, nodes_of, return_node

__all__ = ["spice_netlist"]


#: Nodes of the netlist's own begin so, or are ground.
_OWN_NODES = ("loop", "in_", "sense_")
_GROUND = ("0", "gnd")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Names:
    """Names of nodes as SPICE wants them: words, of which it does not tell capitals; the channel's return is ground."""

    words: Mapping[str, str]

    @classmethod
    def in_circuit(cls, circuit: ElementCircuit) -> "_Names":
        ground, words, taken = circuit.channel[1], {}, set(_GROUND)
        for node in (*nodes_of(circuit), *sorted(circuit.every_return - {ground})):
            word = _word(node)
            while word.lower() in taken or word.lower().startswith(_OWN_NODES):
                word = f"n_{word}"
            taken.add(word.lower())
            words[node] = word
        return cls(words={**words, ground: "0"})

    def of(self, node: str) -> str:
        return self.words[node]


def spice_netlist(
    circuit: ElementCircuit,
    *,
    loop_ohm: complex,
    frequency_hz: float,
    band_hz: tuple[float, float],
    title: str,
    remarks: tuple[str, ...] = (),
) -> str:
    """Write one element as a netlist that runs in ngspice.

    Parameters
    ----------
    circuit : ElementCircuit
        With its values.
    loop_ohm : complex
        What the gaps of the element show together for one uniform current, the other elements open. [ohm]
    frequency_hz : float
        Operating frequency. [Hz]
    band_hz : tuple of float
        First and last frequency of the sweep. [Hz]
    title : str
        First line.
    remarks : tuple of str
        Comment lines below it.
    """
    names = _Names.in_circuit(circuit)
    plain = in_state(circuit, RECEIVING)
    parts = [
        line
        for number, branch in enumerate(plain.branches, start=1)
        for line in _branch_lines(branch, f"{number}_{_word(branch.name)}", names, frequency_hz)
    ]
    feed = names.of(circuit.channel[0])
    f0 = f"{frequency_hz:.9g}"
    return "\n".join(
        (
            f"* {title}",
            *(f"* {remark}" for remark in remarks),
            *_conductor_lines(circuit, names, loop_ohm, frequency_hz),
            *parts,
            "* one ampere into the channel: the voltage there is the impedance that the receiver sees",
            f"Iin 0 {feed} dc 0 ac 1",
            ".options rshunt=1e12",
            ".control",
            f"ac lin 1 {f0} {f0}",
            f"print real(v({feed})) imag(v({feed}))",
            f"ac lin 201 {band_hz[0]:.9g} {band_hz[1]:.9g}",
            ".endc",
            ".end",
            "",
        )
    )


def _conductor_lines(circuit: ElementCircuit, names: _Names, loop_ohm: complex, frequency_hz: float) -> Iterator[str]:
    count = circuit.gap_count
    inductance_h = loop_ohm.imag / (2 * np.pi * frequency_hz * count)
    yield "* conductor, from each gap to the next"
    for gap in range(1, count + 1):
        here, there = names.of(gap_node(gap)), names.of(return_node(gap % count + 1))
        yield f"Rloop{gap} {here} loop{gap} {loop_ohm.real / count:.9g}"
        yield f"Lloop{gap} loop{gap} {there} {inductance_h:.9g}"


def _branch_lines(branch: Branch | Span, name: str, names: _Names, frequency_hz: float) -> Iterator[str]:
    """Lines of one part under a name that no other part has, capitals or not."""
    if isinstance(branch, Span):
        yield from _span_lines(branch, name, names, frequency_hz)
        return
    one, other = branch.between
    yield f"* {branch.name}: {one}, {other}"
    yield from _part_lines(name, branch.part, names.of(one), names.of(other), frequency_hz)  # type: ignore[arg-type]


def _word(name: str) -> str:
    return re.sub(r"\W", "_", name, flags=re.ASCII)


def _part_lines(name: str, part: PassivePart, one: str, other: str, frequency_hz: float) -> Iterator[str]:
    w = 2 * np.pi * frequency_hz
    match part:
        case Resistor():
            yield from _in_series(name, one, other, complex(1 / admittance_siemens(part, frequency_hz)), frequency_hz)
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


def _in_series(name: str, one: str, other: str, impedance_ohm: complex, frequency_hz: float) -> Iterator[str]:
    """An impedance at one frequency, as a resistor with an inductor or a capacitor."""
    z, w = complex(impedance_ohm), 2 * np.pi * frequency_hz
    if z.imag == 0:
        yield f"R{name} {one} {other} {z.real:.9g}"
        return
    reactive = f"L{name}" if z.imag > 0 else f"C{name}"
    value = z.imag / w if z.imag > 0 else -1 / (w * z.imag)
    yield from _with_loss(name, one, other, reactive, value, z.real)


def _span_lines(span: Span, name: str, names: _Names, frequency_hz: float) -> Iterator[str]:
    """A line as its pi equivalent at the operating frequency, and an ideal transformer that keeps its ends apart."""
    own, mutual = (complex(y) for y in line_admittance_siemens(span.line, frequency_hz))
    near, back = (names.of(node) for node in span.near)
    far, sheath = (names.of(node) for node in span.far)
    inside, sense = f"in_{name}", f"sense_{name}"
    yield f"* {span.name}: its equivalent at {frequency_hz:.9g} Hz, its two ends apart; negative resistors are meant"
    yield from _in_series(f"{name}_near", near, back, 1 / (own + mutual), frequency_hz)
    yield from _in_series(f"{name}_through", near, inside, -1 / mutual, frequency_hz)
    yield from _in_series(f"{name}_far", inside, back, 1 / (own + mutual), frequency_hz)
    yield f"E{name} {far} {sense} {inside} {back} 1"
    yield f"V{name} {sense} {sheath} 0"
    yield f"F{name} {back} {inside} V{name} 1"
