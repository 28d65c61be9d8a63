"""Values for the sixteen elements round the child's trunk, with the fields of conductors and body."""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ready_circuits import KIT, two_traps

from loopwright import bodies, fields, job
from loopwright.brief import read_brief
from loopwright.circuits import NoiseTemperatures
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.spread.sensitivities import sensitivities
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.preferred_values import Series
from loopwright.circuits.values.snapping import snap
from loopwright.circuits.values.synthesis import Wanted, synthesise
from loopwright.circuits.values.traps import trap_for_capacitor
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

EXAMPLE = Path(__file__).parents[2] / "examples" / "child-trunk-16.yaml"
MEANS = Means(progress=Silent(), store=Forgetful())
FREE = Wanted(free=("C match", "C tune 4", "L series"))


@pytest.fixture(scope="module")
def ports():
    """A coarse body is enough: what is asked is the circuits."""
    brief = read_brief(EXAMPLE.read_text("utf-8").replace("voxel: 6 mm", "voxel: 12 mm"), EXAMPLE.name)
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    coarse = bodies.place(brief.body, frequency_hz=body.frequency_hz, voxel_m=job.coarse_voxel_m(brief))
    dressed = job.dressed_array(brief, body, coarse, MEANS)
    driven = job.driven_array(brief, dressed, fields.chosen_excitation(brief.computation.excitation, dressed, body))
    reply = job._reply(brief, body, driven.sources, MEANS)  # the job has no door between body and tuning
    return array_ports(driven.network, reply, NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0))


def circuit(frequency_hz):
    """Match, traps that are resonant at this frequency, tuning capacitor."""
    plain = two_traps()
    for gap, diode in ((2, KIT.crossed_diodes), (3, KIT.pin_diode)):
        capacitor, coil = plain.part(f"C trap {gap}"), plain.part(f"L trap {gap}")
        trap = trap_for_capacitor(capacitor, coil, diode, frequency_hz=frequency_hz)
        plain = plain.with_part(f"L trap {gap}", replace(coil, inductance_h=trap.inductor.inductance_h))
    return plain


@pytest.mark.long
def test_all_elements_reach_the_best_noise_figure_without_reactance(ports):
    circuits = [circuit(ports.frequency_hz)] * 16
    begun = time.perf_counter()
    found = synthesise(ports, circuits, FREE, progress=Silent())
    assert time.perf_counter() - begun < 60
    state = array_state(ports.at_operation_ohm, found.circuits, [RECEIVING] * 16, frequency_hz=ports.frequency_hz)
    assert np.max(np.abs(state.seen_ohm.imag)) < 1e-6
    assert np.max(found.noise_figure_loss_db) < 1e-9
    assert np.min(found.decoupling_db) > 15
    series = {"C match": Series.E24, "L series": Series.E24}
    bought = snap(ports, found, series, trimmers={"C tune 4": (3e-12, 60e-12)}, progress=Silent())
    assert 0 < np.max(bought.noise_figure_loss_db) < 0.3
    moved = sensitivities(ports, bought.circuits, found.wanted_ohm)
    tuning = [one.dip_hz for one in moved if one.part == "C tune 4"]
    # One of four gaps: a quarter of -df/f = dC / 2C, more where its capacitor is smaller than the others.
    assert np.all(np.array(tuning) / ports.frequency_hz < -0.0005)
    assert np.all(np.array(tuning) / ports.frequency_hz > -0.005)
