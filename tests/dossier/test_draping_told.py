"""What the dossier says of how an array lies."""

import dataclasses

import pytest

from loopwright.designs import Cuts
from loopwright.dossier import compile_dossier
from loopwright.dossier.draping import draping_section
from made_draping import cloth_on_egg, film_on_egg, film_on_limb
from synthetic_evidence import synthetic_evidence

NAMES = tuple(f"E{k + 1:02d}" for k in range(8))


def section(draped):
    return draping_section(draped, NAMES)


def table(draped, name):
    return next(one for one in section(draped).tables if one.name == name)


def test_it_stands_in_the_dossier_only_where_a_carrier_is_named():
    plain = synthetic_evidence(count=8)
    asked = dataclasses.replace(plain, draped=film_on_limb())
    assert "draping" not in [one.anchor for one in compile_dossier(plain).sections]
    dossier = compile_dossier(asked)
    assert "draping" in [one.anchor for one in dossier.sections]
    assert any("Does the film lie on the skin?" in answer.question for answer in dossier.answers)


def test_layers_add_up_to_the_stand_off():
    rows = table(film_on_limb(), "draping_layers").rows
    assert [row[0] for row in rows] == [
        "half of the conductor", "polyimide", "foam", "fabric", "stand-off where the film touches",
    ]  # fmt: skip
    assert sum(row[1] for row in rows[:-1]) == pytest.approx(rows[-1][1])


def test_a_film_that_needs_no_slits_is_told_so():
    prose = " ".join(section(film_on_limb()).prose)
    assert "Radial slits: none are needed" in prose
    assert "Parallel gores: none are needed" in prose


def test_slits_are_told_with_the_conductors_they_meet():
    draped = film_on_egg()
    prose = " ".join(section(draped).prose)
    slits = draped.film.slits
    assert f"Radial slits: {slits.plan.number}, from" in prose
    assert ", ".join(slits.conductors) in prose
    row = table(draped, "draping_cuts").rows[0]
    assert row[1] == slits.plan.number
    assert row[2] <= 0.03 < row[3]


def test_slits_that_were_not_found_are_told_with_the_reason():
    draped = film_on_limb()
    cuts = Cuts(plan=None, refused="24 slits leave 0.050 of compression; the limit is 0.03.")
    film = dataclasses.replace(draped.film, slits=cuts)
    told = section(dataclasses.replace(draped, film=film))
    assert any("Radial slits were not found: 24 slits leave" in sentence for sentence in told.prose)
    assert next(one for one in told.findings if one.key == "draping.slits").value == "none found"


def test_elements_and_neighbours_have_a_row_each():
    draped = film_on_egg()
    elements = table(draped, "draping_elements")
    assert [row[0] for row in elements.rows] == list(NAMES)
    assert [row[3] for row in elements.rows] == list(draped.film.gaps.of_elements_m.values())
    neighbours = table(draped, "draping_neighbours")
    assert len(neighbours.rows) == len(draped.bends)
    sizes = [abs(row[4]) for row in neighbours.rows]
    assert sizes == sorted(sizes, reverse=True)


def test_a_cloth_has_strain_and_no_gap():
    told = section(cloth_on_egg())
    assert told.pictures == ("film_strain",)
    keys = {one.key for one in told.findings}
    assert "draping.follow_compression" in keys
    rows = next(one for one in told.tables if one.name == "draping_elements").rows
    assert all(-3 < row[3] < row[4] < 0 for row in rows)  # per cent: a circle on an egg is squeezed all round
    assert not any("gap" in key for key in keys)
    assert [one.name for one in told.tables] == ["draping_elements", "draping_neighbours"]
