"""The array as a network in files: element ports, and where it is wired its channels, parts list and netlists."""

import re
from pathlib import Path

from loopwright.circuits import CircuitOutcome
from loopwright.circuits.single_loop import alone_ohm, equivalent_loop_ohm
from loopwright.dossier import Dossier, Evidence
from loopwright.formats.spice import spice_netlist
from loopwright.formats.tables import table_csv
from loopwright.formats.touchstone import touchstone_text

__all__ = ["element_netlist", "write_circuits", "write_network"]


def write_network(directory: Path, evidence: Evidence) -> None:
    """Write network.sNp, the element ports before matching."""
    network = evidence.network
    text = touchstone_text(
        frequencies_hz=network.frequencies_hz,
        impedance_ohm=network.impedance_ohm,
        port_names=network.port_names,
        tool_version=evidence.tool_version,
        remarks=("element ports before matching, body included", *network.sentences),
    )
    (directory / f"network.s{len(network.port_names)}p").write_text(text, "utf-8")


def write_circuits(directory: Path, evidence: Evidence, dossier: Dossier) -> None:
    """Write channels.sNp, parts.csv and circuits/; nothing where the brief asks for no circuit."""
    outcome = evidence.circuit
    if outcome is None:
        return
    names = evidence.element_names
    channels = touchstone_text(
        frequencies_hz=outcome.sweep.frequencies_hz,
        impedance_ohm=outcome.sweep.channel_ohm,
        port_names=names,
        tool_version=evidence.tool_version,
        remarks=("channels behind the circuits, the receivers away, body included",),
    )
    (directory / f"channels.s{len(names)}p").write_text(channels, "utf-8")
    parts = next(table for table in dossier.tables if table.name == "parts")
    (directory / "parts.csv").write_bytes(table_csv(parts))
    folder = directory / "circuits"
    folder.mkdir()
    for number, name in enumerate(names):
        text = element_netlist(outcome, number, name=name, tool_version=evidence.tool_version)
        (folder / f"{_file_stem(name, number)}.cir").write_text(text, "utf-8")


def element_netlist(outcome: CircuitOutcome, element: int, *, name: str, tool_version: str) -> str:
    """Netlist of one element (counted from 0) that shows its receiver what it sees in the array."""
    circuit, frequency_hz = outcome.circuits[element], outcome.ports.frequency_hz
    uniform_ohm = alone_ohm(outcome.ports, element)
    seen_ohm = complex(outcome.receiving.seen_ohm[element])
    loop_ohm = equivalent_loop_ohm(circuit, seen_ohm, frequency_hz=frequency_hz)
    band = outcome.sweep.frequencies_hz
    return spice_netlist(
        circuit,
        loop_ohm=loop_ohm,
        frequency_hz=frequency_hz,
        band_hz=(float(band[0]), float(band[-1])),
        title=f"loopwright {tool_version}: element {name}, receiving, its receiver away",
        remarks=(
            f"the receiver sees {_told(seen_ohm)} at {frequency_hz / 1e6:.4f} MHz in the array, body included",
            f"conductor here: {_told(loop_ohm)} round the loop, chosen so that this netlist shows the same",
            f"one uniform current, other elements open: {_told(uniform_ohm)}; the rest: neighbours, charge at the gaps",
            "away from that frequency neighbours and the body differ from what stands here",
        ),
    )


def _told(impedance_ohm: complex) -> str:
    rounding = abs(impedance_ohm.imag) < 1e-9 * abs(impedance_ohm)
    imag = 0.0 if rounding else impedance_ohm.imag
    return f"{impedance_ohm.real:.5g} {'+' if imag >= 0 else '-'} j{abs(imag):.5g} ohm"


def _file_stem(name: str, number: int) -> str:
    """Name of an element as a file may be called anywhere."""
    plain = re.sub(r"[^A-Za-z0-9_-]", "_", name)
    return plain if plain == name else f"{number + 1}_{plain}"
