"""Tolerances and family of a brief: read in SI units, every default with its source, and told back."""

import pytest

from brief.base_brief import BASE, brief_with, changed, text_of
from loopwright.brief import read_brief
from loopwright.brief.records import PartsStray
from loopwright.brief.told import told
from loopwright.ground.errors import BriefError

MATCH = {"wiring": "capacitive match"}
FILM = {"name": "film", "kind": "capacitors", "spread": "4 %", "shape": "normal", "shared_by": "array"}


def test_a_brief_that_asks_for_neither_says_what_it_said_before():
    brief = brief_with(circuit=MATCH)
    assert (brief.tolerances, brief.family) == (None, None)
    assert "tolerances" not in brief.canonical()
    assert "family" not in brief.canonical()


def test_either_may_be_empty_and_every_default_then_has_a_source():
    brief = brief_with(circuit=MATCH, tolerances={}, family={})
    used = {one.field: one for one in brief.defaults_used if one.field.startswith(("tolerances", "family"))}
    assert {"tolerances.draws", "tolerances.placement", "tolerances.noise_loss", "family.loads"} <= set(used)
    assert all(one.source.where for one in used.values())
    assert (brief.tolerances.draws, brief.tolerances.placement_m, brief.tolerances.noise_loss_db) == (2000, 1e-3, 0.2)
    assert brief.family.loads == (0.5, 1, 2)
    assert brief.family.axis == (0, 0, 1)


def test_values_arrive_in_si_units():
    asked = {"parts": [FILM], "reflection": "-12 dB", "shift": "300 kHz", "placement": "0.5 mm"}
    brief = brief_with(circuit=MATCH, tolerances=asked, family={
        "stretches": ["0 %", "-5 %", "0.1"], "bends": ["60 mm"], "coil_temperatures": ["60 degC"], "robust": "yes",
        "robust_parts": ["C match", "C tune 2"]})  # fmt: skip
    tolerances, family = brief.tolerances, brief.family
    assert tolerances.parts == (
        PartsStray(name="film", kind="capacitors", spread=0.04, shape="normal", shared_by="array"),
    )
    assert (tolerances.reflection_db, tolerances.shift_hz, tolerances.placement_m) == (-12, 300e3, 0.5e-3)
    assert family.stretches == (0, -0.05, 0.1)
    assert family.bends_m == (0.06,)
    assert family.coil_temperatures_k == (333.15,)
    assert (family.robust, family.robust_parts) == ("yes", ("C match", "C tune 2"))


def test_both_change_the_canonical_text_and_are_told_back():
    plain = brief_with(circuit=MATCH)
    brief = brief_with(circuit=MATCH, tolerances={"parts": [FILM]}, family={"stretches": ["10 %"]})
    assert brief.canonical() != plain.canonical()
    lines = {line.field: line.value for line in told(brief)}
    assert lines["tolerances.parts[1].shared_by"] == "array"
    assert "family.loads" in lines or any(field.startswith("family.loads") for field in lines)


@pytest.mark.parametrize("topic", ["tolerances", "family"])
def test_neither_goes_without_a_circuit(topic):
    with pytest.raises(BriefError) as refusal:
        read_brief(text_of(changed(BASE, **{topic: {}})), "base.yaml")
    (complaint,) = refusal.value.complaints
    assert complaint.field == topic
    assert complaint.remedy == "add `circuit:`"
