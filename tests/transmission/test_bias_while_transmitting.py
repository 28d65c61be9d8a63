"""Bias of the array while the scanner transmits: its heat, and PIN diodes that it does not reach."""

import pytest

from loopwright.circuits.bias.interface_check import check_interface
from loopwright.circuits.parts import PinDiode
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING, UNPLUGGED, Diodes
from loopwright.circuits.under_field.pin_hold import JUNCTION_V, voltage_withstood_v
from loopwright.circuits.wiring import Branch
from loopwright.limits import packaged_limits
from loopwright.limits.bias_heat import with_bias_heat
from loopwright.limits.judged import bias_assessments
from transmission.array_on_ball import HEAT, PIN_ONLY, TRAPS, once, prepared


def lines():
    brief, dressed, *_ = prepared(PIN_ONLY)
    names = tuple(element.name for element in dressed.layout.elements)
    return check_interface(brief.interface, names, frequency_hz=brief.scanner.frequency_hz).lines


def warmed(begins):
    """By how much each part of the first case of this beginning is warmer by the bias, element by element."""
    answer = next(one.answer for one in once(PIN_ONLY).cases if one.case.name.startswith(begins))
    circuits = prepared(PIN_ONLY)[-1].circuits
    warm = with_bias_heat(answer, circuits, lines())
    return [
        {after.name: after.power_w - before.power_w for before, after in zip(one.parts, two.parts, strict=True)}
        for one, two in zip(answer.elements, warm.elements, strict=True)
    ]


def pin_diodes():
    circuit = prepared(PIN_ONLY)[-1].circuits[0]
    return [b.name for b in circuit.branches if isinstance(b, Branch) and isinstance(b.part, PinDiode)]


def test_the_bias_heats_the_diodes_that_it_makes_conduct_and_nothing_else():
    own_w = lines()[0].diode_w
    assert own_w > 0.01
    for element in warmed("actively detuned"):
        for part, more_w in element.items():
            assert more_w == pytest.approx(own_w if part in pin_diodes() else 0.0), part
    for name in (RECEIVING.name, UNPLUGGED.name, "bias line line 1: open"):
        assert all(more_w == 0 for element in warmed(name) for more_w in element.values()), name


def test_a_diode_that_has_failed_or_is_not_reached_gets_no_heat_of_the_bias():
    diode = pin_diodes()[0]
    broken = warmed("A1: cable to the element broken")
    assert set(broken[0].values()) == {0.0}
    assert broken[1][diode] > 0.01
    assert warmed(f"A1: {diode} open")[0].get(diode, 0.0) == 0


@pytest.mark.parametrize("words", ["A1: cable to the element broken", "bias line line 1: open"])
def test_without_bias_a_diode_is_held_by_its_junction_alone(words):
    found = once(PIN_ONLY)
    holds = [one for one in found.pin_holds if one.state.startswith(words)]
    assert {one.element for one in holds} == ({0} if words.startswith("A1") else {0, 1, 2})
    line = lines()[0].line
    held_v = float(voltage_withstood_v(JUNCTION_V, layer_m=line.diode.layer_m, frequency_hz=found.frequency_hz))
    for one in holds:
        assert one.unit == "V"
        assert one.diodes is Diodes.BLOCK
        assert one.allowed == pytest.approx(held_v)
        part = {p.name: p for p in found.named(one.state).answer.elements[one.element].parts}[one.part]
        assert one.borne == pytest.approx(part.voltage_v, rel=1e-6)


def test_normal_conditions_and_lost_bias_are_judged_each_by_its_least_margin():
    found = once(PIN_ONLY)
    held = [one for one in found.assessments if one.limit.name == "PIN diode held by its bias"]
    assert len(held) == 2
    plain = [one for one in found.pin_holds if one.state in (ACTIVELY_DETUNED.name, UNPLUGGED.name)]
    assert held[0].value == pytest.approx(min(one.margin for one in plain))
    assert held[1].value == pytest.approx(min(one.margin for one in found.pin_holds if one not in plain))
    assert "broken" in held[1].why or "open" in held[1].why
    nothing = list(bias_assessments(packaged_limits(), (), (), ()))
    assert [one.value for one in nothing] == [None, None]


def test_unplugged_arrays_have_no_bias_to_lose():
    assert not [one for one in once(TRAPS).pin_holds if "cable" in one.state and "unplugged" in one.state]


@pytest.mark.long
def test_the_coil_as_a_whole_counts_bias_lines_while_it_is_plugged_in():
    found = once(TRAPS, HEAT)
    coil = found.whole_coil
    plugged = "unplugged" not in coil.case
    assert coil.bias_w == pytest.approx(lines()[0].line_w if plugged else 0.0)
    # Three circles a quarter of a ball apart: the circles at least, less than a ball round them.
    assert 0.99 * 3 * 3.1416 * 0.03**2 < coil.area_m2 < 4 * 3.1416 * 0.1**2
