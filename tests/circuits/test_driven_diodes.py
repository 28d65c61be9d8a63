"""All crossed diodes of an array at once: limits, linear circuits put in their place, symmetry, and what is refused."""

import time
from dataclasses import replace

import numpy as np
import pytest

from circuits.driven_loop import EMF_V_PER_T, LOOP_OHM, PAIR, F, circuit, clamped_without_inductor, driven
from circuits.sinusoidal_pair import transition_emf_v
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.node_voltages import induced_voltages_v, part_patterns
from loopwright.circuits.parts import OffGap, Resistor
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    PASSIVELY_DETUNED,
    UNPLUGGED,
    PartOff,
    PartOpen,
    PartShort,
)
from loopwright.circuits.under_field.driven_diodes import drive_array, driven_diode_limits
from loopwright.circuits.under_field.driven_onsets import b1_change_at_centre, driven_onsets
from loopwright.circuits.under_field.pairs_seen import diode_law, pairs_seen
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from wired_rings import emf_v, wired

FIELDS_T = 20e-6 * np.geomspace(1e-4, 1, 9)


def rings(states=None, *, solve=drive_array, elements=3, circuits=None, **keys):
    """Three coupled rings beside a body, or more."""
    outcome = wired(elements=elements)
    keys = {"b1_plus_t": FIELDS_T, **keys} if solve is drive_array else keys
    return solve(
        outcome.ports.at_operation_ohm, circuits or outcome.circuits, states or [UNPLUGGED] * elements,
        open_v_per_t=emf_v(elements, 4) / 20e-6, frequency_hz=outcome.ports.frequency_hz, **keys,
    )  # fmt: skip


def linear_a(states, field_t, circuits=None):
    outcome = wired()
    state = array_state(
        outcome.ports.at_operation_ohm, circuits or outcome.circuits, states, frequency_hz=outcome.ports.frequency_hz
    )
    return gap_currents_a(state, emf_v(3, 4) * field_t / 20e-6)


def with_admittances(found, place, circuits, f):
    """The circuits with what each pair is in one field as a linear part."""
    swapped = list(circuits)
    for number, pair in enumerate(found.pairs):
        siemens = found.admittance_siemens[place, number]
        part = OffGap(resistance_ohm=1 / siemens.real, capacitance_f=siemens.imag / (2 * np.pi * f))
        swapped[pair.element] = swapped[pair.element].with_part(pair.part, part)
    return swapped


@pytest.mark.parametrize("place", range(0, 9, 2))
def test_linear_parts_in_place_of_the_pairs_carry_the_same_currents(place):
    outcome = wired()
    states = [UNPLUGGED, BIAS_MISSING, ACTIVELY_DETUNED]
    found = rings(states)
    circuits = with_admittances(found, place, outcome.circuits, outcome.ports.frequency_hz)
    np.testing.assert_allclose(found.port_a[place], linear_a(states, FIELDS_T[place], circuits), rtol=1e-6)


def test_in_a_weak_field_the_array_is_that_with_blocking_diodes():
    found = rings(b1_plus_t=[1e-12])
    np.testing.assert_allclose(found.port_a_per_t[0], found.blocked_a_per_t, rtol=1e-6)
    # The capacitance stands behind the half ohm of the diode that conducts: half a thousandth of nothing.
    np.testing.assert_allclose(found.port_a[0], linear_a([UNPLUGGED] * 3, 1e-12), rtol=2e-3)
    assert not found.conducting.any()


def test_in_a_strong_field_it_is_that_with_conducting_diodes():
    """Beside their resistance a voltage of about a volt is left, which counts for less the more current flows."""
    strong_t = np.array([20e-6, 200e-6, 2e-3, 10e-3])
    found = rings(b1_plus_t=strong_t)
    expected = np.array([linear_a([PASSIVELY_DETUNED] * 3, field_t) for field_t in strong_t])
    off = np.abs(found.port_a / expected - 1).max(axis=1)
    assert found.conducting.all()
    assert off[3] < 0.01
    assert off[0] > 3 * off[1] > 9 * off[2] > 13 * off[3]
    left_ohm = np.abs(found.voltage_v / found.current_a) - 0.5
    assert np.all(left_ohm * np.abs(found.current_a) < 2.0)


def test_fields_may_come_in_any_order():
    mixed = FIELDS_T[[5, 0, 8, 3]]
    np.testing.assert_allclose(rings(b1_plus_t=mixed).port_a, rings().port_a[[5, 0, 8, 3]], rtol=1e-7)


def test_pairs_take_power_up_and_the_array_no_more_than_the_field_gives():
    outcome, found = wired(), rings()
    assert np.all((found.voltage_v * found.current_a.conj()).real > 0)
    # Given to the conductors: what the field's EMF drives. Taken: conductors and body, and every circuit.
    open_v = emf_v(3, 4) * FIELDS_T[:, None] / 20e-6
    given_w = -(open_v.conj() * found.port_a).real.sum(axis=1) / 2
    lost = outcome.ports.at_operation_ohm.real
    conductor_w = np.einsum("bp,pq,bq->b", found.port_a.conj(), lost, found.port_a).real / 2
    pairs_w = (found.voltage_v * found.current_a.conj()).real.sum(axis=1) / 2
    assert np.all(given_w > conductor_w + pairs_w)


def coupled(share, *, open_v):
    """Two loops that couple by a share of their reactance."""
    mutual = 1j * share * LOOP_OHM.imag
    return drive_array(
        np.array([[LOOP_OHM, mutual], [mutual, LOOP_OHM]]), [circuit()] * 2, [UNPLUGGED] * 2,
        open_v_per_t=EMF_V_PER_T * np.asarray(open_v), b1_plus_t=np.geomspace(1e-8, 2e-5, 12), frequency_hz=F,
    )  # fmt: skip


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5])
def test_two_loops_alike_carry_the_same(share):
    """At a half their coupling is eight times their damping."""
    both = coupled(share, open_v=[1, 1])
    np.testing.assert_allclose(both.port_a[:, 0], both.port_a[:, 1], rtol=1e-8)
    against = coupled(share, open_v=[1, -1])
    np.testing.assert_allclose(against.port_a[:, 0], -against.port_a[:, 1], rtol=1e-8)
    # One loop of the same mode: its impedance more by the coupling.
    for found, sign in ((both, 1), (against, -1)):
        one = drive_array(
            np.array([[LOOP_OHM + sign * 1j * share * LOOP_OHM.imag]]), [circuit()], [UNPLUGGED],
            open_v_per_t=[EMF_V_PER_T], b1_plus_t=found.b1_plus_t, frequency_hz=F,
        )  # fmt: skip
        np.testing.assert_allclose(found.port_a[:, :1], one.port_a, rtol=1e-8)


def test_a_loop_without_diodes_and_pairs_that_have_failed_stay_linear():
    outcome = wired()
    states = [UNPLUGGED.with_faults(PartOpen(part="D trap 3")), UNPLUGGED.with_faults(PartShort(part="D trap 3")),
              UNPLUGGED]  # fmt: skip
    found = rings(states)
    assert [(pair.element, pair.part) for pair in found.pairs] == [(2, "D trap 3")]
    none = [circuit.with_part("D trap 3", OffGap(resistance_ohm=5e3, capacitance_f=1e-12)) for circuit in
            outcome.circuits]  # fmt: skip
    bare = rings(circuits=none)
    assert bare.pairs == ()
    assert bare.voltage_v.shape == (9, 0)
    np.testing.assert_allclose(bare.port_a[4], linear_a([UNPLUGGED] * 3, FIELDS_T[4], none), rtol=1e-9)
    assert rings(solve=driven_onsets, circuits=none, strongest_t=20e-6) == ()


def test_a_pair_whose_value_is_off_still_follows_the_field():
    off = UNPLUGGED.with_faults(PartOff(part="D", factor=3.0))
    port_ohm = np.array([[LOOP_OHM]])
    keys = {"open_v_per_t": [EMF_V_PER_T], "b1_plus_t": [20e-6], "frequency_hz": F}
    found = drive_array(port_ohm, [circuit()], [off], **keys)
    thrice = circuit(replace(PAIR, conducting_resistance_ohm=1.5))
    np.testing.assert_allclose(found.port_a, drive_array(port_ohm, [thrice], [UNPLUGGED], **keys).port_a, rtol=1e-9)
    assert abs(found.port_a[0, 0]) > 1.5 * abs(driven(drive_array, b1_plus_t=[20e-6]).port_a[0, 0])


def test_one_loop_begins_to_act_where_a_sinusoidal_voltage_says_or_a_seventh_later():
    """The voltage of a clipped wave holds up to 4/pi more fundamental; below the onset nothing clips."""
    own, leak = circuit(), Resistor(resistance_ohm=PAIR.blocking_resistance_ohm)
    seen = pairs_seen(np.array([[LOOP_OHM]]), [own], [UNPLUGGED], open_v=[EMF_V_PER_T], frequency_hz=F, harmonics=[3])
    law = diode_law(PAIR)
    sinusoidal_t = transition_emf_v(seen.ohm[0, 0], diodes=law, frequency_hz=F) / abs(seen.open_v[0])
    (onset,) = driven(driven_onsets, strongest_t=20e-6)
    assert 1.0 < onset.acts_t / sinusoidal_t < 1.2
    # What a pair sees, once more by two loads in its place.
    loaded = [own.with_part("D", Resistor(resistance_ohm=r)) for r in (1.0, 1000.0)]
    voltages = []
    for one in (*loaded, own.with_part("D", leak)):
        state = array_state(np.array([[LOOP_OHM]]), [one], [UNPLUGGED], frequency_hz=F)
        (pattern,) = (p for p in part_patterns(state, induced_voltages_v(state, [EMF_V_PER_T])) if p.name == "D")
        voltages.append(pattern.voltage[0, 0, 0])
    one_v, thousand_v, open_v = voltages
    bare_ohm = (thousand_v - one_v) / (one_v - thousand_v / 1000)
    assert seen.ohm[0, 0] == pytest.approx(1 / (1 / bare_ohm + 1 / leak.resistance_ohm), rel=1e-9)
    assert seen.open_v[0] == pytest.approx(open_v, rel=1e-9)


def test_an_onset_is_where_the_pair_acts_as_much_as_all_beside_it():
    for onset in rings(solve=driven_onsets, strongest_t=20e-6):
        there = rings(b1_plus_t=[onset.acts_t, onset.acts_t / 1e3, 20e-6])
        number = there.pairs.index(onset.pair)
        assert there.acting[0, number] == pytest.approx(1, rel=1e-3)
        np.testing.assert_allclose(onset.at_a_per_t, there.port_a_per_t[0], rtol=1e-3)
        np.testing.assert_allclose(onset.below_a_per_t, there.port_a_per_t[1], rtol=1e-2)
        np.testing.assert_allclose(onset.above_a_per_t, there.port_a_per_t[2], rtol=1e-7)


def test_a_field_too_weak_for_any_pair_has_no_onset():
    (onset,) = driven(driven_onsets, strongest_t=20e-9)
    assert onset.acts_t == np.inf
    np.testing.assert_allclose(onset.at_a_per_t, onset.above_a_per_t)


def test_a_loop_changes_b1_at_its_centre_by_the_field_of_its_current():
    """Biot and Savart round a polygon of 4000 sides, for normals all round; B1+ is (Bx - jBy) / 2 for B = (1, j, 0)."""
    turn = np.linspace(0, 2 * np.pi, 4001)
    for facing in (0.0, 0.7, 2.5):
        normal, across = np.array([np.cos(facing), np.sin(facing), 0]), np.array([-np.sin(facing), np.cos(facing), 0])
        corners = 0.04 * (np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * [0, 0, 1])
        step, middle = np.diff(corners, axis=0), (corners[1:] + corners[:-1]) / 2
        per_ampere_t = 1e-7 * (np.cross(step, -middle) / np.linalg.norm(middle, axis=1)[:, None] ** 3).sum(axis=0)
        component = normal @ [1, 1j, 0]
        current_a = (3e4 - 2e4j) * component
        change = current_a * (per_ampere_t @ [1, -1j, 0]) / 2
        assert change == pytest.approx(b1_change_at_centre(3e4 - 2e4j, radius_m=0.04), rel=1e-5)


def test_below_the_onset_a_tuned_loop_spoils_the_flip_angle_and_above_it_no_more():
    (onset,) = driven(driven_onsets, strongest_t=20e-6)
    # The gap is driven with -EMF: currents are right-handed about the normal along which the field is taken.
    change = [abs(1 + b1_change_at_centre(a[0] * 1, radius_m=0.04)) - 1 for a in
              (onset.below_a_per_t, onset.above_a_per_t)]  # fmt: skip
    assert abs(change[0]) > 0.3
    assert abs(change[1]) < 0.03


def test_what_gives_power_away_does_not_settle_and_is_told():
    """Tuned, with a negative conductance across it: where the pair's own makes up for it no field is left."""
    tuned = clamped_without_inductor()
    beside_s = 2j * np.pi * F * (tuned.part("C").capacitance_f + PAIR.blocking_capacitance_f)
    with pytest.raises(NotConvergedError, match="gives power away"):
        drive_array(
            np.array([[1 / (-3.5e-3 - beside_s)]]), [tuned], [UNPLUGGED], open_v_per_t=[EMF_V_PER_T],
            b1_plus_t=[20e-6], frequency_hz=F,
        )  # fmt: skip


def test_more_current_than_is_told_of_diodes_is_refused():
    with pytest.raises(OutsideModelError, match="more current than is told"):
        driven(drive_array, b1_plus_t=[10e-3])


@pytest.mark.parametrize("fields_t", [[0.0], [-1e-6], [[1e-6]], [np.nan]])
def test_fields_that_are_none_are_refused(fields_t):
    with pytest.raises(OutsideModelError, match="above zero"):
        driven(drive_array, b1_plus_t=fields_t)


def test_limits_name_the_diodes_and_the_temperature():
    told = " ".join(driven_diode_limits())
    assert "293.15 K" in told
    assert "from memory" in told


def test_thirty_two_elements_in_sixty_five_fields_take_seconds():
    shares = 0.05 ** np.abs(np.subtract.outer(np.arange(32), np.arange(32)))
    port_ohm = 1j * LOOP_OHM.imag * shares + LOOP_OHM.real * np.eye(32)
    begun = time.process_time()
    found = drive_array(
        port_ohm, [circuit()] * 32, [UNPLUGGED] * 32, open_v_per_t=EMF_V_PER_T * np.exp(0.2j * np.arange(32)),
        b1_plus_t=20e-6 * np.geomspace(1e-4, 1, 65), frequency_hz=F,
    )  # fmt: skip
    assert time.process_time() - begun < 3
    assert found.port_a.shape == (65, 32)
    assert found.conducting[-1].all()
