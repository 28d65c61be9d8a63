"""Tables of values and turns say what was found."""

import numpy as np
import pytest

from loopwright.circuits.spread.sensitivities import PartSensitivity
from loopwright.circuits.spread.turn_list import ElementFiguresNow, Turn
from loopwright.circuits.values.synthesis import Synthesis
from loopwright.dossier.findings import Table
from loopwright.dossier.turning import (
    sensitivity_table,
    synthesis_findings,
    turn_table,
    turning_section,
)

NAMES = ("left", "right")


def sensitivity(element, part, reflection, **others):
    figures = {
        "dip_hz": -3.1e5, "decoupling_db": 0.1, "noise_figure_db": 1e-4, "disturbed": 0, "disturbed_reflection": 1e-3,
    }  # fmt: skip
    return PartSensitivity(element=element, part=part, reflection=reflection, **{**figures, **others})


def synthesis(losses_db):
    return Synthesis(
        circuits=(),
        wanted_ohm=np.full(2, 50 + 0j),
        seen_ohm=np.full(2, 50 + 0j),
        noise_figure_loss_db=np.array(losses_db),
        decoupling_db=np.array([21.5, 18.25]),
        iterations=3,
        notes=("two free parts in element 1: told",),
    )


def test_the_part_that_moves_the_match_most_stands_first_in_its_element():
    found = [sensitivity(1, "C match", 0.01j), sensitivity(0, "C tune", 0.02), sensitivity(1, "C tune", -0.05)]
    table = sensitivity_table(found, NAMES)
    assert [row[:2] for row in table.rows] == [("left", "C tune"), ("right", "C tune"), ("right", "C match")]
    shown = dict(zip((c.title for c in table.columns), zip(table.columns, table.rows[1], strict=True), strict=True))
    column, cell = shown["best match moves"]
    assert column.text(cell).replace("\N{MINUS SIGN}", "-") == "-0.310"
    assert shown["reflection"][1] == pytest.approx(0.05)


def test_what_is_not_told_is_said_and_no_number():
    table = sensitivity_table([sensitivity(0, "C", 0.1, noise_figure_db=np.nan, disturbed=None)], NAMES)
    assert "not told" in table.rows[0]
    assert "none" in table.rows[0]
    assert [finding.key for finding in synthesis_findings(synthesis([np.nan, np.nan]))] == [
        "turning.least_decoupling_db"
    ]


def test_turns_print_values_in_their_unit():
    before = ElementFiguresNow(dip_hz=122.1e6, reflection_db=-6.0, decoupling_db=15, noise_figure_loss_db=0.5)
    after = ElementFiguresNow(dip_hz=123.2e6, reflection_db=-42.0, decoupling_db=21, noise_figure_loss_db=np.nan)
    turn = Turn(
        element=1, part="C tune", value_before=31e-12, value_after=29.7e-12, unit="F", instruction="lower C tune",
        before=before, after=after,
    )  # fmt: skip
    (row,) = turn_table([turn], NAMES).rows
    assert row[:4] == ("right", "lower C tune", "31.0 pF", "29.7 pF")
    assert row[4:8] == (122.1e6, 123.2e6, -6.0, -42.0)
    assert row[-1] == "not told"
    assert len(row) == len(turn_table([turn], NAMES).columns)


def test_findings_are_the_worst_elements():
    loss, decoupling = synthesis_findings(synthesis([0.02, 0.25]))
    assert (loss.value, decoupling.value) == (0.25, 18.25)


def test_section_holds_notes_limits_and_tables():
    table = Table(name="turns", caption="", columns=(), rows=())
    section = turning_section(synthesis([0.0, 0.1]), snapped=None, tables=(table,))
    assert section.prose[0].startswith("two free parts")
    assert any("leads, pads" in sentence for sentence in section.prose)
    assert section.tables == (table,)
