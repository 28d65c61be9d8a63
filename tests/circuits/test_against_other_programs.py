"""Three networks by the package's nodal analysis, by scikit-rf's Circuit and by ngspice.

scikit-rf: A. Arsenovic and others, scikit-rf: an open source Python package for microwave network creation, analysis,
and calibration, IEEE Microw. Mag. 23, 98-105, 2022 (from memory). ngspice: the open-source SPICE simulator, version 39.
"""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from circuits.one_loop import circuit, loop
from circuits.other_programs import by_ngspice, by_scikit_rf
from circuits.ready_circuits import random_ports_ohm
from circuits.test_array_circuit import F, amplifier_on_the_loop, at_the_end_of_a_line
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.parts import Line
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED

NGSPICE = shutil.which("ngspice")


def pair_with_lines(loss_db_per_m):
    line = Line(length_m=0.2, characteristic_ohm=50, velocity_factor=0.7, loss_db_per_m=loss_db_per_m)
    first = at_the_end_of_a_line()
    return [first.with_part("line", line), first.with_part("line", replace(line, length_m=0.31))]


def networks(loss_db_per_m=0.4):
    rng = np.random.default_rng(11)
    one_loop_ohm = loop().ports(8.0).at_operation_ohm
    return {
        "one loop with traps": (one_loop_ohm, [circuit()], [RECEIVING]),
        "the same detuned": (one_loop_ohm, [circuit()], [ACTIVELY_DETUNED]),
        "coupled pair with lines": (random_ports_ohm(rng, 2), pair_with_lines(loss_db_per_m), [RECEIVING, UNPLUGGED]),
        "amplifier on the loop": (random_ports_ohm(rng, 2), [amplifier_on_the_loop()], [RECEIVING]),
    }


NAMES = tuple(networks())


def agree(found_ohm, ours_ohm):
    return np.abs(found_ohm - ours_ohm).max() < 1e-9 * np.abs(ours_ohm).max()


@pytest.mark.parametrize("name", NAMES)
def test_scikit_rf_agrees(name):
    port_ohm, circuits, states = networks()[name]
    ours = array_state(port_ohm, circuits, states, frequency_hz=F)
    found = by_scikit_rf(port_ohm, circuits, states, F, ours.receiver_siemens)
    assert agree(found, ours.channel_ohm)


@pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed (Debian: apt-get install ngspice)")
@pytest.mark.parametrize("name", NAMES)
def test_ngspice_agrees(name, tmp_path):
    """Lines without loss: ngspice's line element is that."""
    port_ohm, circuits, states = networks(loss_db_per_m=0.0)[name]
    ours = array_state(port_ohm, circuits, states, frequency_hz=F)
    found = by_ngspice(NGSPICE, tmp_path, port_ohm, circuits, states, F, ours.receiver_siemens)
    assert agree(found, ours.channel_ohm)


def test_the_comparison_would_notice_a_millionth():
    port_ohm, circuits, states = networks()["one loop with traps"]
    ours = array_state(port_ohm, circuits, states, frequency_hz=F)
    moved = circuits[0].with_part("C match", replace(circuits[0].part("C match"), capacitance_f=59.9e-12 * (1 + 1e-6)))
    found = by_scikit_rf(port_ohm, [moved], states, F, ours.receiver_siemens)
    assert not agree(found, ours.channel_ohm)
