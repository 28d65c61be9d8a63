"""What is bought in place of the values found: series, tabs, trimmers and their reach, and what to turn."""

import dataclasses

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.made_array import WARM, dressed, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits import tune, wire_up
from loopwright.circuits.main_values import main_value, with_value
from loopwright.circuits.parts import Capacitor, Inductor
from loopwright.circuits.spread.built import requested_causes
from loopwright.circuits.spread.sensitivities import dip_hz
from loopwright.circuits.values.preferred_values import Ladder, Series, nearest_fixed
from loopwright.conductors import GapCapacitors
from loopwright.dossier.parts_list import part_lines
from loopwright.ground.progress import Silent
from printed_cases import PRINTED
from wired_rings import TRAPS, request_of, wired


def of_gaps(request, capacitors):
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    reply, conductor = reply_of(network), dressed(3, 4)
    tuned = tune(network, reply, dressed=conductor, temperatures=WARM)
    told = GapCapacitors(request=brief_with(capacitors=capacitors).capacitors, frequency_hz=network.frequency_hz)
    outcome = wire_up(request, network, reply, tuned=tuned, other_series_resistance_ohm=0.2, gap_capacitors=told,
                      progress=Silent())  # fmt: skip
    return outcome, told


@pytest.fixture(scope="module")
def printed():
    return of_gaps(request_of(TRAPS, gaps=4), PRINTED)


def test_fixed_parts_are_of_the_series_and_the_trimmer_keeps_the_match():
    outcome = wired(values="E12")
    bought = outcome.bought
    assert bought.choices == {"C match": Series.E12}
    assert (bought.trimmed, bought.made, bought.printed) == (("C tune 4",), ("L series",), ())
    for circuit, exact in zip(bought.circuits, outcome.circuits, strict=True):
        match_f = float(main_value(circuit, "C match"))
        assert match_f == pytest.approx(nearest_fixed(match_f, "E12"), rel=1e-9, abs=0)
        assert main_value(circuit, "L series") == main_value(exact, "L series")
    rounded_only = [
        with_value(exact, "C match", float(main_value(circuit, "C match")))
        for circuit, exact in zip(bought.circuits, outcome.circuits, strict=True)
    ]
    dips = [
        [abs(dip_hz(outcome.ports, which, outcome.source_ohm, element=e) - 123.2e6) for e in range(3)]
        for which in (bought.circuits, rounded_only)
    ]
    assert max(dips[0]) < max(dips[1])
    assert np.max(bought.snapped.noise_figure_loss_db) < 0.3
    assert np.min(bought.snapped.decoupling_db) > np.min(outcome.synthesis.decoupling_db) - 1


def test_the_brief_says_which_capacitors_are_trimmed():
    both = wired(trimmed=("C match", "C tune 4")).bought
    assert both.choices == {}
    assert np.max(np.abs(both.snapped.reflection)) < 1e-5
    match = wired(trimmed="C match").bought
    assert (match.trimmed, set(match.choices)) == (("C match",), {"C tune 4"})
    own = wired("own", gaps=2).bought
    assert (own.trimmed, set(own.choices), own.made) == (("C2",), {"C1"}, ("lead",))


def test_the_reach_of_a_trimmer_brings_an_element_back_whose_parts_are_all_off():
    outcome = wired()
    bought, f0 = outcome.bought, outcome.ports.frequency_hz
    (reach,) = (one for one in bought.ranges if one.element == 1)
    moves = {one.part: one.dip_hz for one in bought.moves if one.element == 1}

    def dip_with(trimmer_f):
        circuit = bought.circuits[1]
        for branch in circuit.branches:
            if isinstance(branch.part, Capacitor | Inductor) and branch.name != "C tune 4":
                # Each 2 % off, all of them so that the element is found high.
                off = 1 + 0.02 * np.sign(moves[branch.name])
                circuit = with_value(circuit, branch.name, float(main_value(circuit, branch.name)) * off)
        array = list(bought.circuits)
        array[1] = with_value(circuit, "C tune 4", trimmer_f)
        return dip_hz(outcome.ports, array, outcome.source_ohm, element=1)

    found = dip_hz(outcome.ports, bought.circuits, outcome.source_ohm, element=1)
    off_hz = dip_with(reach.set_f) - found
    assert off_hz > 2e-3 * f0
    assert abs(dip_with(reach.most_f) - found) < 0.15 * off_hz


def test_the_list_of_turns_brings_back_an_element_that_is_off():
    bought = wired().bought
    assert bought.off == pytest.approx({"C match": 1.02, "C trap 2": 1.02, "C trap 3": 1.02})
    for element in range(3):
        first = next(turn for turn in bought.turns if turn.element == element)
        assert first.part == "C tune 4"
        assert first.before.dip_hz < 123.2e6 * (1 - 2e-3)
        assert abs(first.after.dip_hz - 123.2e6) < 0.1 * abs(first.before.dip_hz - 123.2e6)
        assert first.after.reflection_db < first.before.reflection_db - 10
        assert first.after.noise_figure_loss_db < first.before.noise_figure_loss_db
        assert first.value_after < first.value_before


def test_printed_capacitors_go_by_their_finest_tab_and_need_no_trimmer(printed):
    outcome, told = printed
    bought = outcome.bought
    assert (bought.trimmed, bought.ranges) == ((), ())
    assert set(bought.choices) == {"C match", "C tune 4"}
    assert set(bought.printed) == {"C match", "C trap 2", "C trap 3", "C tune 4"}
    for name, ladder in bought.choices.items():
        assert isinstance(ladder, Ladder)
        assert ladder.step == pytest.approx(
            max(told.step_f(main_value(c, name)) for c in outcome.circuits), rel=1e-9, abs=0
        )
        for circuit in bought.circuits:
            rungs = float(main_value(circuit, name)) / ladder.step
            assert rungs == pytest.approx(round(rungs), abs=1e-6)
    assert 0 < np.max(bought.snapped.noise_figure_loss_db) < 0.3


def test_printed_capacitors_stray_by_half_their_finest_tab_wherever_it_is_told(printed):
    outcome, told = printed
    bought = outcome.bought
    request = brief_with(circuit={"wiring": TRAPS}, tolerances={"draws": "200"}).tolerances
    causes, _ = requested_causes(request, outcome.request, outcome.circuits, cut_to=bought.cut_to)
    spread = {cause.parts[0]: cause.relative for cause in causes}
    listed = {line.name: line.tolerance for line in part_lines(outcome, ("A1", "A2", "A3"))}
    for name in ("C match", "C trap 2", "C trap 3", "C tune 4"):
        values = [float(main_value(circuit, name)) for circuit in outcome.circuits]
        half = max(told.step_f(value) / value / 2 for value in values)
        assert spread[name] == pytest.approx(half)
        assert listed[name] == spread[name]
        assert half < 0.01
    assert spread["L series"] == listed["L series"] == 0.02


def test_capacitors_across_gaps_have_the_loss_of_their_value_in_the_circuit(printed):
    outcome, told = printed
    for circuit in outcome.circuits:
        for name in ("C match", "C tune 4", "C trap 2"):
            part = circuit.part(name)
            assert part.quality_factor == pytest.approx(told.quality(part.capacitance_f), rel=0.01)
    assert np.max(outcome.synthesis.noise_figure_loss_db) < 1e-4
    # A quality of 150 in place of 1500 costs noise.
    assert np.all(outcome.received.channel_figure_db > wired().received.channel_figure_db + 0.05)


def test_capacitors_that_do_not_bridge_a_gap_keep_the_quality_of_the_circuit():
    outcome, told = of_gaps(request_of(TRAPS, gaps=4, protection=("fuse",)), {"kind": "lumped", "q": "333"})
    qualities = {b.name: b.part.quality_factor for b in outcome.circuits[0].branches if isinstance(b.part, Capacitor)}
    assert qualities == pytest.approx({"C match": 333, "C fuse 2": 1500, "C tune 3": 333, "C tune 4": 333})
    assert told.step_f(30e-12) is None
    assert outcome.bought.choices == {"C match": Series.E24}


def test_nothing_is_exchanged_where_nothing_was_free():
    parts = [
        {"name": "C1", "part": "capacitor", "between": ["gap 1", "return 1"], "value": "61.3 pF"},
        {"name": "lead", "part": "inductor", "between": ["gap 1", "feed"], "value": "20 nH"},
        {"name": "C2", "part": "capacitor", "between": ["gap 2", "return 2"], "value": "9.1 pF"},
    ]
    request = brief_with(circuit={"wiring": "own", "receiver": ["feed", "return 1"], "parts": parts},
                         array__tiling__gaps="2").circuit  # fmt: skip
    network = network_of(rings(elements=3, gaps=2, nodes=8, coupling=0.05))
    reply, conductor = reply_of(network), dressed(3, 2)
    tuned = tune(network, reply, dressed=conductor, temperatures=WARM)
    outcome = wire_up(request, network, reply, tuned=tuned, other_series_resistance_ohm=0.2, progress=Silent())
    assert outcome.bought.circuits == outcome.circuits
    assert (outcome.bought.turns, outcome.bought.ranges) == ((), ())
    assert dataclasses.asdict(outcome.bought.moves[0])["part"] == "C1"
