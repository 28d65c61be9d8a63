"""Many cases by changes in a few gaps are the cases solved one by one."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, UNPLUGGED
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit import batch
from loopwright.transmit.batch import port_currents_a_per_t
from transmit.faulty_array import CIRCUITS, F_HZ, every_case, ports_and_field

STATES = (RECEIVING, ACTIVELY_DETUNED, UNPLUGGED, PASSIVELY_DETUNED)


def in_batch(cases):
    z, open_v = ports_and_field()
    return port_currents_a_per_t(z, CIRCUITS, cases, open_v_per_t=open_v, frequency_hz=F_HZ)


def one_by_one(case):
    z, open_v = ports_and_field()
    return gap_currents_a(array_state(z, CIRCUITS, case.states, frequency_hz=F_HZ), open_v)


def test_every_case_is_that_of_the_whole_array_solved_alone():
    cases = every_case()
    for case, found in zip(cases, in_batch(cases), strict=True):
        expected = one_by_one(case)
        assert np.max(np.abs(found - expected)) <= 1e-10 * np.max(np.abs(expected)), case.name


def test_cases_that_have_little_in_common_are_exact_too():
    rng = np.random.default_rng(2)
    mixed = [
        ArrayCase(name=str(n), states=tuple(STATES[k] for k in rng.integers(0, 4, 3)), family="mixed")
        for n in range(30)
    ]
    for case, found in zip(mixed, in_batch(mixed), strict=True):
        expected = one_by_one(case)
        assert np.max(np.abs(found - expected)) <= 1e-10 * np.max(np.abs(expected))


def test_the_whole_is_solved_once_for_each_condition(monkeypatch):
    solved = []
    whole = batch._base
    monkeypatch.setattr(batch, "_base", lambda *args: solved.append(1) or whole(*args))
    in_batch(every_case())
    # Six conditions; no fault of one element has more than four of the ten gaps.
    assert len(solved) == 6


def test_cases_of_another_lie_need_another_impedance():
    cases = every_case()[:2]
    with pytest.raises(OutsideModelError, match="worn differently"):
        in_batch((cases[0], replace(cases[1], wearing=Wearing.WET)))


def test_gaps_of_circuits_and_conductors_have_to_agree():
    z, open_v = ports_and_field()
    with pytest.raises(OutsideModelError, match="the circuits have 10 gaps, the conductors 9"):
        port_currents_a_per_t(z[:9, :9], CIRCUITS, every_case(), open_v_per_t=open_v[:9], frequency_hz=F_HZ)
