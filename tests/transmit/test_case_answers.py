"""Currents, heat, ratings and fuses of a case: against balances, hand calculation and the whole array solved alone."""

from dataclasses import replace
from math import inf, isnan, pi, sqrt

import numpy as np
import pytest

from circuits.made_array import WARM
from circuits.made_ports import lumped_ports
from circuits.ready_circuits import two_traps
from circuits.test_real_wires import ring
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.bias.fuse import GENERIC_FUSE
from loopwright.circuits.faults.listing import as_case, normal_cases
from loopwright.circuits.parts import Capacitor, Fuse
from loopwright.circuits.states import PASSIVELY_DETUNED, UNPLUGGED, PartShort
from loopwright.circuits.under_field.induced import port_emf_v, rotating_field_t
from loopwright.circuits.under_field.stresses import stresses
from loopwright.fields import solve_network
from loopwright.transmit.answers import answer_case
from loopwright.transmit.driven_array import driven_array, node_lengths_m
from loopwright.transmit.exposure import Exposure
from transmit.driven_rings import EXPOSURE, case_named, cases, driven
from wire_arrays import dressed as dressed_wires

FUSED = {"protection": ("crossed-diode trap", "fuse")}
LINE = "match at the end of a line"


def with_parts(array, changes):
    circuits = list(array.circuits)
    for (element, name), part in changes.items():
        circuits[element] = circuits[element].with_part(name, part)
    return replace(array, circuits=tuple(circuits))


@pytest.mark.parametrize(("wiring", "gaps"), [("capacitive match with traps", 4), (LINE, 2)])
def test_what_the_field_gives_is_found_in_parts_conductors_body_and_air(wiring, gaps):
    array = driven(wiring, gaps=gaps)
    for case in cases(wiring, gaps=gaps):
        found = answer_case(array, case, EXPOSURE).balance
        assert abs(found.left_w) <= 1e-8 * found.given_w, case.name
        assert min(found.parts_w, found.receivers_w, found.traces_w, found.joints_w, found.body_w) >= 0
        assert found.given_w > 0


def test_joints_lose_what_their_resistance_takes():
    # 0.2 ohm of each element, the same at each of its four gaps.
    found = answer_case(driven(), case_named("unplugged, no diode"), EXPOSURE)
    by_hand = np.sum(np.abs(found.port_current_a_per_t * 3.2e-6) ** 2) / 2 * 0.2 / 4
    assert found.balance.joints_w == pytest.approx(by_hand, rel=1e-9)


def test_parts_bear_what_the_whole_array_puts_on_them():
    array, case = driven(), case_named("E02: C trap 3 open")
    state = array_state(
        array.ports.at_operation_ohm, array.circuits, case.states, frequency_hz=array.ports.frequency_hz
    )
    expected = {(s.element, s.part): s for s in stresses(state, array.open_v_per_t * 20e-6)}
    found = answer_case(array, case, EXPOSURE)
    assert found.port_current_a_per_t == pytest.approx(gap_currents_a(state, array.open_v_per_t), rel=1e-10)
    for element, own in enumerate(found.elements):
        for part in own.parts:
            assert part.voltage_v == pytest.approx(expected[element, part.name].voltage_v, rel=1e-10)
            assert part.current_a == pytest.approx(expected[element, part.name].current_a, rel=1e-10)


def test_a_conducting_diode_heats_by_its_resistance():
    found = answer_case(driven(), case_named(PASSIVELY_DETUNED.name), EXPOSURE)
    for element in found.elements:
        (diode,) = (part for part in element.parts if part.name == "D trap 3")
        current_a = diode.current_a * 3.2 / 20
        assert diode.power_w == pytest.approx(current_a**2 / 2 * 0.5, rel=1e-10)
        assert diode.voltage_v == pytest.approx(diode.current_a * 0.5, rel=1e-10)


def test_powers_go_with_the_rms_field_and_currents_with_the_peak():
    array, case = driven(), case_named("E01: D trap 2 open")
    base = answer_case(array, case, EXPOSURE)
    other = answer_case(array, case, Exposure(peak_b1_plus_t=10e-6, rms_b1_plus_t=6.4e-6, duration_s=60.0))
    for one, two in zip(base.elements, other.elements, strict=True):
        assert two.largest_current_a == pytest.approx(one.largest_current_a / 2)
        assert two.gap_voltage_v == pytest.approx(one.gap_voltage_v / 2)
        assert two.trace_w == pytest.approx(4 * one.trace_w)
        assert two.largest_trace_w_per_m == pytest.approx(4 * one.largest_trace_w_per_m)
        assert two.parts[0].power_w == pytest.approx(4 * one.parts[0].power_w)


def test_currents_of_the_open_array_add_to_those_of_the_gaps():
    array, case = driven(), case_named("actively detuned")
    rng = np.random.default_rng(3)
    alone = 1e3 * (rng.standard_normal(24) + 1j * rng.standard_normal(24))
    found = answer_case(replace(array, open_current_a_per_t=alone), case, EXPOSURE)
    along = array.node_current @ found.port_current_a_per_t + alone
    for element, own in enumerate(found.elements):
        size = 20e-6 * np.abs(along[8 * element : 8 * element + 8])
        assert own.largest_current_a == pytest.approx(size.max())
        assert own.largest_at == size.argmax()
        assert own.mean_current_a == pytest.approx(size.mean())  # regular rings: all nodes count alike
    whole = (along.conj() @ array.loss_matrix_ohm @ along).real / 2 * 3.2e-6**2
    assert sum(own.trace_w for own in found.elements) == pytest.approx(whole)
    # The gaps and what is behind them do not know of it.
    assert found.balance == answer_case(array, case, EXPOSURE).balance


def test_lengths_at_nodes_add_up_to_the_conductors():
    corners_m = np.array([[0, 0, 0], [0.3, 0, 0], [0.3, 0.4, 0]])
    assert node_lengths_m(np.concatenate([corners_m, 2 * corners_m]), np.repeat([0, 1], 3)) == pytest.approx(
        [0.4, 0.35, 0.45, 0.8, 0.7, 0.9]
    )


def test_gap_voltages_are_those_across_the_parts_that_bridge_them():
    found = answer_case(driven(), case_named("unplugged, no diode"), EXPOSURE)
    for element in found.elements:
        across = {part.name: part.voltage_v for part in element.parts}
        expected = [across[name] for name in ("C match", "C trap 2", "C trap 3", "C tune 4")]
        assert element.gap_voltage_v == pytest.approx(expected, rel=1e-10)


def test_ratings_are_shared_out_at_the_peak_and_not_held_against_a_failed_part():
    tune = driven().circuits[1].part("C tune 4")
    rated = with_parts(driven(), {(1, "C tune 4"): replace(tune, rated_voltage_v=200.0)})

    def share(case):
        (part,) = (p for p in answer_case(rated, case, EXPOSURE).elements[1].parts if p.name == "C tune 4")
        return part.share, part.voltage_v

    found, voltage_v = share(case_named("unplugged, no diode"))
    assert found == pytest.approx(voltage_v / 200)
    found, voltage_v = share(case_named("E02: C tune 4 capacitance +10 %"))
    assert found == pytest.approx(voltage_v / 200)
    assert isnan(share(case_named("E02: C tune 4 open"))[0])
    others = answer_case(rated, case_named("unplugged, no diode"), EXPOSURE).elements[0].parts
    assert all(isnan(part.share) for part in others)


def test_a_fuse_opens_after_the_time_of_its_law():
    # The trade's generic fuse opens within 5 s at twice its rating, and as the square beyond.
    def times(rating_a):
        fuse = Fuse(resistance_ohm=0.3, open_capacitance_f=0.2e-12, rated_current_rms_a=rating_a)
        tune = driven().circuits[0].part("C tune 4")
        array = with_parts(driven(), {(0, "D trap 3"): fuse})
        assert isinstance(tune, Capacitor)
        answer = answer_case(array, as_case(UNPLUGGED, 3), EXPOSURE)
        (part,) = (p for p in answer.elements[0].parts if p.name == "D trap 3")
        return part.opens_after_s, part.current_a * 3.2 / 20 / sqrt(2), part.share

    found, rms_a, share = times(0.001)
    multiple = rms_a / 0.001
    assert multiple > GENERIC_FUSE.known_multiple
    assert share == pytest.approx(multiple)
    assert found == pytest.approx(5.0 * (multiple / 2) ** -2, rel=1e-10)
    assert times(100.0)[0] == inf
    untouched = answer_case(driven(), as_case(UNPLUGGED, 3), EXPOSURE).elements[0].parts
    assert all(isnan(part.opens_after_s) for part in untouched)


def test_a_bridged_fuse_opens_no_more():
    fuse = Fuse(resistance_ohm=0.3, open_capacitance_f=0.2e-12, rated_current_rms_a=0.001)
    array = with_parts(driven(), {(0, "D trap 3"): fuse})
    bridged = UNPLUGGED.with_faults(PartShort(part="D trap 3"))
    case = replace(as_case(UNPLUGGED, 3), states=(bridged, UNPLUGGED, UNPLUGGED), failed=(0,))
    (part,) = (p for p in answer_case(array, case, EXPOSURE).elements[0].parts if p.name == "D trap 3")
    assert isnan(part.opens_after_s)


def test_parts_are_ranked_by_heat():
    found = answer_case(driven(), case_named("unplugged, no diode"), EXPOSURE)
    ranked = found.hottest_parts(5)
    powers = [part.power_w for _, part in ranked]
    assert powers == sorted(powers, reverse=True)
    assert powers[0] == max(part.power_w for element in found.elements for part in element.parts)


def test_one_small_loop_takes_its_emf_over_its_impedance():
    # Nothing plugged in, so all is in series: the current is the EMF over the sum round the loop.
    ports = lumped_ports(inductance_h=180e-9, resistance_ohm=8.0)
    array = replace(driven("capacitive match", elements=1, gaps=2), ports=ports)
    found = answer_case(array, as_case(UNPLUGGED, 1), EXPOSURE)
    circuit, w = array.circuits[0], 2 * pi * ports.frequency_hz
    series_ohm = sum(
        1 / (1j * w * c.capacitance_f) + 1 / (w * c.capacitance_f * c.quality_factor)
        for c in (circuit.part("C match"), circuit.part("C tune 2"))
    )
    expected = -array.open_v_per_t.sum() / (8 + 1j * w * 180e-9 + series_ohm)
    # 10 megohm from gap to gap stand for what the model of one current leaves out.
    assert found.port_current_a_per_t == pytest.approx([expected, expected], rel=1e-3)
    body_w = 8 / 2 * np.abs(expected * 3.2e-6) ** 2
    assert found.balance.body_w == pytest.approx(body_w, rel=2e-3)


def wire_ohm_per_m(frequency_hz):
    """Round wire of copper, 1 mm: 1 / (2 pi a delta sigma), the radius less half a skin depth (textbook)."""
    delta_m = 1 / sqrt(pi * frequency_hz * 4e-7 * pi * 5.8e7)
    return 1 / (2 * pi * (0.5e-3 - delta_m / 2) * delta_m * 5.8e7)


def test_real_wires_find_a_place_for_what_a_real_field_gives():
    rings_m = [ring(0.04, 0.05), ring(0.04, 0.11)]
    turned_m = [np.roll(one, 1, axis=1) for one in rings_m]  # normals along x
    parts = dressed_wires(turned_m, gaps=4)
    network = solve_network(parts, 127.74e6, band_fraction=0.04, frequency_count=3)
    array = driven_array(
        network,
        np.concatenate(turned_m),
        names=("E01", "E02"),
        ports=array_ports(network, None, WARM),
        circuits=(two_traps(),) * 2,
        open_v_per_t=-port_emf_v(network, np.concatenate(turned_m), rotating_field_t(1.0)),
    )
    assert array.node_length_m.sum() == pytest.approx(2 * 2 * pi * 0.04, rel=0.01)
    for case in normal_cases(array.circuits):
        found = answer_case(array, case, EXPOSURE)
        assert abs(found.balance.left_w) <= 1e-8 * found.balance.given_w, case.name
        assert found.balance.body_w == 0
        assert sum(own.trace_w for own in found.elements) == pytest.approx(found.balance.traces_w)
    # The last of them is tuned: one current all round, which heats every metre alike.
    for own in found.elements:
        per_m = wire_ohm_per_m(127.74e6) / 2 * (own.mean_current_a * 3.2 / 20) ** 2
        assert own.trace_w == pytest.approx(per_m * array.node_length_m.sum() / 2, rel=2e-3)
        assert own.largest_trace_w_per_m == pytest.approx(per_m, rel=0.05)
