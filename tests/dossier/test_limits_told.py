"""What the page says it does not tell follows from what the run told."""

import dataclasses

import pytest

import worn_rings
from loopwright.dossier import compile_dossier
from synthetic_evidence import synthetic_evidence
from wired_rings import wired


@pytest.fixture(scope="module")
def bare():
    return synthetic_evidence(count=3)


def limits_of(evidence):
    return " ".join(next(s for s in compile_dossier(evidence).sections if s.anchor == "limits").prose)


def test_without_a_circuit_neither_transmit_field_nor_spread_are_told(bare):
    told = limits_of(bare)
    assert "Nothing here tells about the transmit field" in told
    assert "Bending and stretch in use are not computed." in told
    assert "Spread of parts is not computed." in told


def test_with_a_circuit_the_stated_field_is_told_and_the_brief_is_named_that_asks_for_more(bare):
    told = limits_of(dataclasses.replace(bare, circuit=wired()))
    assert "told under States and faults" in told
    assert "Nothing here tells about the transmit field" not in told
    assert "`family` in a brief asks" in told
    assert "`tolerances` in a brief asks" in told


def test_what_was_drawn_and_flexed_is_not_said_to_be_missing(bare):
    evidence = dataclasses.replace(bare, circuit=wired(), built=worn_rings.built(), worn=worn_rings.worn("no"))
    told = limits_of(evidence)
    assert "asks for" not in told
    assert "yield of built arrays is that of untrimmed ones" in told
    assert "told for the circuit alone" in told


def test_answers_of_what_was_asked_for_stand_in_the_short_answers_too(bare):
    evidence = dataclasses.replace(bare, circuit=wired(), built=worn_rings.built(), worn=worn_rings.worn("no"))
    sections = {s.anchor: s for s in compile_dossier(evidence).sections}
    for anchor in ("built", "worn"):
        assert sections[anchor].answers
        assert set(sections[anchor].answers) <= set(sections["answers"].answers)


def test_a_match_finer_than_anybody_measures_is_told_as_such(bare):
    told = {a.question: a.answer for s in compile_dossier(dataclasses.replace(bare, circuit=wired())).sections
            if s.anchor == "answers" for a in s.answers}  # fmt: skip
    assert "less than 0.01 dB above" in told["Which parts does every element need, and does it match?"]
