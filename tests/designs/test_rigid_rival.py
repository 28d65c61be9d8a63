"""The conductor choice carried out on fields that were solved, beside a small coarse sphere."""

import numpy as np
import pytest

from loopwright.brief import read_brief
from loopwright.ground.device import Device
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.job import carry_out

STRIP = "{kind: printed strip, width: 4 mm, thickness: 20 um, conductivity: 2 MS/m}"
THREAD = "{kind: thread, outer_diameter: 1.5 mm, thread_resistance: 8 ohm/m, coil_pitch: 2 mm, thread_diameter: 0.3 mm}"
BRIEF = f"""
title: One element beside a sphere
scanner: {{field: 3 T}}
body: {{shape: sphere, radius: 60 mm, voxel: 8 mm, material: Muscle}}
array:
  elements:
    - {{name: E1, shape: circle, diameter: 60 mm, centre: [0 mm, -68 mm, 0 mm], normal: [0, -1, 0], gaps: 4}}
conductor: {STRIP}
imaging: {{voxel_volume: 8 mm^3}}
computation: {{excitation: loop mode}}
conductor_choice:
  rigid: {{kind: round wire, wire_diameter: 2 mm}}
  others:
    - {THREAD}
  further_out: [5 mm, 15 mm, 30 mm]
  depths: [20 mm, 40 mm]
"""


@pytest.fixture(scope="module")
def evidence():
    return carried_out(BRIEF)


def carried_out(text):
    means = Means(progress=Silent(), store=Forgetful(), device=Device.CPU)
    return carry_out(read_brief(text, "invented.yaml"), means).evidence


def test_the_loop_at_its_own_place_is_loaded_as_the_array_is(evidence):
    choice = evidence.conductor_choice.choice
    body_ohm = evidence.network.resistance_ohm["body"][0]
    assert choice.body_ohm[0] == pytest.approx(body_ohm, rel=0.02)  # gaps and charges left out
    assert np.all(np.diff(choice.body_ohm) < 0)


def test_losses_of_the_own_conductor_are_those_of_the_array(evidence):
    loss = evidence.conductor_choice.choice.lines[0].loss
    assert loss.conductor_ohm == pytest.approx(evidence.network.resistance_ohm["conductor"][0], rel=0.02)
    assert loss.capacitor_ohm == pytest.approx(evidence.network.resistance_ohm["capacitors"][0], rel=0.05)


def test_turns_of_a_thread_load_its_own_capacitors_and_no_others(evidence):
    """Strip and sprung thread change places: all that stays behind is what the thinner of two even wires adds.

    Wires of 1 mm (a quarter of the strip) and 0.6 mm (the helix over its middle) in the array's place: the inductances
    of their loops differ by mu0 R ln(1 / 0.6).
    """
    choice = evidence.conductor_choice.choice
    turned = carried_out(BRIEF.replace(STRIP, "@").replace(THREAD, STRIP).replace("@", THREAD)).conductor_choice.choice
    strip_ohm, thread_ohm = (line.loss.capacitor_ohm for line in choice.lines)
    thread_first_ohm, strip_second_ohm = (line.loss.capacitor_ohm for line in turned.lines)
    thinner_ohm = 2 * np.pi * 127.73e6 * 4e-7 * np.pi * 0.03 * np.log(1 / 0.6) / 1500
    assert strip_second_ohm - strip_ohm == pytest.approx(thinner_ohm, rel=0.03)
    assert thread_first_ohm - thread_ohm == pytest.approx(thinner_ohm, rel=0.03)
    assert thread_ohm > 1.5 * strip_ohm
    assert turned.rigid.capacitor_ohm == pytest.approx(strip_second_ohm)


def test_a_lossier_coil_breaks_even_somewhere(evidence):
    ends = evidence.conductor_choice.choice.lines[0].break_even_m
    assert np.all(ends > 0)
    assert ends[0] < ends[1]  # nearer the skin, moving out costs more


def test_printed_capacitors_cost_the_own_conductor_what_they_cost_the_array():
    printed = (
        "capacitors: {kind: printed, film: PET, film_thickness: 100 um, ink_thickness: 15 um, ink_conductivity: 5 MS/m}"
    )
    means = Means(progress=Silent(), store=Forgetful(), device=Device.CPU)
    found = carry_out(read_brief(f"{BRIEF}{printed}\n", "invented.yaml"), means).evidence
    own = found.conductor_choice.choice.lines[0]
    assert own.loss.capacitor_ohm == pytest.approx(found.network.resistance_ohm["capacitors"][0], rel=0.05)
    assert own.noise_figure_db == pytest.approx(found.network.coil_noise_figure_db[0], abs=0.1)
