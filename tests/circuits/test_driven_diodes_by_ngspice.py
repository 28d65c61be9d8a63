"""A loop with crossed diodes against ngspice in time, fundamental by Fourier, over three decades of field.

ngspice: the open-source SPICE simulator, version 39. Its diodes are printed from the record that the tool
computes with.
"""

import shutil
import subprocess
from dataclasses import replace

import numpy as np
import pytest

from circuits.driven_loop import (
    EMF_V_PER_T,
    LOOP_OHM,
    PAIR,
    TRAP_F,
    TRAP_H,
    F,
    W,
    circuit,
    clamped_without_inductor,
    driven,
)
from circuits.sinusoidal_pair import drive_crossed_diodes
from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.driven_onsets import driven_onsets
from loopwright.formats.spice_transient import transient_netlist

NGSPICE = shutil.which("ngspice")
needs_ngspice = pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed (Debian: apt-get install ngspice)")
STEPS = 500
#: Three decades; the diodes act from 76 nT on.
FIELDS_T = np.geomspace(20e-9, 20e-6, 7)


def in_time(own, field_t, folder, periods):
    """Loop current, voltage across the pair and current through it: fundamentals of the last two periods."""
    netlist = transient_netlist(
        own, UNPLUGGED, loop_ohm=LOOP_OHM, emf_v=EMF_V_PER_T * field_t, frequency_hz=F, periods=periods, steps=STEPS,
        title="a loop in a field",
    )  # fmt: skip
    (folder / "element.cir").write_text(netlist, "utf-8")
    ran = subprocess.run(  # noqa: S603 - a fixed command on a file of this test
        [NGSPICE, "-b", "element.cir"], cwd=folder, capture_output=True, text=True, check=False, timeout=60
    )
    assert "Error" not in ran.stdout + ran.stderr
    time_s, *waves = np.loadtxt(folder / "element.txt")[:, [0, 1, 3, 5]].T
    ends = len(time_s) - 1
    turn = 2 / STEPS * np.exp(-1j * W * time_s)
    last, before = (
        [np.sum((wave * turn)[ends - (k + 1) * STEPS : ends - k * STEPS]) for wave in waves] for k in (0, 1)
    )
    # It has settled; where the time steps fall against the edges of the wave moves a period by up to a hundredth.
    assert last[0] == pytest.approx(before[0], rel=0.01)
    return np.mean([last, before], axis=0)


@needs_ngspice
@pytest.mark.parametrize("field_t", FIELDS_T, ids=lambda b: f"{1e6 * b:.3g} uT")
def test_the_trap_carries_what_ngspice_finds_in_time(field_t, tmp_path):
    """Asked for are 5 %; half of one is what the time steps and the harmonics in the conductor leave."""
    loop_a, pair_v, pair_a = in_time(circuit(), field_t, tmp_path, periods=90)
    found = driven(drive_array, b1_plus_t=[field_t])
    assert abs(found.port_a[0, 0]) == pytest.approx(abs(loop_a), rel=5e-3)
    assert abs(found.voltage_v[0, 0]) == pytest.approx(abs(pair_v), rel=5e-3)
    assert abs(found.current_a[0, 0]) == pytest.approx(abs(pair_a), rel=5e-3)


@needs_ngspice
@pytest.mark.parametrize("field_t", FIELDS_T[::3], ids=lambda b: f"{1e6 * b:.3g} uT")
def test_a_pair_across_a_capacitor_carries_what_ngspice_finds_in_time(field_t, tmp_path):
    loop_a, pair_v, pair_a = in_time(clamped_without_inductor(), field_t, tmp_path, periods=90)
    found = driven(drive_array, clamped_without_inductor(), b1_plus_t=[field_t])
    assert abs(found.port_a[0, 0]) == pytest.approx(abs(loop_a), rel=0.02)
    assert abs(found.voltage_v[0, 0]) == pytest.approx(abs(pair_v), rel=0.02)
    assert abs(found.current_a[0, 0]) == pytest.approx(abs(pair_a), rel=0.02)


@needs_ngspice
def test_the_onset_is_where_ngspice_conducts_as_well_as_all_beside_the_pair(tmp_path):
    tune = next(b.part for b in circuit().branches if b.name == "C tune")
    behind_the_coil_ohm = LOOP_OHM + (1 / 1500 - 1j) / (W * tune.capacitance_f)
    trap_ohm = 1 / (1 / behind_the_coil_ohm + 1 / ((1 / 1500 - 1j) / (W * TRAP_F)))
    seen_ohm = 1 / (1 / (trap_ohm + (1 / 150 + 1j) * W * TRAP_H) + 1 / PAIR.blocking_resistance_ohm)
    beside_s = abs(1 / (seen_ohm + PAIR.conducting_resistance_ohm) + 1j * W * PAIR.blocking_capacitance_f)
    (onset,) = driven(driven_onsets, strongest_t=20e-6)
    fields_t = onset.acts_t * np.array([0.96, 1.04])
    acting = []
    for field_t in fields_t:
        _, pair_v, pair_a = in_time(circuit(), field_t, tmp_path, periods=90)
        acting.append((1 / (pair_v / pair_a - PAIR.conducting_resistance_ohm)).real / beside_s)
    in_ngspice_t = np.exp(np.interp(0.0, np.log(acting), np.log(fields_t)))
    assert acting[0] < 1 < acting[1]
    assert onset.acts_t == pytest.approx(in_ngspice_t, rel=0.01)


@needs_ngspice
def test_a_sinusoidal_voltage_would_be_told_a_tenth_too_little(tmp_path):
    """Why harmonics are balanced: behind the trap's inductor the voltage is near a square wave."""
    loop_a, *_ = in_time(circuit(), 0.5e-6, tmp_path, periods=90)
    found = driven(drive_array, b1_plus_t=[0.5e-6])
    law = replace(GENERIC_CROSSED_DIODES, junction_capacitance_f=4e-12, series_resistance_ohm=0.5)
    seen_ohm = (found.voltage_v - driven(drive_array, b1_plus_t=[1e-12]).voltage_v * 0.5e6) / -found.current_a
    open_v = found.voltage_v + seen_ohm * found.current_a
    by_sinusoid = drive_crossed_diodes(open_v, seen_ohm, diodes=law, frequency_hz=F)
    # While it is clamped, the loop carries what the voltage across the pair drives through the trap.
    short = abs(by_sinusoid.terminal_voltage_v[0, 0]) / abs(found.voltage_v[0, 0])
    assert 0.8 < short < 0.92
    assert abs(found.port_a[0, 0]) == pytest.approx(abs(loop_a), rel=5e-3)


def test_the_netlist_prints_the_diodes_that_the_tool_computes_with():
    netlist = transient_netlist(
        circuit(), UNPLUGGED, loop_ohm=LOOP_OHM, emf_v=1.0, frequency_hz=F, periods=10, title="one"
    )
    (model,) = (line for line in netlist.splitlines() if line.startswith(".model"))
    law = GENERIC_CROSSED_DIODES
    told = dict(pair.split("=") for pair in model.partition("(")[2].rstrip(")").split())
    assert {name: float(value) for name, value in told.items()} == pytest.approx(
        {"IS": law.saturation_current_a, "N": law.emission, "RS": PAIR.conducting_resistance_ohm,
         "CJO": PAIR.blocking_capacitance_f / 2, "M": 0, "TT": 0, "TNOM": law.temperature_k - 273.15}, abs=0,
    )  # fmt: skip
    assert sum(line.startswith("Dx") and line.endswith(" temp=20") for line in netlist.splitlines()) == 2
