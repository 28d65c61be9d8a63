"""The circuit of one element as a netlist for SPICE, its conductor as inductance and resistance between the gaps.

The netlist holds the element alone in its receiving state: the inductance and resistance that its gaps show together
for one uniform current, body included, spread evenly between them. A part is what it is at the operating frequency;
quality factors become fixed resistors. The receiver is away, and one ampere is put into the channel, so the voltage
there is the impedance that the receiver would see. Written for ngspice; other SPICE programs may want the control
block taken out.
"""

from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import ElementCircuit
from loopwright.formats.spice_lines import NetlistNames, branch_lines, conductor_lines, part_word

__all__ = ["spice_netlist"]


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
    names = NetlistNames.in_circuit(circuit)
    plain = in_state(circuit, RECEIVING)
    parts = [
        line
        for number, branch in enumerate(plain.branches, start=1)
        for line in branch_lines(branch, f"{number}_{part_word(branch.name)}", names, frequency_hz)
    ]
    feed = names.of(circuit.channel[0])
    f0 = f"{frequency_hz:.9g}"
    return "\n".join(
        (
            f"* {title}",
            *(f"* {remark}" for remark in remarks),
            *conductor_lines(circuit, names, loop_ohm, frequency_hz),
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
