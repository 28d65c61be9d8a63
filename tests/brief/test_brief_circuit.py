import pytest

from brief.base_brief import BASE, ELEMENT, brief_with, changed, text_of
from loopwright.brief import read_brief
from loopwright.brief.records import CapacitorPart, LinePart, MatchWithTrapsRequest
from loopwright.brief.told import told
from loopwright.ground.errors import BriefError
from loopwright.ground.sources import Flag

READY = (
    {"wiring": "capacitive match"},
    {"wiring": "capacitive match with traps", "protection": ["fuse", "PIN trap"]},
    {"wiring": "match with PIN trap across it"},
    {"wiring": "amplifier on the loop with low input impedance"},
    {"wiring": "amplifier on the loop with high input impedance"},
    {"wiring": "match at the end of a line", "line": {"length": "120 mm"}},
)
OWN = {
    "wiring": "own",
    "receiver": ["feed", "sheath"],
    "returns": "sheath",
    "parts": [
        {"name": "C1", "part": "capacitor", "between": ["gap 1", "return 1"], "value": "free", "start": "40 pF"},
        {"name": "cable", "part": "line", "near": ["gap 1", "return 1"], "far": ["end", "sheath"], "length": "9 cm"},
        {"name": "C end", "part": "capacitor", "between": ["end", "sheath"], "value": "free", "rating": "500 V"},
        {"name": "L", "part": "inductor", "between": ["end", "feed"], "value": "20 nH", "self_resonance": "1 GHz"},
        {"name": "F", "part": "fuse", "between": ["gap 2", "f"]},
        {"name": "C2", "part": "capacitor", "between": ["f", "return 2"], "value": "30 pF", "tolerance": "1 %"},
        {"name": "D", "part": "PIN diode", "between": ["gap 2", "return 2"]},
        {"name": "X", "part": "crossed diodes", "between": ["gap 2", "return 2"]},
        {"name": "bias", "part": "choke", "between": ["gap 2", "return 2"], "value": "1 uH"},
        {"name": "R", "part": "resistor", "between": ["gap 2", "return 2"], "value": "10 kohm"},
    ],
}
TWO_GAPS = {"array__tiling__gaps": "2"}


def complaints(**changes):
    with pytest.raises(BriefError) as refusal:
        read_brief(text_of(changed(BASE, **changes)), "base.yaml")
    return {complaint.field: complaint for complaint in refusal.value.complaints}


def test_a_brief_without_circuit_says_what_it_said_before_there_were_circuits():
    brief = brief_with()
    assert brief.circuit is None
    assert "circuit" not in brief.canonical()
    assert not any(used.field.startswith("circuit") for used in brief.defaults_used)


@pytest.mark.parametrize("circuit", READY, ids=lambda circuit: circuit["wiring"])
def test_every_ready_wiring_is_read_and_every_default_has_a_source(circuit):
    brief = brief_with(circuit=circuit)
    assert brief.circuit.wiring == circuit["wiring"]
    taken = {used.field: used.source for used in brief.defaults_used if used.field.startswith("circuit.")}
    assert {"circuit.preamplifier.noise_resistance", "circuit.inductor_quality", "circuit.values"} <= set(taken)
    assert all(source.where and source.flag in (Flag.MEMORY, Flag.COMMON_PRACTICE) for source in taken.values())


def test_values_arrive_in_si_units():
    circuit = brief_with(**TWO_GAPS, circuit=OWN).circuit
    parts = {part.name: part.what for part in circuit.parts}
    assert parts["C1"] == CapacitorPart(value_f="free", start_f=40e-12, quality=1500, esr_ohm=0, tolerance=0.02)
    assert parts["C end"].rating_v == 500
    assert parts["C2"].tolerance == pytest.approx(0.01)
    assert isinstance(parts["cable"], LinePart)
    assert parts["cable"].length_m == pytest.approx(0.09)
    assert parts["bias"].value_h == pytest.approx(1e-6)
    assert circuit.returns == ("sheath",)


@pytest.mark.parametrize("circuit", [*READY, OWN], ids=lambda circuit: circuit["wiring"])
def test_what_is_told_back_is_what_stands_in_the_brief(circuit):
    gaps = TWO_GAPS if circuit is OWN else {}
    brief = brief_with(**gaps, circuit=circuit)
    said = {entry.field: entry.value for entry in told(brief) if entry.field.startswith("circuit")}
    assert said["circuit.preamplifier.least_noise_figure"] == "0.5 dB"
    if circuit is OWN:
        assert said["circuit.parts[1].value"] == "free"
        assert said["circuit.parts[1].start"] == "40 pF"
        assert said["circuit.parts[9].part"] == "choke"
        assert said["circuit.parts[2].loss"] == "0.4 dB/m"
        assert said["circuit.parts[5].rated_current"] == "500 mA"


def test_protection_takes_a_gap_each():
    assert isinstance(brief_with(circuit=READY[1]).circuit, MatchWithTrapsRequest)
    found = complaints(circuit=READY[1], array__tiling__gaps="2")
    assert "4 gaps or more" in found["circuit.wiring"].found


def test_elements_with_other_numbers_of_gaps_are_seen_one_by_one():
    two = {"elements": [{**ELEMENT, "gaps": "2"}, {**ELEMENT, "name": "A2", "centre": ["90 mm", "0 mm", "0 mm"]}]}
    assert "gap 3, 4" in complaints(array=two, circuit=OWN)["circuit.parts"].found


@pytest.mark.parametrize(
    ("key", "text"),
    [("least_noise_figure", "0.5"), ("least_noise_figure", "0.5 mdB"), ("input_resistance", "0 ohm")],
)
def test_what_does_not_fit_the_preamplifier_is_refused(key, text):
    found = complaints(circuit={"wiring": "capacitive match", "preamplifier": {key: text}})
    assert f"circuit.preamplifier.{key}" in found


@pytest.mark.parametrize(("text", "part"), [("5 %", 0.05), ("0.05", 0.05), ("50 %", 0.5)])
def test_tolerance_is_read_in_per_cent_or_as_a_part(text, part):
    circuit = brief_with(circuit={"wiring": "capacitive match", "tolerance": text}).circuit
    assert circuit.tolerance == pytest.approx(part)


@pytest.mark.parametrize("text", ["0 %", "60 %", "5 pct", "-1 %"])
def test_other_tolerances_are_refused(text):
    assert "circuit.tolerance" in complaints(circuit={"wiring": "capacitive match", "tolerance": text})


def test_a_trap_that_a_slip_of_the_pen_cuts_open_is_refused():
    """Both halves hang on a return, so nothing floats; and yet the diode would close nothing."""
    circuit = {
        "wiring": "own",
        "receiver": ["gap 1", "return 1"],
        "parts": [
            {"name": "C1", "part": "capacitor", "between": ["gap 1", "return 1"], "value": "free"},
            {"name": "C2", "part": "capacitor", "between": ["gap 2", "return 2"], "value": "free"},
            {"name": "L trap", "part": "inductor", "between": ["gap 2", "middle"], "value": "50 nH"},
            {"name": "D trap", "part": "PIN diode", "between": ["midle", "return 2"]},
        ],
    }
    with pytest.raises(BriefError) as refusal:
        read_brief(text_of(changed(BASE, **TWO_GAPS, circuit=circuit)), "base.yaml")
    told_ends = [complaint.found for complaint in refusal.value.complaints]
    assert "middle: only L trap ends there, so no current passes through it" in told_ends
    assert "midle: only D trap ends there, so no current passes through it" in told_ends


def test_trimmed_capacitors_go_by_the_names_of_the_wiring():
    circuit = {"wiring": "capacitive match with traps", "protection": ["fuse"]}
    assert brief_with(circuit={**circuit, "trimmed": "C tune 3"}).circuit.trimmed == ("C tune 3",)
    assert brief_with(circuit={**circuit, "trimmed": ["C match", "C tune 4"]}).circuit.trimmed == (
        "C match",
        "C tune 4",
    )
    assert brief_with(circuit=circuit).circuit.trimmed is None
    found = complaints(circuit={**circuit, "trimmed": ["C tune 2", "C match"]})["circuit.trimmed"]
    assert found.found == "C tune 2"
    assert "C match, C tune 3, C tune 4" in found.allowed
    own = complaints(**TWO_GAPS, circuit={**OWN, "trimmed": "L"})["circuit.trimmed"]
    assert "C1, C end, C2" in own.allowed


def test_the_transmit_field_is_twenty_microtesla_unless_written():
    brief = brief_with(circuit=READY[0])
    assert brief.circuit.transmit_field_t == 20e-6
    (used,) = (used for used in brief.defaults_used if used.field == "circuit.transmit_field")
    assert used.source.flag is Flag.MEMORY
    assert brief_with(circuit={**READY[0], "transmit_field": "13.5 uT"}).circuit.transmit_field_t == 13.5e-6
    refused = complaints(circuit={**READY[0], "transmit_field": "3 T"})
    assert "1 mT" in refused["circuit.transmit_field"].allowed
