"""Netlists run in ngspice where it is installed and give the impedance that our own nodal analysis gives."""

import re
import shutil
import subprocess

import numpy as np
import pytest

from loopwright.circuits.parts import Capacitor, Inductor, Line, OffGap, PinDiode, Preamplifier
from loopwright.circuits.single_loop import seen_with_loop_ohm
from loopwright.circuits.wiring import Branch, ElementCircuit, Span
from loopwright.formats.network_files import element_netlist
from loopwright.formats.spice import spice_netlist
from wired_rings import TRAPS, wired

F0 = 123.2e6
needs_ngspice = pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")


def seen_by_ngspice(netlist, tmp_path):
    (tmp_path / "element.cir").write_text(netlist, "utf-8")
    ran = subprocess.run(  # noqa: S603 - a fixed command on a file of this test
        [shutil.which("ngspice"), "-b", "element.cir"], cwd=tmp_path, capture_output=True, text=True, timeout=60,
        check=False,
    )  # fmt: skip
    found = {
        part: float(value) for part, value in re.findall(r"^(real|imag)\(v\(\w+\)\) = (\S+)", ran.stdout, re.MULTILINE)
    }
    assert set(found) == {"real", "imag"}, ran.stdout + ran.stderr
    assert "Error" not in ran.stdout + ran.stderr
    return complex(found["real"], found["imag"])


@needs_ngspice
@pytest.mark.parametrize(
    ("wiring", "gaps"),
    [(TRAPS, 4), ("match with PIN trap across it", 2), ("amplifier on the loop with high input impedance", 2),
     ("match at the end of a line", 2), ("own", 2)],
)  # fmt: skip
def test_ngspice_sees_what_the_receiver_sees_in_the_array(wiring, gaps, tmp_path):
    outcome = wired(wiring, gaps=gaps)
    netlist = element_netlist(outcome, 1, name="E2", tool_version="0")
    # ngspice prints six decimals.
    assert seen_by_ngspice(netlist, tmp_path) == pytest.approx(complex(outcome.receiving.seen_ohm[1]), rel=3e-6)


def every_kind_of_part():
    """One gap with a lossy line behind it, and what else a circuit can hold."""
    return ElementCircuit(
        gap_count=2,
        branches=(
            Span(
                name="lead",
                line=Line(length_m=0.23, characteristic_ohm=50, velocity_factor=0.66, loss_db_per_m=0.9),
                near=("gap 1", "return 1"),
                far=("end", "sheath"),
            ),
            Branch(name="C end", part=Capacitor(capacitance_f=22e-12, series_resistance_ohm=0.1),
                   between=("end", "sheath")),
            Branch(name="choke", part=Inductor(inductance_h=300e-9, quality_factor=40, self_resonance_hz=150e6),
                   between=("end", "feed")),
            Branch(name="C feed", part=Capacitor(capacitance_f=9e-12, quality_factor=700), between=("feed", "sheath")),
            Branch(name="stray", part=OffGap(resistance_ohm=9e3, capacitance_f=0.4e-12), between=("feed", "sheath")),
            Branch(name="C 2", part=Capacitor(capacitance_f=15e-12), between=("gap 2", "m")),
            Branch(name="D", part=PinDiode(forward_resistance_ohm=0.3, reverse_resistance_ohm=4e3,
                                           reverse_capacitance_f=0.5e-12), between=("m", "return 2")),
        ),
        channel=("feed", "sheath"),
        receiver=Preamplifier(input_ohm=2 + 0j),
        returns=("sheath",),
    )  # fmt: skip


@needs_ngspice
def test_every_kind_of_part_is_the_same_in_ngspice(tmp_path):
    circuit, loop_ohm = every_kind_of_part(), 3.1 + 140j
    netlist = spice_netlist(
        circuit, loop_ohm=loop_ohm, frequency_hz=F0, band_hz=(0.9 * F0, 1.1 * F0), title="all kinds"
    )
    assert seen_by_ngspice(netlist, tmp_path) == pytest.approx(
        seen_with_loop_ohm(circuit, loop_ohm, frequency_hz=F0), rel=3e-6
    )


@needs_ngspice
@pytest.mark.parametrize("middle", ["loop1", "gnd", "0", "in_1_C1", "FEED", "gap_1", "sense_x", "Knoten ä"])
def test_nodes_and_parts_may_be_called_what_netlists_use_themselves(middle, tmp_path):
    """Each of these names was joined to another node, and the netlist showed another impedance."""
    circuit = ElementCircuit(
        gap_count=1,
        branches=(
            Branch(name="C1", part=Capacitor(capacitance_f=20e-12, quality_factor=500), between=("gap 1", middle)),
            Branch(name="c1", part=Capacitor(capacitance_f=30e-12), between=(middle, "return 1")),
            Branch(name="L", part=Inductor(inductance_h=20e-9, quality_factor=100, self_resonance_hz=3e9),
                   between=(middle, "feed")),
            Branch(name="own3_L", part=Capacitor(capacitance_f=1e-12), between=("feed", "return 1")),
        ),
        channel=("feed", "return 1"),
        receiver=Preamplifier(input_ohm=2 + 0j),
    )  # fmt: skip
    netlist = spice_netlist(circuit, loop_ohm=3 + 140j, frequency_hz=F0, band_hz=(0.9 * F0, 1.1 * F0), title="names")
    assert seen_by_ngspice(netlist, tmp_path) == pytest.approx(
        seen_with_loop_ohm(circuit, 3 + 140j, frequency_hz=F0), rel=3e-6
    )


def test_the_netlist_names_every_part_and_the_conductor_between_all_gaps():
    outcome = wired()
    netlist = element_netlist(outcome, 0, name="E1", tool_version="0")
    for branch in outcome.circuits[0].branches:
        assert f"* {branch.name}:" in netlist
    assert [line for line in netlist.splitlines() if line.startswith("Lloop")][-1].split()[2] == "0"
    values = np.array([float(line.split()[3]) for line in netlist.splitlines() if line.startswith("Lloop")])
    assert values == pytest.approx(values[0])
    assert netlist.startswith("* loopwright 0: element E1")
