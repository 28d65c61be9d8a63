"""The section on capacitors: what it costs, what comes of the prints, and what stays as it was without it."""

import dataclasses
import math

import numpy as np
import pytest

from brief.base_brief import brief_with
from loopwright.dossier import PRINTED_PICTURE, compile_dossier
from loopwright.dossier.gap_evidence import capacitor_evidence
from loopwright.dossier.gap_tables import capacitor_section
from loopwright.formats.pictures import draw_pictures
from loopwright.formats.pictures.printed import printed_picture
from printed_cases import printed_evidence, tuned
from synthetic_evidence import synthetic_evidence


def test_a_brief_without_capacitors_has_no_such_section():
    assert capacitor_evidence(brief_with(), tuned(30e-12)) is None
    assert "capacitors" not in {section.anchor for section in compile_dossier(synthetic_evidence()).sections}


def test_loss_is_that_of_the_network_scaled_to_the_print():
    """0.1 ohm at a Q of 1500 is 1500 / Q times as much; the cost is what it adds to the coil's noise figure."""
    evidence = printed_evidence(36e-12)
    (line,) = evidence.lines
    assert line.resistance_ohm == pytest.approx(0.1 * 1500 / line.quality_factor)
    share = 293.15 / 310.15 / 4.0
    ratio = (1 + share * (0.6 + line.resistance_ohm)) / (1 + share * 0.6)
    assert 10 ** (line.cost_db / 10) == pytest.approx(ratio)


def test_a_lumped_q_equal_to_the_networks_changes_nothing():
    evidence = capacitor_evidence(brief_with(capacitors={"kind": "lumped", "q": "1500"}), tuned(36e-12))
    assert evidence.lines[0].resistance_ohm == pytest.approx(0.1)
    section = capacitor_section(evidence)
    assert section.title == "Lumped capacitors"
    assert section.tables[0].rows[0][:4] == ("E01", 4, 36e-12, 1500)


def test_every_element_has_its_plate_and_its_ladder():
    evidence = printed_evidence(36e-12, 90e-12)
    section = capacitor_section(evidence)
    plates, ladders, spread = section.tables
    assert [row[0] for row in plates.rows] == ["E01", "E02"]
    assert {row[0] for row in ladders.rows} == {"E01", "E02"}
    assert [row[0] for row in spread.rows][-1] == "registration"
    assert 0.9 < evidence.array_yield < 1
    found = {finding.key: finding for finding in section.findings}
    assert found["capacitors.array_yield"].uncertainty < 0.02
    assert any("327 V" in caution for caution in section.cautions)


def test_the_yield_of_an_array_is_as_uncertain_as_the_draws_leave_it():
    """p^g of a share p in n draws: g sqrt(p (1 - p) / n) / p, relative."""
    evidence = printed_evidence(36e-12)
    (gap,), (line,) = evidence.gaps, evidence.lines
    half = dataclasses.replace(gap.trimmed, in_band=np.arange(1000) < 400)
    poor = dataclasses.replace(evidence, gaps=(dataclasses.replace(gap, trimmed=half),))
    draws = np.random.default_rng(3).binomial(1000, 0.4, size=20_000) / 1000
    assert poor.array_yield == pytest.approx(0.4**line.gaps)
    assert poor.array_yield_uncertainty == pytest.approx(np.std(draws**line.gaps), rel=0.03)


def test_heat_is_what_the_derated_voltage_puts_into_the_loss():
    """V^2 w C / (2 Q), V peak."""
    (gap,) = printed_evidence(36e-12).gaps
    assert gap.heat_w == pytest.approx(
        gap.withstand_v**2 / 2 * 2 * math.pi * 123.2e6 * 36e-12 / gap.quality_factor, rel=1e-9
    )


def test_a_coarser_step_is_owned_up_to_and_a_hopeless_element_named():
    coarse = capacitor_section(printed_evidence(3e-12))
    assert any("too large for the step asked for" in caution for caution in coarse.cautions)
    mixed = printed_evidence(36e-12, 30e-9)
    assert len(mixed.lines) == 1
    assert any(caution.startswith("E02: ") for caution in capacitor_section(mixed).cautions)
    assert (mixed.array_yield, mixed.array_yield_uncertainty) == (0, 0)
    none = capacitor_section(printed_evidence(30e-9))
    assert none.cautions[0] == "No element's capacitor can be printed as asked."
    assert not none.tables


def test_the_whole_dossier_carries_the_section_and_its_drawing():
    evidence = dataclasses.replace(synthetic_evidence(count=8), capacitors=printed_evidence(36e-12))
    anchors = [section.anchor for section in compile_dossier(evidence).sections]
    assert anchors.index("capacitors") == anchors.index("network") + 1
    assert PRINTED_PICTURE in {picture.name for picture in draw_pictures(evidence)}


@pytest.mark.parametrize("changes", [{}, {"margin": "0 mm"}, {"bridges": "0"}, {"plate_width_most": "4 mm"}])
def test_the_drawing_is_the_same_for_the_same_print(changes):
    one, other = (printed_picture(printed_evidence(60e-12, **changes)) for _ in range(2))
    assert one.png == other.png
    assert "60 pF in each of 4 gaps" in one.caption
