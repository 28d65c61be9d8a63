"""Crossed diodes of cases: the array that follows the field is found again, and their heat is that of junctions."""

import numpy as np
import pytest

from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES
from loopwright.circuits.faults.listing import as_case
from loopwright.circuits.states import ACTIVELY_DETUNED, DETUNED_BY_BOTH, PASSIVELY_DETUNED, UNPLUGGED
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.transmit.answers import answer_case
from loopwright.transmit.batch import port_currents_a_per_t
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.pairs_in_field import with_pairs_in_field
from transmit.driven_rings import EXPOSURE, case_named, cases, driven

PASSIVE = as_case(PASSIVELY_DETUNED, 3)


def followed(*some, peak_t=20e-6):
    return with_pairs_in_field(driven(), some, peak_b1_plus_t=peak_t)


def junction_w(current_a, diodes=GENERIC_CROSSED_DIODES):
    """Heat of a sinusoidal current of this peak in the junctions alone: the mean of |i| n V_T ln(|i| / Is)."""
    return 2 / np.pi * current_a * diodes.scale_v * (np.log(2 * current_a / diodes.saturation_current_a) - 1)


@pytest.mark.parametrize("peak_t", [2e-6, 20e-6])
def test_currents_of_a_sound_case_are_those_of_the_array_that_follows_the_field(peak_t):
    array = driven()
    expected = drive_array(
        array.ports.at_operation_ohm, array.circuits, PASSIVE.states, open_v_per_t=array.open_v_per_t,
        b1_plus_t=[peak_t], frequency_hz=array.ports.frequency_hz,
    )  # fmt: skip
    (case,) = followed(PASSIVE, peak_t=peak_t)
    found = answer_case(array, case, Exposure(peak_b1_plus_t=peak_t, rms_b1_plus_t=peak_t, duration_s=1.0))
    assert found.port_current_a_per_t == pytest.approx(expected.port_a_per_t[0], rel=1e-6)
    assert abs(found.balance.left_w) <= 1e-8 * found.balance.given_w


def test_a_pair_heats_by_its_junctions_and_not_by_its_half_ohm_alone():
    (case,) = followed(PASSIVE)
    found = answer_case(driven(), case, EXPOSURE)
    for element in found.elements:
        (diode,) = (part for part in element.parts if part.name == "D trap 3")
        resistor_w = diode.current_a**2 / 2 * 0.5
        # The trap's inductor keeps the current a sinusoid.
        at_peak_w = resistor_w + junction_w(diode.current_a)
        assert diode.power_w == pytest.approx(at_peak_w * EXPOSURE.duty, rel=0.01)
        assert diode.power_w > 2 * resistor_w * EXPOSURE.duty


def test_many_cases_and_single_ones_agree():
    array = driven()
    some = followed(*cases())
    found = port_currents_a_per_t(
        array.ports.at_operation_ohm, array.circuits, some, open_v_per_t=array.open_v_per_t,
        frequency_hz=array.ports.frequency_hz,
    )  # fmt: skip
    for place in range(0, len(some), 17):
        alone = answer_case(array, some[place], EXPOSURE).port_current_a_per_t
        assert found[place] == pytest.approx(alone, rel=1e-9)


def test_a_failed_element_is_followed_anew():
    """Without its PIN trap the crossed diodes of an element, idle while that held, come to carry the current."""
    array, lost = driven(), case_named("E02: D trap 2 open; trap lost (actively and passively")
    (sound, told) = followed(as_case(DETUNED_BY_BOTH, 3), lost)
    assert sound.states[1].pairs[0].resistance_ohm > 1e3
    assert told.states[1].pairs[0].resistance_ohm < 100
    assert told.states[0].pairs == sound.states[0].pairs
    expected = drive_array(
        array.ports.at_operation_ohm, array.circuits, lost.states, open_v_per_t=array.open_v_per_t,
        b1_plus_t=[20e-6], frequency_hz=array.ports.frequency_hz,
    ).port_a_per_t[0]  # fmt: skip
    found = answer_case(array, told, EXPOSURE).port_current_a_per_t
    assert np.abs(found - expected).max() < 0.01 * np.abs(expected).max()


def test_pairs_that_are_said_to_block_or_have_failed_are_left_as_they_are():
    detuned, tuned = as_case(ACTIVELY_DETUNED, 3), as_case(UNPLUGGED, 3)
    assert followed(detuned, tuned) == (detuned, tuned)
    short = case_named("E02: D trap 3 short; trap always closed (passively")
    (told,) = followed(short)
    (diode,) = (part for part in answer_case(driven(), told, EXPOSURE).elements[1].parts if part.name == "D trap 3")
    assert diode.voltage_v == pytest.approx(0.05 * diode.current_a)


def test_a_weaker_field_leaves_more_resistance():
    weak, strong = (followed(PASSIVE, peak_t=peak_t)[0].states[0].pairs[0] for peak_t in (2e-6, 20e-6))
    assert weak.resistance_ohm > 3 * strong.resistance_ohm > 3 * 0.5
