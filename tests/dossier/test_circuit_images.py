"""Images through the circuit, what is bought and what to turn, as the dossier tells them."""

import dataclasses

import numpy as np
import pytest

from loopwright.dossier import compile_dossier
from loopwright.dossier.buying import buying_section
from loopwright.dossier.circuit_images import CORRELATIONS, KEPT, KEPT_BY_SQUARES
from loopwright.formats.pictures import draw_pictures
from synthetic_evidence import synthetic_evidence, with_circuit
from wired_rings import wired

NAMES = ("E1", "E2", "E3")


@pytest.fixture(scope="module")
def evidence():
    return with_circuit(synthetic_evidence(count=8), wired(elements=8))


@pytest.fixture(scope="module")
def sections(evidence):
    return {section.anchor: section for section in compile_dossier(evidence).sections}


def values(section):
    return {finding.key: finding.value for finding in section.findings}


def test_the_cost_has_a_section_of_its_own_and_the_snr_keeps_its_maps(sections):
    anchors = list(sections)
    assert anchors[anchors.index("snr") + 1] == "circuit_cost"
    assert KEPT not in sections["snr"].pictures
    assert sections["circuit_cost"].pictures == (KEPT, KEPT_BY_SQUARES, *CORRELATIONS)
    plain = compile_dossier(synthetic_evidence(count=8))
    assert "circuit_cost" not in {section.anchor for section in plain.sections}


def test_figures_are_those_of_the_ratio(evidence, sections):
    found, kept = values(sections["circuit_cost"]), evidence.circuit_cost.kept
    region = evidence.maps.region
    assert found["circuit_cost.kept_median"] == pytest.approx(np.median(kept[region]))
    assert found["circuit_cost.median_db"] == pytest.approx(-20 * np.log10(np.median(kept[region])))
    assert found["circuit_cost.kept_least"] == pytest.approx(kept[region].min())
    x_m = evidence.maps.x_m[np.nonzero(region)[0]].min()  # the ratio rises with x
    assert found["circuit_cost.kept_least_at_m"][0] == pytest.approx(x_m)
    (table,) = sections["circuit_cost"].tables
    assert [row[0] for row in table.rows] == ["optimum", "root-sum-of-squares", "optimum, 2 left-right"]
    assert table.rows[1][3] == pytest.approx(0.95 * table.rows[0][3])


def test_correlation_is_told_with_and_without_preamplifier_noise(evidence, sections):
    found, received = values(sections["circuit_cost"]), evidence.circuit.received
    off = ~np.eye(8, dtype=bool)
    assert found["circuit_cost.correlation_largest"] == pytest.approx(np.abs(received.correlation[off]).max())
    without = np.abs(received.correlation_without_receivers[off]).max()
    assert found["circuit_cost.correlation_largest_without_receivers"] == pytest.approx(without)


def test_the_question_is_answered_in_short(sections):
    (answer,) = (a for a in sections["answers"].answers if a.section == "circuit_cost")
    assert answer.question == "What do circuit and preamplifiers cost in SNR, and where?"
    assert "in the median voxel" in answer.answer
    assert "in the worst, at" in answer.answer


def test_limits_say_what_is_in_the_model(sections):
    wired_up = " ".join(sections["limits"].prose)
    plain = " ".join(next(s for s in compile_dossier(synthetic_evidence()).sections if s.anchor == "limits").prose)
    assert "Preamplifiers, traps, cables, matching losses" in plain
    assert "Preamplifiers, traps" not in wired_up
    assert "preamplifiers of the brief's circuit take from that" in wired_up
    assert "Spread of parts is not computed" in plain
    assert "Spread of parts is told to first order" in wired_up


def test_every_picture_of_the_sections_is_drawn(evidence, sections):
    drawn = {picture.name for picture in draw_pictures(evidence)}
    assert set(sections["circuit_cost"].pictures) <= drawn


def test_trimmers_stand_in_a_table_with_the_turn_for_an_element_that_is_off():
    outcome = wired()
    section = buying_section(outcome, NAMES)
    trimmers = next(table for table in section.tables if table.name == "trimmers")
    moves = {(one.element, one.part): one.dip_hz for one in outcome.bought.moves}
    for number, row in enumerate(trimmers.rows):
        name, part, set_f, least_f, most_f, per_cent_hz, turn_by, that_is_f = row
        assert (name, part, per_cent_hz) == (NAMES[number], "C tune 4", moves[number, "C tune 4"])
        assert least_f < set_f < most_f
        assert turn_by * per_cent_hz == pytest.approx(1e6)
        assert that_is_f == pytest.approx(set_f * turn_by / 100)
        assert turn_by < 0  # found low in frequency: less capacitance
    assert {"turn_this_part", "sensitivities"} <= {table.name for table in section.tables}
    found = values(section)
    assert found["turning.bought_noise_figure_loss_db"] == pytest.approx(
        float(np.max(outcome.bought.snapped.noise_figure_loss_db)), abs=1e-9
    )
    assert found["turning.trimmer_reach"] == pytest.approx(max(o.most_f / o.set_f - 1 for o in outcome.bought.ranges))
    told = " ".join(section.prose)
    assert "C match from the series E24" in told
    assert "C tune 4 stays a trimmer" in told


def test_a_trimmer_that_moves_nothing_has_no_reach():
    outcome = wired()
    stuck = dataclasses.replace(outcome.bought.ranges[0], most_f=float("inf"), least_f=0.0)
    bought = dataclasses.replace(outcome.bought, ranges=(stuck,))
    section = buying_section(dataclasses.replace(outcome, bought=bought), NAMES)
    trimmers = next(table for table in section.tables if table.name == "trimmers")
    assert trimmers.rows[0][3:5] == ("no reach", "no reach")
