"""A fuse against its own time-current curve, and what passes before it opens."""

from dataclasses import replace
from math import exp, inf

import numpy as np
import pytest

from circuits.driven_loop import EMF_V_PER_T, LOOP_OHM, F, circuit
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.bias.fuse import GENERIC_FUSE, opening_time_s
from loopwright.circuits.parts import Fuse
from loopwright.circuits.states import UNPLUGGED, PartOpen
from loopwright.circuits.under_field.fuse_sequence import FuseFate, after_opening, fuse_limits, fuse_sequence
from loopwright.circuits.wiring import Branch


@pytest.mark.parametrize(
    ("current", "duration", "fate", "opens", "whole"),
    [
        (0.37, 600.0, FuseFate.CARRIES, inf, 600.0),
        (0.8, 600.0, FuseFate.MAY_OPEN, inf, 600.0),
        (1.0, 600.0, FuseFate.OPENS, 5.0, 5.0),
        (5.0, 600.0, FuseFate.OPENS, 0.2, 0.2),
        (1.0, 3.0, FuseFate.OUTLASTS, 5.0, 3.0),
    ],
)
def test_half_an_ampere_opens_by_its_curve(current, duration, fate, opens, whole):
    """Known: within 5 s at twice its rating, by the square beyond, and three quarters of it carried for ever."""
    found = fuse_sequence(current, rating_a=0.5, fuse=GENERIC_FUSE, duration_s=duration)
    assert (found.fate, found.opens_s, found.whole_s) == (fate, pytest.approx(opens), pytest.approx(whole))
    assert found.opens_s == opening_time_s(current, rating_a=0.5, fuse=GENERIC_FUSE)
    assert fate.value in found.sentence


def test_the_heat_that_passes_is_that_of_the_current_while_it_is_whole():
    """Beyond what it is known to open at, I2t does not depend on the current any more."""
    passed = [fuse_sequence(i, rating_a=0.5, fuse=GENERIC_FUSE, duration_s=600).passed_a2s for i in (1.0, 3.0, 10.0)]
    assert passed == pytest.approx([5.0, 5.0, 5.0])
    found = fuse_sequence(3.0, rating_a=0.5, fuse=GENERIC_FUSE, duration_s=600)
    assert found.energy_j(8.0) == pytest.approx(40.0)
    # A part of 30 s: 0.56 s heat it by 2 % of what the current would bring in the end.
    assert found.share_of_steady(30.0) == pytest.approx(1 - exp(-5 / 9 / 30))
    lasting = fuse_sequence(0.3, rating_a=0.5, fuse=GENERIC_FUSE, duration_s=inf)
    assert lasting.share_of_steady(30.0) == 1


def test_after_it_has_opened_the_loop_is_that_with_the_fuse_open():
    tune, *others = circuit().branches
    fuse = Fuse(resistance_ohm=0.05, open_capacitance_f=0.2e-12, rated_current_rms_a=0.5)
    in_front = Branch(name="fuse", part=fuse, between=("gap 1", "behind"))
    own = replace(circuit(), branches=(in_front, replace(tune, between=("behind", "mid")), *others))
    opened = after_opening(UNPLUGGED, "fuse")
    assert opened.faults == (PartOpen(part="fuse"),)
    assert "fuse open" in opened.name
    before_a, after_a = (
        abs(gap_currents_a(array_state(np.array([[LOOP_OHM]]), [own], [state], frequency_hz=F), [EMF_V_PER_T * 20e-6]))
        for state in (UNPLUGGED, opened)
    )
    assert before_a > 9
    # What is left flows through the capacitance of the open fuse.
    assert after_a == pytest.approx(EMF_V_PER_T * 20e-6 * 2 * np.pi * F * 0.2e-12, rel=0.05)


def test_limits_say_that_it_may_open_or_not():
    assert any("may open or not" in limit for limit in fuse_limits())
