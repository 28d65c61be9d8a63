"""The dossier tells how near the array comes to what no array can beat, and how well that is known."""

import dataclasses

import pytest

from loopwright.dossier import compile_dossier
from loopwright.formats.pictures import draw_pictures
from loopwright.formats.summary import summary_json
from synthetic_evidence import synthetic_evidence, synthetic_shell


@pytest.fixture(scope="module")
def evidence():
    complete = dataclasses.replace(synthetic_shell(), part_modes=90)
    return dataclasses.replace(synthetic_evidence(count=4), shells=(complete, synthetic_shell("covered")))


@pytest.fixture(scope="module")
def dossier(evidence):
    return compile_dossier(evidence)


def test_every_figure_of_a_shell_is_told(dossier):
    figures = {f.key: f for f in dossier.findings}
    assert figures["ultimate.complete.fraction_deepest"].value == 0.8
    assert figures["ultimate.complete.fraction_deepest"].uncertainty == pytest.approx(0.8 * 0.01)
    assert figures["ultimate.complete.left-right 3.fraction_largest"].value == 0.61
    assert figures["ultimate.covered.fraction_without_array"].value == 1.004
    assert '"ultimate.complete.modes"' in summary_json(dossier)


def test_how_the_bound_was_found_is_said(dossier):
    snr = next(section for section in dossier.sections if section.anchor == "snr")
    prose = " ".join(snr.prose)
    for word in (
        "complete surface", "element's size", "coarser grid", "3 combinations below the solver's own error",
        "array's own 4 sources", "and the 90 combinations of the covered part",
    ):  # fmt: skip
        assert word in prose
    plateau = next(table for table in snr.tables if table.name == "ultimate_complete_plateau")
    assert plateau.rows[0][3:6] == pytest.approx((0.9, 0.99, 1.0))
    answers = next(section for section in dossier.sections if section.anchor == "answers").answers
    assert any("80 % of the best on the covered area" in a.answer for a in answers)


def test_every_map_of_a_shell_is_drawn(dossier, evidence):
    named = {name for section in dossier.sections for name in section.pictures}
    drawn = {picture.name for picture in draw_pictures(evidence)}
    expected = {f"shell_{coverage}_{what}" for coverage in ("complete", "covered") for what in ("fraction", "plateau")}
    assert expected <= named & drawn


def test_without_a_shell_nothing_is_said(evidence):
    bare = compile_dossier(dataclasses.replace(evidence, shells=()))
    assert not [f.key for f in bare.findings if f.key.startswith(("ultimate.complete", "ultimate.covered"))]
