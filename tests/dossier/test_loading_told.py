"""What the dossier says of phantoms and patients."""

import dataclasses

import pytest

from loopwright.dossier import compile_dossier
from loopwright.dossier.loading import loading_section
from loopwright.formats.pictures.loading import loading_picture
from made_loading import loading
from synthetic_evidence import synthetic_evidence


def table(name):
    return next(one for one in loading_section(loading()).tables if one.name == name)


def test_it_stands_in_the_dossier_only_where_it_is_asked_for():
    plain = synthetic_evidence(count=4)
    asked = dataclasses.replace(plain, loading=loading())
    assert "loading" not in [section.anchor for section in compile_dossier(plain).sections]
    assert "loading" in [section.anchor for section in compile_dossier(asked).sections]


def test_each_patient_is_answered_with_the_nearest_phantom():
    newborn, adult = (answer.answer for answer in loading_section(loading()).answers)
    assert newborn.startswith("bottle")
    assert "the same within what the grids tell" in newborn
    assert adult.startswith("jar")
    assert "25 % less" in adult
    assert "filled with 0.50 S/m, bottle would load the element alike" in newborn
    assert "alike" not in adult


def test_quality_and_noise_figure_follow_from_the_resistances():
    row = table("loads").rows[0]
    assert row[:2] == ("newborn", "patient")
    assert row[5:] == pytest.approx((140 / 2.4, 6.0, 0.79181), rel=1e-4)


def test_what_no_conductivity_reaches_is_said_in_words():
    rows = table("loading_conductivities").rows
    assert rows[1][2:] == (0.4, "none tried")
    assert rows[2][1:] == ("a tissue", "not sought", "not sought")


def test_it_says_what_loading_does_not_tell():
    section = loading_section(loading())
    assert any("noise correlation" in sentence for sentence in section.prose)
    assert any("safety" in caution for caution in section.cautions)


def test_where_the_numbers_of_a_filling_come_from_is_told():
    assert "bottle is filled with saline: 3 g/L sodium chloride." in loading_section(loading()).prose


def test_its_picture_is_drawn():
    picture = loading_picture(loading())
    assert picture.name in loading_section(loading()).pictures
    assert picture.png.startswith(b"\x89PNG")
