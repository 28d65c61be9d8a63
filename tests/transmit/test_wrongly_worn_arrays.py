"""An array in every lie of its carrier: invariants, and what was taken over against the body solved anew."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.faults.wet import SALINE_FILM, film_across
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.folding import Fold, folded
from loopwright.layouts.worn_wrongly import heights_over
from loopwright.transmit.answers import answer_case
from loopwright.transmit.body_kept import BODY_KEPT, port_map
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.wearing import BODY_SOLVED, WearingMeans, worn_array
from loopwright.transmit.worn_array import worn_driven
from loopwright.transmit.worn_ranking import LieEffect, effects_of, worth_solving
from transmit.worn_lies import F_HZ, MEANS, STRIP, designed, lie, solved

WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=300.0)
EXPOSURE = Exposure(peak_b1_plus_t=20e-6, rms_b1_plus_t=3e-6, duration_s=600.0)
WRONG = (Wearing.FOLDED, Wearing.STRETCHED, Wearing.WET, Wearing.INSIDE_OUT)


def by_element(port_ohm):
    """Both elements with one current all round: sums over their gaps, shape (2, 2)."""
    return port_ohm.reshape(2, 4, 2, 4).sum(axis=(1, 3))


def added_ohm(worn):
    return worn.port_map.T @ worn.reply.added_impedance_ohm @ worn.port_map


@pytest.mark.parametrize("wearing", Wearing)
def test_gaps_stay_reciprocal_and_passive_in_every_lie(wearing):
    z = lie(wearing).port_ohm
    assert np.abs(z - z.T).max() < 1e-3 * np.abs(added_ohm(lie(wearing))).max()
    assert np.linalg.eigvalsh(z.real + z.real.T).min() > 0


@pytest.mark.parametrize("wearing", Wearing)
def test_power_that_the_field_gives_is_found_again_in_every_lie(wearing):
    driven = worn_driven(lie(wearing), WARM)
    assert driven.ports.at_operation_ohm == pytest.approx(lie(wearing).port_ohm, rel=1e-9)
    for case, current in zip(lie(wearing).cases, lie(wearing).port_current_a_per_t, strict=True):
        answer = answer_case(driven, case, EXPOSURE)
        assert answer.port_current_a_per_t == pytest.approx(current, rel=1e-9)
        assert answer.balance.given_w > 0
        assert answer.balance.body_w > 0
        assert abs(answer.balance.left_w) < 1e-4 * answer.balance.given_w
        sources = lie(wearing).source_per_port_current @ current
        absorbed = np.vdot(sources, designed().reply.body.absorption_ohm[:-1, :-1] @ sources).real / 2
        assert answer.balance.body_w == pytest.approx(EXPOSURE.rms_b1_plus_t**2 * absorbed, rel=1e-6)


def test_what_flows_with_open_gaps_is_handed_on():
    worn = lie(Wearing.STRETCHED)
    driven = worn_driven(worn, WARM)
    assert np.abs(driven.open_current_a_per_t).max() > 0
    assert np.array_equal(driven.open_current_a_per_t, worn.array.open_current_a_per_t)
    lengths = [
        np.linalg.norm(np.diff(e.vertices_m, axis=0, append=e.vertices_m[:1]), axis=1).sum()
        for e in worn.dressed.layout.elements
    ]
    assert driven.node_length_m.sum() == pytest.approx(sum(lengths))


def test_as_designed_nothing_changes():
    worn, reply = lie(Wearing.AS_DESIGNED), designed().reply
    joints = 0.05 / 4 * np.eye(8)
    expected = reply.array.network.at(F_HZ) + reply.added_impedance_ohm + joints
    assert worn.port_ohm == pytest.approx(expected, rel=1e-12)
    assert worn.open_v_per_t == pytest.approx(reply.open_v_per_t, rel=1e-12)
    assert worn.source_per_port_current == pytest.approx(reply.source_per_port_current)
    assert not worn.wrong
    assert not worn.notes


def test_a_folded_element_couples_closely_and_acts_on_the_body_as_its_neighbour_the_other_way_round():
    worn, reply = lie(Wearing.FOLDED), designed().reply
    turned, onto = worn.wrong
    x = by_element(worn.array.network.at(F_HZ)).imag
    was = by_element(reply.array.network.at(F_HZ)).imag
    assert abs(was[0, 1]) < 0.1 * was[0, 0]
    assert -0.95 < x[0, 1] / np.sqrt(x[0, 0] * x[1, 1]) < -0.7
    # Rigid: the turned element alone is what it was.
    assert np.diag(x) == pytest.approx(np.diag(was), rel=0.02)
    found, before = by_element(added_ohm(worn)), by_element(reply.added_impedance_ohm)
    share = found[turned, turned] / before[onto, onto]
    assert share.imag == pytest.approx(0, abs=1e-12)
    assert 0.5 < share.real < 1
    assert found[turned, onto] == pytest.approx(-np.sqrt(share.real) * before[onto, onto])
    assert found[onto, onto] == pytest.approx(before[onto, onto])


def test_a_wet_array_has_the_film_in_parallel_with_every_gap():
    worn = lie(Wearing.WET)
    film = film_across(SALINE_FILM, width_m=STRIP.width_m, frequency_hz=F_HZ)
    siemens = 1 / film.resistance_ohm + 2j * np.pi * F_HZ * film.capacitance_f
    # The same film at the conductors' side of the gaps: seen from the circuits, source and impedance are divided.
    shunt = np.linalg.inv(np.eye(8) + siemens * worn.port_ohm)
    for case, current in zip(worn.cases, worn.port_current_a_per_t, strict=True):
        dry = array_state(shunt @ worn.port_ohm, designed().circuits, case.states, frequency_hz=F_HZ)
        open_v = shunt @ worn.open_v_per_t
        voltage = open_v + shunt @ worn.port_ohm @ gap_currents_a(dry, open_v)
        assert worn.open_v_per_t + worn.port_ohm @ current == pytest.approx(voltage, rel=1e-6)
    answer = answer_case(worn_driven(worn, WARM), worn.cases[0], EXPOSURE)
    films = [part for element in answer.elements for part in element.parts if part.name.startswith("film over gap")]
    assert len(films) == 8
    assert min(part.power_w for part in films) > 0


@pytest.mark.parametrize(
    ("wearing", "off_ohm", "off_current"),
    [(Wearing.FOLDED, 0.01, 0.02), (Wearing.STRETCHED, 0.02, 0.03), (Wearing.INSIDE_OUT, 0.05, 0.06)],
)
def test_what_was_taken_over_is_near_the_body_solved_anew(wearing, off_ohm, off_current):
    kept, anew = lie(wearing), solved(wearing)
    found, expected = (by_element(added_ohm(worn)) for worn in (kept, anew))
    assert np.diag(found) == pytest.approx(np.diag(expected), rel=off_ohm)
    assert np.abs(found - expected).max() < np.abs(expected).max() / 8
    currents = kept.port_current_a_per_t, anew.port_current_a_per_t
    assert np.abs(currents[0] - currents[1]).max() < off_current * np.abs(currents[1]).max()
    assert BODY_KEPT in kept.notes
    assert BODY_KEPT not in anew.notes
    assert BODY_SOLVED in anew.notes


@pytest.mark.parametrize("gaps", [(0, 8, 16), (0, 6, 12, 18), (3, 5)])
def test_one_current_all_round_a_folded_element_is_one_all_round_its_neighbour(gaps):
    turned, onto = designed().dressed.layout.elements
    before = (replace(turned, gap_nodes=gaps), onto)
    after = folded(before, Fold(turned=0, onto=1))
    found = port_map(before, after, heights_over(designed().dressed.layout, designed().solid), acts_as={0: 1})
    round_it = found[:, : len(gaps)].sum(axis=1)
    assert round_it[: len(gaps)] == pytest.approx(0, abs=0)
    assert round_it[len(gaps) :] == pytest.approx(np.full(4, round_it[-1]))
    assert -1 < round_it[-1] < -0.7
    assert found[len(gaps) :, len(gaps) :] == pytest.approx(np.eye(4))


def test_on_the_bench_there_is_no_body_to_take_over():
    bench = replace(designed(), reply=replace(designed().reply, body=None))
    worn = worn_array(Wearing.STRETCHED, bench, MEANS)
    driven = worn_driven(worn, WARM)
    assert worn.port_ohm == pytest.approx(worn.array.network.at(F_HZ) + 0.05 / 4 * np.eye(8), rel=1e-12)
    assert driven.ports.at_operation_ohm == pytest.approx(worn.port_ohm, rel=1e-12)
    assert worn.open_v_per_t == pytest.approx(worn.array.open_v_per_t)
    balance = answer_case(driven, worn.cases[0], EXPOSURE).balance
    assert balance.body_w == 0
    assert abs(balance.left_w) < 1e-6 * balance.given_w


def test_nearer_and_larger_elements_are_loaded_more():
    before = np.diag(by_element(designed().reply.added_impedance_ohm)).real
    assert np.all(np.diag(by_element(added_ohm(lie(Wearing.STRETCHED)))).real > 1.2 * before)
    assert np.all(np.diag(by_element(added_ohm(lie(Wearing.INSIDE_OUT)))).real > 1.2 * before)


def test_lies_that_change_the_currents_most_get_a_new_body():
    worn = [lie(wearing) for wearing in WRONG]
    effects = effects_of(worn, lie(Wearing.AS_DESIGNED))
    assert all(effect.change > 0.01 and effect.by_body > 0 for effect in effects)
    movable = [n for n in range(4) if WRONG[n] is not Wearing.WET]
    order = sorted(movable, key=lambda n: -effects[n].change)
    assert worth_solving(worn, effects, most=4) == tuple(order)
    assert worth_solving(worn, effects, most=2) == tuple(order[:2])
    assert worth_solving([solved(Wearing.FOLDED)], effects[:1], most=1) == ()
    nothing = [LieEffect(change=0.019, by_body=0.019)] * 4
    assert worth_solving(worn, nothing, most=4) == ()
    assert effects_of([lie(Wearing.AS_DESIGNED)], lie(Wearing.AS_DESIGNED))[0].change == 0.0


def test_a_lie_without_array_is_refused():
    bare = replace(designed(), reply=replace(designed().reply, array=None))
    with pytest.raises(OutsideModelError, match="no array"):
        worn_array(Wearing.WET, bare, MEANS)


def test_a_cover_that_leaves_no_room_is_refused():
    with pytest.raises(OutsideModelError, match="enter the body"):
        worn_array(Wearing.INSIDE_OUT, designed(), WearingMeans(strain=0.1, cover_m=1e-5))
