"""The circuit in the dossier: words, values by element, and a parts list that can be counted."""

import csv
import dataclasses
import io
from collections import Counter

import numpy as np
import pytest

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.main_values import with_value
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.preferred_values import nearest_fixed
from loopwright.dossier import compile_dossier, printed
from loopwright.dossier.circuit import circuit_section
from loopwright.dossier.parts_list import part_lines, parts_tables
from loopwright.formats.tables import table_csv
from synthetic_evidence import synthetic_evidence
from wired_rings import TRAPS, wired

NAMES = ("E1", "E2", "E3")


@pytest.fixture(scope="module")
def section():
    return circuit_section(wired(), NAMES)


def values(section):
    return {finding.key: finding.value for finding in section.findings}


def table(section, name):
    return next(found for found in section.tables if found.name == name)


def test_it_comes_after_the_network_and_only_where_a_circuit_is_asked_for():
    evidence = synthetic_evidence(count=8)
    assert "circuit" not in [s.anchor for s in compile_dossier(evidence).sections]
    wired_up = dataclasses.replace(evidence, circuit=wired(elements=8))
    anchors = [s.anchor for s in compile_dossier(wired_up).sections]
    assert anchors[anchors.index("network") + 1] == "circuit"


def test_the_wiring_is_told_in_words_with_what_the_model_leaves_out(section):
    told = " ".join(section.prose)
    assert "in gap 2 an active trap" in told
    assert "in gap 3 a passive trap" in told
    assert "outside of lines" in told
    assert "Noise of all parts and preamplifiers" in told
    assert "before anyone lies in it" in " ".join(section.cautions)


@pytest.mark.parametrize(
    ("wiring", "words"),
    [("own", "A wiring of its own"), ("match at the end of a line", "end of a line"),
     ("amplifier on the loop with high input impedance", "straight across C match"),
     ("match with PIN trap across it", "PIN diode from the receiver")],
)  # fmt: skip
def test_every_wiring_has_words(wiring, words):
    assert words in circuit_section(wired(wiring, gaps=2), NAMES).prose[0]


def test_figures_are_those_of_the_outcome(section):
    found, outcome = values(section), wired()
    assert found["circuit.wiring"] == TRAPS
    assert found["circuit.seen_resistance_ohm"] == pytest.approx(outcome.receiving.seen_ohm.real)
    assert found["circuit.decoupling_db"] == pytest.approx([probe.decoupling_db for probe in outcome.probes])
    assert min(found["circuit.active_detuning_db"]) > max(found["circuit.decoupling_db"])
    assert "circuit.active_detuning_db" not in values(circuit_section(wired("own", gaps=2), NAMES))


def test_the_wiring_table_gives_the_range_over_the_elements(section):
    rows = {row[0]: row for row in table(section, "wiring").rows}
    own = [circuit.part("C match").capacitance_f for circuit in wired().circuits]
    low, high = (printed(value, "F", digits=4) for value in (min(own), max(own)))
    assert rows["C match"][2:] == ("gap 1, return 1", f"{low} to {high}", "found")
    assert rows["D trap 2"][4] == "given"


def test_the_parts_list_has_every_part_once_with_its_value(section):
    outcome = wired()
    rows = list(csv.DictReader(io.StringIO(table_csv(table(section, "parts")).decode())))
    assert len(rows) == sum(len(circuit.branches) for circuit in outcome.circuits)
    assert len({row["id"] for row in rows}) == len(rows)
    by_id = {row["id"]: row for row in rows}
    row = by_id["E2.C tune 4"]
    capacitance_f = outcome.circuits[1].part("C tune 4").capacitance_f
    assert float(row["value"]) == pytest.approx(capacitance_f * 1e12, rel=1e-6)
    assert (row["unit"], row["element"], row["kind"], row["tolerance [%]"]) == ("pF", "E2", "capacitor", "2")
    bought_f = outcome.bought.circuits[1].part("C tune 4").capacitance_f
    assert float(row["buy or make"]) == pytest.approx(bought_f * 1e12, rel=1e-6)
    match_pf = float(by_id["E2.C match"]["buy or make"])
    assert match_pf * 1e-12 == pytest.approx(nearest_fixed(match_pf * 1e-12, "E24"))


def test_quantities_add_up_to_the_parts(section):
    counted = table(section, "parts_by_value").rows
    kinds = Counter()
    for kind, _, _, quantity in counted:
        kinds[kind] += quantity
    assert kinds == {"capacitor": 12, "inductor": 9, "PIN diode": 3, "crossed diodes": 3}


def test_trimmers_are_counted_by_the_range_that_all_elements_need(section):
    outcome = wired()
    own = [one for one in outcome.bought.ranges if one.part == "C tune 4"]
    least, most = (printed(pick(ends), "F") for pick, ends in
                   ((min, [o.least_f for o in own]), (max, [o.most_f for o in own])))  # fmt: skip
    counted = {row[1]: row[-1] for row in table(section, "parts_by_value").rows}
    assert counted[f"trimmer, {least} to {most}"] == 3
    assert counted["wound to its value"] == 9


def test_ratings_and_words_of_the_engineer_reach_the_list():
    own = {line.name: line for line in part_lines(wired("own", gaps=2), NAMES) if line.element == "E1"}
    assert own["C1"].rating == "500 V peak"
    assert own["lead"].kind == "choke"
    assert own["C2"].tolerance == pytest.approx(0.01)
    assert own["damp"].purchase == pytest.approx(4700)
    line = next(line for line in part_lines(wired("match at the end of a line", gaps=2), NAMES) if line.kind == "line")
    assert line.purchase == "90.00 mm of 50 Ω line"
    fused = part_lines(wired(protection=("fuse",)), NAMES)
    assert {line.rating for line in fused if line.kind == "fuse"} == {"0.5 A rms"}
    assert len(parts_tables(fused)) == 2


def test_the_match_as_bought_is_that_of_the_parts_list(section):
    found = values(section)
    outcome = wired()
    circuits = list(outcome.circuits)
    for line in part_lines(outcome, NAMES):
        if line.unit in ("F", "H"):
            number = NAMES.index(line.element)
            circuits[number] = with_value(circuits[number], line.name, line.purchase)
    f0 = outcome.ports.frequency_hz
    seen = array_state(outcome.ports.at_operation_ohm, circuits, [RECEIVING] * 3, frequency_hz=f0).seen_ohm
    reflected_db = 20 * np.log10(np.abs((seen - 50) / (seen + 50)))
    assert found["circuit.bought_reflection_db"] == pytest.approx(reflected_db, rel=1e-6)
    assert all(
        bought > exact
        for exact, bought in zip(found["circuit.reflection_db"], found["circuit.bought_reflection_db"], strict=True)
    )
    assert max(found["circuit.bought_amplifier_loss_db"]) < 0.3


def test_a_width_beyond_the_band_is_not_invented():
    outcome = wired()
    probe = outcome.probes[0]
    blind = dataclasses.replace(probe, quality=None)
    section = circuit_section(dataclasses.replace(outcome, probes=(blind, *outcome.probes[1:])), NAMES)
    states = table(section, "circuit_states")
    cell = states.rows[0][-2]
    assert np.isnan(cell)
    assert states.columns[-2].text(cell) == "not known"
