"""One network for all who wear it, in the dossier: penalties and shifts by state, and what a robust one changes."""

import dataclasses

import numpy as np
import pytest

from loopwright.circuits.main_values import main_value
from loopwright.dossier import compile_dossier, printed
from loopwright.dossier.wearing import worn_section
from loopwright.formats.pictures.spreading import worn_picture
from synthetic_evidence import synthetic_evidence
from wired_rings import wired
from worn_rings import worn

NAMES = ("E1", "E2", "E3")


def values(section):
    return {finding.key: finding.value for finding in section.findings}


def table(section, name):
    return next(found for found in section.tables if found.name == name)


def test_it_stands_behind_the_circuit_and_only_where_it_is_asked_for():
    evidence = dataclasses.replace(synthetic_evidence(count=3), circuit=wired())
    assert "worn" not in [s.anchor for s in compile_dossier(evidence).sections]
    anchors = [s.anchor for s in compile_dossier(dataclasses.replace(evidence, worn=worn())).sections]
    assert anchors[anchors.index("turning") + 1] == "worn"


def test_penalties_are_those_of_the_family_by_state_and_by_element():
    section, found = worn_section(worn(), NAMES), worn()
    assert values(section)["worn.states"] == ("as laid, load 1", "as laid, load 0.4", "as laid, load 2.5",
                                             "each element alone")  # fmt: skip
    assert values(section)["worn.worst_penalty_db"] == pytest.approx(found.penalty.penalty_db.max(axis=0))
    rows = table(section, "worn_states").rows
    assert [row[1] for row in rows] == pytest.approx(found.penalty.penalty_db.max(axis=1))
    by_element = table(section, "worn_elements").rows
    assert [row[2] for row in by_element] == pytest.approx(found.penalty.worst_db)
    state = found.penalty.names[int(found.penalty.penalty_db[:, 1].argmax())]
    assert by_element[1][1] == state


def test_the_answer_names_the_worst_state_and_element():
    found = worn()
    state, element = np.unravel_index(found.penalty.penalty_db.argmax(), found.penalty.penalty_db.shape)
    (answer,) = worn_section(found, NAMES).answers
    assert f"in {NAMES[element]}: {found.penalty.names[state]}" in answer.answer
    assert "A robust network costs at most" in answer.answer


def test_the_robust_network_is_told_before_and_after_with_every_value_it_changes():
    section, found = worn_section(worn(), NAMES), worn()
    rows = table(section, "worn_changes").rows
    assert len(rows) == len(NAMES) * len(found.free)
    first = rows[0]
    before, after = (main_value(one[0], first[1]) for one in (found.robust.nominal, found.robust.circuits))
    assert first[2:] == (printed(before, "F", digits=4), printed(after, "F", digits=4),
                         f"{100 * (after / before - 1):+.1f} %")  # fmt: skip
    assert values(section)["worn.robust_worst_penalty_db"] == pytest.approx(found.robust.after.worst_db)
    assert values(section)["worn.robust_decoupling_db"] == pytest.approx(found.decoupling_db[1])
    assert "Preamplifier decoupling there" in " ".join(section.prose)


def test_without_a_robust_search_nothing_is_said_of_one():
    section = worn_section(worn("no"), NAMES)
    assert not any(key.startswith("worn.robust") for key in values(section))
    assert "worn_changes" not in [one.name for one in section.tables]
    assert "robust" not in " ".join(section.prose)


def test_a_resonance_outside_the_band_is_not_known():
    hidden = worn("no").resonance_hz.copy()
    hidden[1, 0] = np.nan
    section = worn_section(dataclasses.replace(worn("no"), resonance_hz=hidden), NAMES)
    assert "not known" in table(section, "worn_states").rows[1]
    assert "1 of 12 resonances left the band" in section.prose[0]


def test_the_picture_is_one():
    for robust in ("yes", "no"):
        assert worn_picture(worn(robust)).png.startswith(b"\x89PNG")
