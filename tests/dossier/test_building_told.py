"""Arrays as they are built, in the dossier: yield with its error, causes in their order, rates and their error."""

import dataclasses

import numpy as np
import pytest

import worn_rings
from loopwright.circuits.spread.tolerance import Limits
from loopwright.dossier import compile_dossier
from loopwright.dossier.building import built_section
from loopwright.formats.pictures.spreading import causes_picture
from synthetic_evidence import synthetic_evidence
from wired_rings import wired

NAMES = ("E1", "E2", "E3")


@pytest.fixture(scope="module")
def built():
    return worn_rings.built()


def values(section):
    return {finding.key: finding for finding in section.findings}


def test_it_stands_behind_the_circuit_and_only_where_it_is_asked_for(built):
    evidence = dataclasses.replace(synthetic_evidence(count=3), circuit=wired())
    assert "built" not in [s.anchor for s in compile_dossier(evidence).sections]
    anchors = [s.anchor for s in compile_dossier(dataclasses.replace(evidence, built=built)).sections]
    assert anchors[anchors.index("turning") + 1] == "built"


def test_the_yield_is_told_with_its_standard_error(built):
    section = built_section(built, NAMES)
    found = values(section)["built.array_yield"]
    share = float(built.study.passed.all(axis=1).mean())
    assert 0.05 < share < 0.95
    assert found.value == share
    assert found.uncertainty == pytest.approx(np.sqrt(share * (1 - share) / 400))
    assert f"{100 * share:.1f} % ± {100 * found.uncertainty:.2g} %" in section.answers[0].answer
    assert values(section)["built.element_yield"].value == pytest.approx(built.study.passed.mean(axis=0))


def test_causes_come_in_the_order_of_what_they_do_and_add_up(built):
    section = built_section(built, NAMES)
    rows = next(table for table in section.tables if table.name == "built_causes").rows
    assert [row[0] for row in rows] == ["one sheet", "coils", "together, and the rest"]
    assert rows[0][1] > rows[1][1]
    for column in (1, 2, 3):
        assert sum(row[column] for row in rows) == pytest.approx(100)
    assert "First to work on: one sheet" in section.answers[0].answer


def test_limits_rates_and_what_is_left_out_are_told(built):
    prose = " ".join(built_section(built, NAMES).prose)
    assert "noise loss of at most 0.200 dB" in prose
    assert "reflection of at most" not in prose
    assert "miss up to 11.0 % of the largest change" in prose
    assert "up to 0.05 dB of an element's noise loss" in prose
    assert "Nothing is trimmed" in prose
    alone = " ".join(built_section(dataclasses.replace(built, placement=None), NAMES).prose)
    assert "No element is misplaced here" in alone


def test_further_limits_are_told_where_there_are_any(built):
    strict = dataclasses.replace(built, limits=Limits(noise_loss_db=0.2, reflection_db=-12, shift_hz=3e5))
    prose = " ".join(built_section(strict, NAMES).prose)
    assert "reflection of at most −12" in prose
    assert "best match within 300 kHz" in prose or "best match within 0.300 MHz" in prose


def test_the_picture_is_one(built):
    picture = causes_picture(built)
    assert picture.name == "causes"
    assert picture.png.startswith(b"\x89PNG")
