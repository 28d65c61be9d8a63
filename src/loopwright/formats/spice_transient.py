"""One element in a transmit field as a netlist for SPICE that runs in time, its crossed diodes as diodes.

The diodes are those that the tool itself computes with: saturation current, emission, series resistance, capacitance
and temperature are printed from the same record. Each of the two takes half of the pair's capacitance, which does not
change with voltage (grading coefficient 0), and no charge is stored (transit time 0).
"""

from collections.abc import Iterator

import numpy as np

from loopwright.circuits.bias.crossed_diodes import CrossedDiodes as DiodeLaw
from loopwright.circuits.states import ElementState, Plug, in_state
from loopwright.circuits.under_field.pairs_seen import pairs_of
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.formats.spice_lines import NetlistNames, branch_lines, conductor_lines, impedance_lines, part_word
from loopwright.ground.errors import OutsideModelError

__all__ = ["crossed_diode_lines", "transient_netlist"]

_ZERO_CELSIUS_K = 273.15


def crossed_diode_lines(name: str, one: str, other: str, *, law: DiodeLaw) -> tuple[str, ...]:
    """Write a pair of crossed diodes between two nodes, and their model.

    Parameters
    ----------
    name : str
        Word for the pair.
    one, other : str
        Nodes.
    law : DiodeLaw
        The two diodes.
    """
    celsius = law.temperature_k - _ZERO_CELSIUS_K
    model = (
        f"IS={law.saturation_current_a:.9g} N={law.emission:.9g} RS={law.series_resistance_ohm:.9g} "
        f"CJO={law.junction_capacitance_f / 2:.9g} M=0 TT=0 TNOM={celsius:.9g}"
    )
    return (
        f"D{name}_up {one} {other} {name}_model temp={celsius:.9g}",
        f"D{name}_down {other} {one} {name}_model temp={celsius:.9g}",
        f".model {name}_model D({model})",
    )


def transient_netlist(
    circuit: ElementCircuit,
    state: ElementState,
    *,
    loop_ohm: complex,
    emf_v: float,
    frequency_hz: float,
    periods: int,
    steps: int = 500,
    title: str,
) -> str:
    """Write one element in a field, the other elements open, as a netlist that ngspice runs in time.

    Parameters
    ----------
    circuit : ElementCircuit
        Without lines.
    state : ElementState
        PIN diodes, plug and faults are as it says; crossed diodes are diodes.
    loop_ohm : complex
        What the gaps show together for one uniform current. [ohm]
    emf_v : float
        Round the loop, peak; spread evenly between the gaps. [V]
    frequency_hz : float
        [Hz]
    periods : int
        How long it runs, from rest.
    steps : int
        Of every period; where they are short enough SPICE keeps them even, which a Fourier sum asks for.
    title : str
        First line.

    Returns
    -------
    str
        The last three periods are written to ``element.txt``, each value behind its time: the current of the loop,
        then the voltage across each pair of crossed diodes and the current through it.

    Raises
    ------
    OutsideModelError
        If the circuit holds a line, which is known at one frequency only.
    """
    if any(isinstance(branch, Span) for branch in circuit.branches):
        raise OutsideModelError("a line is written for one frequency only: no netlist in time holds it")
    names, period_s = NetlistNames.in_circuit(circuit), 1 / frequency_hz
    step = f"{period_s / steps:.12g}"
    bare, bare_state, pairs = pairs_of(circuit, state)
    plain = in_state(bare, bare_state)
    words = {branch.name: f"{number}_{part_word(branch.name)}" for number, branch in enumerate(plain.branches, start=1)}
    ends = {b.name: tuple(names.of(node) for node in b.between) for b in plain.branches if isinstance(b, Branch)}
    told = " ".join(f"{_across(*ends[pair.part])} i(vx{words[pair.part]})" for pair in pairs)
    return "\n".join(
        (
            f"* {title}",
            *_driven_conductor_lines(circuit, names, loop_ohm, frequency_hz, emf_v),
            *(line for b in plain.branches for line in branch_lines(b, words[b.name], names, frequency_hz)),
            *(line for p in pairs for line in _metered_pair_lines(f"x{words[p.part]}", *ends[p.part], law=p.law)),
            *_receiver_lines(circuit, state, names, frequency_hz),
            ".options rshunt=1e12 reltol=1e-4 interp",
            ".control",
            f"tran {step} {periods * period_s:.12g} {(periods - 3) * period_s:.12g} {step} uic",
            f"wrdata element.txt i(vemf1) {told}",
            ".endc",
            ".end",
            "",
        )
    )


def _metered_pair_lines(name: str, one: str, other: str, *, law: DiodeLaw) -> tuple[str, ...]:
    """Put a source of no voltage in front of a pair, whose current SPICE tells."""
    return f"V{name} {one} {name} 0", *crossed_diode_lines(name, name, other, law=law)


def _across(one: str, other: str) -> str:
    if "0" in (one, other):
        return f"v({one})" if other == "0" else f"-v({other})"
    return f"v({one})-v({other})"


def _driven_conductor_lines(
    circuit: ElementCircuit, names: NetlistNames, loop_ohm: complex, frequency_hz: float, emf_v: float
) -> Iterator[str]:
    """The conductor, an EMF that begins at rest behind every piece of it."""
    wave = f"sin(0 {-emf_v / circuit.gap_count:.12g} {frequency_hz:.12g})"
    for line in conductor_lines(circuit, names, loop_ohm, frequency_hz):
        if line.startswith("Lloop"):
            name, inner, end, value = line.split()
            gap = name.removeprefix("Lloop")
            yield f"{name} {inner} emf{gap} {value}"
            yield f"Vemf{gap} emf{gap} {end} {wave}"
        else:
            yield line


def _receiver_lines(
    circuit: ElementCircuit, state: ElementState, names: NetlistNames, frequency_hz: float
) -> Iterator[str]:
    if state.plug is Plug.OUT:
        return
    feed, back = (names.of(node) for node in circuit.channel)
    yield from impedance_lines("receiver", feed, back, complex(np.asarray(circuit.receiver.input_ohm)), frequency_hz)
