"""The whole transmit job with a carrier that is folded, stretched, wet and inside out."""

from functools import cache

import numpy as np
import pytest

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.faults.worn_cases import WEARINGS
from loopwright.circuits.states import DETUNED_BY_BOTH, PASSIVELY_DETUNED
from loopwright.dossier.transmit_words import fault_and_place, noticed_words
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import absorbed_power_w, amplitudes, open_array, transmit_reply
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Forgetful, Silent
from loopwright.transmission import worn_lies
from loopwright.transmit.asked import middle_of_resonator_m, source_asked
from loopwright.transmit.lie import OUT_OF_PLACE
from loopwright.transmit.wearing import BODY_SOLVED, DesignedArray, WearingMeans, worn_array, worn_on_body
from transmission.array_on_ball import HEAT, TRAPS, WRONGLY, once, prepared, told

CONDITIONS = (DETUNED_BY_BOTH.name, PASSIVELY_DETUNED.name)
MEANS = {"relative_residual": 1e-4, "progress": Silent(), "store": Forgetful()}


def found():
    return once(TRAPS, "", WRONGLY)


def of_lie(wearing):
    return [one for one in found().faults if one.case.wearing is wearing]


@cache
def worn(wearing):
    """The lie by itself, from a solution of its own."""
    brief, dressed, network, body, circuit = prepared(TRAPS, "", WRONGLY)
    source = source_asked(
        brief.transmit,
        middle_m=middle_of_resonator_m(brief.transmit, body, dressed.layout.elements),
        frequency_hz=brief.scanner.frequency_hz,
        sense=Precession(brief.scanner.reception_sign),
    )
    means = {**MEANS, "relative_residual": brief.computation.relative_residual}
    reply = transmit_reply(body, source, array=open_array(dressed, network, source), **means)
    array = DesignedArray(
        dressed=dressed, circuits=tuple(circuit.circuits), solid=body.solid, source=source, reply=reply
    )
    one = worn_array(wearing, array, WearingMeans(strain=brief.transmit.stretch))
    kept = wearing in (Wearing.WET, Wearing.INSIDE_OUT)
    return one if kept else worn_on_body(one, body, source, **means)


@pytest.mark.parametrize("wearing", WEARINGS.values())
def test_every_lie_stands_in_the_table_plugged_and_unplugged(wearing):
    assert [one.case.family for one in of_lie(wearing)] == list(CONDITIONS)
    ranked = {one.row.name for one in found().ranked}
    for one in of_lie(wearing):
        assert one.case.name in ranked
        assert fault_and_place(one) == (wearing.value, "carrier")
        assert abs(one.answer.balance.left_w) < 1e-4 * one.answer.balance.given_w


@pytest.mark.parametrize("wearing", WEARINGS.values())
def test_currents_and_power_are_those_of_the_lie_solved_by_itself(wearing):
    lie = worn(wearing)
    rms_t = found().exposure.rms_b1_plus_t
    for one in of_lie(wearing):
        state = array_state(lie.port_ohm, lie.circuits, one.case.states, frequency_hz=lie.array.network.frequency_hz)
        current = gap_currents_a(state, lie.open_v_per_t)
        assert one.answer.port_current_a_per_t == pytest.approx(current, rel=1e-5, abs=1e-5 * np.abs(current).max())
        x = rms_t * amplitudes(lie.reply_in_lie, current[None])
        assert one.absorbed_w == pytest.approx(absorbed_power_w(lie.reply, x)[0], rel=1e-5)


def test_only_fields_in_place_are_averaged():
    """Two lies get a body of their own, a wet array stays where it is; what is left is told as an estimate."""
    for one in (*of_lie(Wearing.FOLDED), *of_lie(Wearing.STRETCHED), *of_lie(Wearing.WET)):
        assert OUT_OF_PLACE not in one.notes
        assert np.isfinite(one.local_sar_ratio_bound)
    for one in of_lie(Wearing.INSIDE_OUT):
        assert OUT_OF_PLACE in one.notes
        assert one.local_sar is None
        assert np.isnan(one.local_sar_ratio_bound)
    assert BODY_SOLVED in found().limits


def test_a_lie_is_heard_against_the_array_as_designed_and_no_bias_line_is_taken_for_broken():
    words = {one.case.wearing: one.detection for one in found().faults if one.case.wearing is not Wearing.AS_DESIGNED}
    assert {one.bias_monitor.words for one in words.values()} == {"the bias does not ask how the carrier lies"}
    # Channels of an array inside out hear less or more of the same field: in a lie heard against itself nothing would.
    assert "+0 %" not in words[Wearing.INSIDE_OUT].prescan.words
    assert noticed_words(of_lie(Wearing.FOLDED)[0]) == "prescan"


def test_the_designed_array_is_what_it_is_without_wrong_lies():
    alone = once(TRAPS)
    for one in alone.cases:
        same = found().named(one.case.name)
        assert same.answer.port_current_a_per_t == pytest.approx(one.answer.port_current_a_per_t, rel=1e-12)
    assert len(found().cases) == len(alone.cases) + 8


def test_a_lie_that_finds_no_room_is_told_and_the_others_stand(monkeypatch):
    def refusing(wearing, array, means):
        if wearing is Wearing.STRETCHED:
            assert means.strain == 0.2
            raise OutsideModelError("the array would enter the body.")
        return worn_array(wearing, array, means)

    monkeypatch.setattr(worn_lies, "worn_array", refusing)
    result = told(TRAPS, "", ", wearing: [stretched, wet], stretch: 20 %")
    assert "Worn stretched: not assessed, because the array would enter the body." in result.not_described
    assert {one.case.wearing for one in result.faults} == {Wearing.AS_DESIGNED, Wearing.WET}


@pytest.mark.long
def test_temperatures_of_an_array_inside_out_or_folded_are_not_those_of_the_design():
    result = once(TRAPS, HEAT, ", wearing: [inside out, folded, wet]")
    rows = {one.row.name: one.row for one in result.ranked}
    for one in result.faults:
        if one.case.wearing in (Wearing.INSIDE_OUT, Wearing.FOLDED):
            assert rows[one.case.name].surface_c is None
        if one.case.wearing is Wearing.WET:
            assert rows[one.case.name].surface_c > result.surface_at_rest_c
