"""What a per cent of every part does, against the same change solved again."""

from dataclasses import replace

import numpy as np
import pytest
from made_ports import made_ports
from ready_circuits import two_traps
from test_synthesis import ALL_THREE, solved

from loopwright.circuits.main_values import scaled, with_value
from loopwright.circuits.parts import Preamplifier
from loopwright.circuits.spread.sensitivities import dip_hz, figures_now, receiving, sensitivities
from loopwright.circuits.values.source_match import source_reflection
from loopwright.ground.errors import OutsideModelError

ELEMENTS = 4
PORTS = made_ports(ELEMENTS)
CIRCUITS = solved(PORTS, [two_traps()] * ELEMENTS, ALL_THREE).circuits
LINEAR = [b.name for b in CIRCUITS[0].branches if not b.name.startswith("D")]


def changed(element, part, factor, circuits=CIRCUITS):
    circuits = list(circuits)
    circuits[element] = circuits[element].with_part(part, scaled(circuits[element].part(part), factor))
    return circuits


def at_f0(circuits):
    response = receiving(PORTS, circuits, 50, frequency_hz=PORTS.frequency_hz)
    return response, source_reflection(response.state.seen_ohm, 50)


FOUND = {(one.element, one.part): one for one in sensitivities(PORTS, CIRCUITS, 50)}


def test_every_part_of_every_element_is_there():
    assert list(FOUND) == [(e, b.name) for e, circuit in enumerate(CIRCUITS) for b in circuit.branches]


@pytest.mark.parametrize("part", LINEAR)
def test_reflection_and_decoupling_move_as_they_do_when_solved_again(part):
    step = 1e-4
    up, down = at_f0(changed(1, part, 1 + step)), at_f0(changed(1, part, 1 - step))
    reflection = (up[1] - down[1]) / (2 * step) * 0.01
    decoupled = [figures_now(response, CIRCUITS)[1] for response, _ in (up, down)]
    found = FOUND[1, part]
    assert found.reflection == pytest.approx(reflection[1], rel=1e-4, abs=1e-7)
    expected_db = (decoupled[0] - decoupled[1])[1] / (2 * step) * 0.01
    assert found.decoupling_db == pytest.approx(expected_db, rel=1e-3, abs=1e-6)
    beside = np.abs(np.delete(reflection, 1))
    assert found.disturbed == np.delete(np.arange(ELEMENTS), 1)[np.argmax(beside)]
    assert found.disturbed_reflection == pytest.approx(np.max(beside), rel=1e-3)


@pytest.mark.parametrize("part", LINEAR)
def test_dip_moves_as_a_sweep_shows(part):
    def swept_hz(circuits):
        f = PORTS.frequency_hz * (1 + np.linspace(-0.004, 0.004, 81))
        size = [
            abs(source_reflection(receiving(PORTS, circuits, 50, frequency_hz=one).state.seen_ohm[1], 50)) ** 2
            for one in f.tolist()
        ]
        top = int(np.argmin(size))
        a, b, _ = np.polyfit(f[top - 2 : top + 3] - f[top], size[top - 2 : top + 3], 2)
        return f[top] - b / (2 * a)

    step = 1e-3
    moved = (swept_hz(changed(1, part, 1 + step)) - swept_hz(changed(1, part, 1 - step))) / (2 * step) * 0.01
    assert FOUND[1, part].dip_hz == pytest.approx(moved, rel=0.02, abs=200)


def test_noise_of_a_per_cent_is_that_of_the_same_change():
    losses = figures_now(at_f0(changed(1, "C tune 4", 1.01))[0], CIRCUITS)[2]
    assert FOUND[1, "C tune 4"].noise_figure_db == pytest.approx(losses[1], rel=0.15)
    assert losses[1] > 1e-4


@pytest.mark.parametrize("part", ["C tune 4", "C match", "L series"])
def test_away_from_the_match_noise_moves_as_when_solved_again(part):
    off = changed(1, "C tune 4", 1.06)
    found = {(one.element, one.part): one for one in sensitivities(PORTS, off, 50)}
    before, after = (figures_now(at_f0(circuits)[0], off)[2][1] for circuits in (off, changed(1, part, 1.01, off)))
    assert found[1, part].noise_figure_db == pytest.approx(after - before, rel=0.1)
    assert abs(after - before) > 1e-3


def test_dip_of_a_detuned_element_is_found_where_it_is():
    off = changed(1, "C tune 4", 1.05)
    found = dip_hz(PORTS, off, 50, element=1)
    f = np.linspace(PORTS.frequencies_hz[0], PORTS.frequencies_hz[-1], 401)
    size = [abs(source_reflection(receiving(PORTS, off, 50, frequency_hz=x).state.seen_ohm[1], 50)) for x in f.tolist()]
    assert found == pytest.approx(f[np.argmin(size)], abs=f[1] - f[0])
    assert found < PORTS.frequency_hz - 3e5
    assert dip_hz(PORTS, CIRCUITS, 50, element=1) == pytest.approx(PORTS.frequency_hz, rel=1e-8)


def test_one_frequency_tells_no_slope():
    lone = replace(PORTS, frequencies_hz=PORTS.frequencies_hz[2:3], impedance_ohm=PORTS.impedance_ohm[2:3])
    with pytest.raises(OutsideModelError, match="one frequency only"):
        sensitivities(lone, CIRCUITS, 50)


def test_one_element_disturbs_nobody_and_silent_receivers_have_no_noise():
    ports = made_ports(1)
    circuit = replace(two_traps(), receiver=Preamplifier(input_ohm=2 + 0j))
    found = sensitivities(ports, [with_value(circuit, "C tune 4", 28e-12)], 50)
    assert all(one.disturbed is None and np.isnan(one.noise_figure_db) for one in found)
