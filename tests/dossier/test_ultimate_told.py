"""The dossier tells how near the array comes to what no array can beat, and how well that is known."""

import dataclasses

import numpy as np
import pytest

from loopwright.dossier import compile_dossier
from loopwright.formats.pictures import draw_pictures
from loopwright.formats.pictures.slices import colour_scale, slices_picture
from loopwright.formats.summary import summary_json
from loopwright.imaging import Settling
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
    assert figures["ultimate.complete.left-right 3.fraction_largest"].uncertainty == pytest.approx(0.61 * 0.05)
    for name, change in (("fraction_median", 0.012), ("fraction_largest", 0.04)):
        figure = figures[f"ultimate.covered.{name}"]
        assert figure.uncertainty == pytest.approx(figure.value * change)
    assert figures["ultimate.covered.left_out"].value == 0.25
    assert figures["ultimate.covered.left-right 3.left_out"].value == 0.5
    assert figures["ultimate.covered.change_median"].value == 0.012
    assert figures["ultimate.covered.change_largest"].value == 0.04
    assert figures["ultimate.covered.fraction_without_array"].value == 1.004
    assert '"ultimate.complete.modes"' in summary_json(dossier)


def test_how_the_bound_was_found_is_said(dossier):
    snr = next(section for section in dossier.sections if section.anchor == "snr")
    prose = " ".join(snr.prose)
    for word in (
        "complete surface", "element's outline", "coarser grid", "3 combinations below the solver's own error",
        "array's own 4 sources", "leaves out 25 % of the voxels, 50 % with left-right 3",
        "and the 90 combinations of the covered part",
    ):  # fmt: skip
        assert word in prose
    plateau = next(table for table in snr.tables if table.name == "ultimate_complete_plateau")
    assert plateau.rows[0][3:6] == pytest.approx((0.9, 0.99, 1.0))
    answers = next(section for section in dossier.sections if section.anchor == "answers").answers
    assert any("80 % of the best of 100 combinations on the covered area" in a.answer for a in answers)


def test_a_bound_that_settled_nowhere_gives_no_figure(evidence):
    shell = evidence.shells[0]
    nothing = Settling(median=float("nan"), largest=float("nan"), left_out=1.0)
    unsettled = dataclasses.replace(
        shell,
        maps=dataclasses.replace(
            shell.maps,
            scalars=tuple(dataclasses.replace(s, values=np.full_like(s.values, np.nan)) for s in shell.maps.scalars),
        ),
        settling=nothing, fraction_deepest=float("nan"), accelerated_fractions=(),
    )  # fmt: skip
    bare = dataclasses.replace(evidence, shells=(unsettled,))
    dossier = compile_dossier(bare)
    figures = {f.key: f for f in dossier.findings}
    assert "settled in no voxel" in figures["ultimate.complete.fraction_median"].no_uncertainty_because
    assert "NaN" not in summary_json(dossier)
    answers = next(section for section in dossier.sections if section.anchor == "answers").answers
    assert any("settled in no voxel" in a.answer for a in answers)
    maps = unsettled.maps
    assert slices_picture(maps.scalars[0], maps, colour_scale(maps.scalars[0].kind, maps.scalars, maps.region)).png


def test_every_map_of_a_shell_is_drawn(dossier, evidence):
    named = {name for section in dossier.sections for name in section.pictures}
    drawn = {picture.name for picture in draw_pictures(evidence)}
    expected = {f"shell_{coverage}_{what}" for coverage in ("complete", "covered") for what in ("fraction", "plateau")}
    assert expected <= named & drawn


def test_without_a_shell_nothing_is_said(evidence):
    bare = compile_dossier(dataclasses.replace(evidence, shells=()))
    assert not [f.key for f in bare.findings if f.key.startswith(("ultimate.complete", "ultimate.covered"))]
