"""Tables of states, bench readings and noise: what stands in them is what was computed."""

from dataclasses import replace

import numpy as np
import pytest

from circuits.made_array import WARM, network_of, reply_of
from circuits.ready_circuits import random_ports_ohm, two_traps
from circuits.ring_model import rings
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.readings.bench_readings import Quantity, Reference, Surroundings, bench_readings
from loopwright.circuits.readings.probe import MATCHED, HalfPowerWidth, ProbeResponse
from loopwright.circuits.readings.probe_curve import ProbeCurve
from loopwright.circuits.receivers.receiving import receive
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED
from loopwright.circuits.under_field.state_under_field import state_under_field
from loopwright.dossier.states_told import (
    bench_definitions,
    bench_table,
    noise_table,
    origins_table,
    probe_table,
    states_table,
    stress_table,
)

F = 123.2e6
NAMES = ("A1", "A2")


@pytest.fixture(scope="module")
def port_ohm():
    return random_ports_ohm(np.random.default_rng(3), 8)


def test_a_state_is_told_by_the_element_that_carries_most(port_ohm):
    rated = two_traps().with_part("C trap 3", replace(two_traps().part("C trap 3"), rated_voltage_v=500.0))
    emf = np.repeat([1.0, 3.0], 4)
    states = [
        state_under_field(port_ohm, [two_traps(), rated], state, emf_v=emf, frequency_hz=F)
        for state in (UNPLUGGED, ACTIVELY_DETUNED)
    ]
    matched_a = np.array([0.5, 0.25])
    table = states_table(states, NAMES, field="20 uT", matched_a=matched_a)
    assert "20 uT" in table.caption
    stressed = stress_table(states, NAMES).rows
    assert [row[0] for row in table.rows] == [state.name for state in states] == [row[0] for row in stressed]
    for row, borne, state in zip(table.rows, stressed, states, strict=True):
        currents = [element.mean_current_a for element in state.elements]
        place = int(np.argmax(currents))
        worst = state.elements[place]
        assert row[1:5] == (NAMES[place], worst.mean_current_a, np.mean(currents), worst.largest_current_a)
        assert row[6] == pytest.approx(20 * np.log10(matched_a[place] / worst.mean_current_a))
        assert borne[1:4] == (NAMES[place], worst.largest_gap_voltage_v, worst.largest_gap)
        assert borne[4:6] == (worst.parts[0].name, worst.parts[0].voltage_v)
        assert borne[7] == (worst.parts[0].share if place else "not rated")
    assert table.rows[0][5] == pytest.approx(0, abs=1e-12)


def test_bench_readings_are_told_with_their_reference(port_ohm):
    circuits = [two_traps(), two_traps(tune_f=25e-12)]
    readings = [bench_readings(port_ohm, circuits, frequency_hz=F, surroundings=s) for s in Surroundings]
    table = bench_table(readings, NAMES)
    assert len(table.rows) == 6
    assert table.rows[3][:2] == ("A2", Surroundings.ALONE.value)
    titles = [column.title for column in table.columns]
    at = titles.index("active detuning, against decoupled")
    expected = readings[0].reading_db(Quantity.ACTIVE, Reference.DECOUPLED)[1]
    assert table.rows[3][at] == pytest.approx(expected)
    assert len(bench_definitions()) == len(titles) - 2
    without = bench_table(readings, NAMES, quantities=(Quantity.DECOUPLING,))
    assert [column.title for column in without.columns] == titles[:4]
    assert [row[2:] for row in without.rows] == [row[2:4] for row in table.rows]


def test_probes_are_told_with_what_the_band_does_not_hold():
    f = F * np.linspace(0.98, 1.02, 81)
    peak = ProbeCurve(operating_hz=F, frequencies_hz=f, loop_siemens=1 / (8 + 100j * (f / F - 1)))
    flat = ProbeCurve(operating_hz=F, frequencies_hz=f, loop_siemens=1e-3 * (f / F) * (1 + 0.5j))
    away = f / F - 1
    dip = ProbeCurve(operating_hz=F, frequencies_hz=f, loop_siemens=(5e-3 + 10 * away**2) * np.exp(-5j * away))
    found = ProbeResponse(
        curves={MATCHED: peak, RECEIVING.name: dip, ACTIVELY_DETUNED.name: flat},
        width=HalfPowerWidth(peak_hz=F, low_hz=F, high_hz=F),
        quality=None,
    )
    rows = probe_table({"A1": found}).rows
    drop_db = 20 * np.log10(0.125 / 0.005)
    assert rows[0][:3] == ("A1", RECEIVING.name, 0)
    assert rows[0][3:6] == (pytest.approx(drop_db),) * 3
    assert rows[0][6] == pytest.approx(F)
    assert rows[1][4:] == ("not in the band",) * 3
    assert rows[1][3] == pytest.approx(20 * np.log10(125 / abs(1 + 0.5j)))


def test_noise_is_told_by_channel_and_by_origin():
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    reply = reply_of(network)
    array = receive(array_ports(network, reply, WARM), [two_traps()] * 3, [RECEIVING] * 3, network=network, reply=reply)
    rows = noise_table(array, ("A1", "A2", "A3")).rows
    assert [row[1] for row in rows] == pytest.approx(array.channel_figure_db)
    off = np.abs(array.correlation - np.eye(3))
    assert rows[1][4] == pytest.approx(off[1].max())
    origins = origins_table(array).rows
    assert sum(row[1] for row in origins) == pytest.approx(1)
    assert [row[1] for row in origins] == sorted((row[1] for row in origins), reverse=True)
    assert {"body", "receivers", "C match"} <= {row[0] for row in origins}
