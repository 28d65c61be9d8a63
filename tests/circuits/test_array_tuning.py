"""The stage on a made-up array with every property of a real one."""

from dataclasses import replace

import numpy as np
import pytest

from circuits.made_array import FREQUENCY_HZ, WARM, dressed, network_of, reply_of, tuned
from circuits.ring_model import rings
from loopwright.circuits import NoiseTemperatures, RadiationInNoise, tune
from loopwright.circuits.tuned.element_ports import first_ports
from loopwright.ground.constants import BOLTZMANN_J_PER_K

W = 2 * np.pi * FREQUENCY_HZ


def test_split_sums_to_the_hermitian_part_of_the_impedance():
    array = tuned()
    hermitian = (array.impedance_ohm + array.impedance_ohm.conj().T) / 2
    assert np.max(np.abs(array.resistances.total_ohm - hermitian)) < 1e-9 * np.max(np.abs(hermitian))
    assert array.unassigned_resistance < 1e-9
    assert array.notes == ()
    for e, element in enumerate(array.elements):
        assert element.resistance_ohm == pytest.approx(array.impedance_ohm[e, e].real, rel=1e-9)


def test_each_element_alone_is_resonant():
    model = rings(elements=3, gaps=4, nodes=8)
    array = tuned()
    network = network_of(model)
    reply = reply_of(network)
    added = network.mean_loop_current.T @ reply.impedance_ohm @ network.mean_loop_current
    for e, element in enumerate(array.elements):
        own = np.flatnonzero(model.port_element == e)
        loop = (network.at(FREQUENCY_HZ) + added)[np.ix_(own, own)]
        gap = (1 / 900 - 1j) / (W * element.capacitance_f)
        loop = loop + gap * np.eye(4)
        loop[0, 0] += 0.2
        alone = 1 / np.linalg.inv(loop)[0, 0]
        assert abs(alone.imag) < 1e-6 * W * element.inductance_h
        assert element.gaps == 4


def test_currents_in_gaps_loops_and_conductors_belong_together():
    model = rings(elements=3, gaps=4, nodes=8)
    array = tuned()
    np.testing.assert_allclose(array.port_current[first_ports(model.port_element)], np.eye(3), atol=1e-14)
    np.testing.assert_allclose(array.node_current[model.port_nodes], array.port_current, atol=1e-12)
    for e in range(3):
        np.testing.assert_allclose(array.node_current[model.node_element == e].mean(axis=0), array.loop_current[e])


def test_sweep_passes_through_the_operating_point_and_resonance():
    array = tuned(coupling=0.0)
    middle = len(array.sweep_frequencies_hz) // 2
    assert array.sweep_frequencies_hz[middle] == pytest.approx(FREQUENCY_HZ, rel=1e-12)
    np.testing.assert_allclose(array.sweep_impedance_ohm[middle], array.impedance_ohm, rtol=1e-9, atol=1e-7)
    own = array.sweep_impedance_ohm[:, 0, 0].imag
    assert own[0] < 0 < own[-1]
    expected = (array.sweep_impedance_ohm[middle, 0, 0] - 50) / (array.sweep_impedance_ohm[middle, 0, 0] + 50)
    assert abs(array.sweep_scattering[middle, 0, 0] - expected) < 0.01


def test_quality_factors_are_reactance_over_resistance():
    array = tuned()
    bare = tuned(reaction=0.0)
    for element, alone in zip(array.elements, bare.elements, strict=True):
        coil_ohm = element.conductor_ohm + element.capacitor_ohm + element.other_ohm
        assert element.q_loaded == pytest.approx(W * element.inductance_h / (coil_ohm + element.body_ohm), rel=1e-12)
        # Without a body, loaded and unloaded are the same thing.
        assert element.q_unloaded == pytest.approx(alone.q_loaded, rel=1e-12)
        assert element.q_unloaded_with_radiation == pytest.approx(alone.q_loaded_with_radiation, rel=1e-9)
        assert element.q_loaded_with_radiation < element.q_loaded < element.q_unloaded
        assert element.snr_retained == pytest.approx(np.sqrt(1 - element.q_loaded / element.q_unloaded), rel=1e-12)
        figure_db = 10 * np.log10(1 + 293 * coil_ohm / (310 * element.body_ohm))
        assert element.noise_figure_db == pytest.approx(figure_db, rel=1e-12)
        assert element.q_ratio > 1


def test_taking_the_body_away_moves_the_resonance_as_its_reactance_says():
    array = tuned(coupling=0.0)
    shift_hz = array.elements[0].frequency_shift_hz
    body_reactance_ohm = reply_of(network_of(rings(elements=3, gaps=4, nodes=8))).impedance_ohm[0, 0].imag
    # X = 2 w L df/f near resonance, so losing a reactance dX moves f by f dX / (2 w L).
    expected_hz = FREQUENCY_HZ * body_reactance_ohm / (2 * W * array.elements[0].inductance_h)
    assert shift_hz == pytest.approx(expected_hz, rel=0.1)
    assert shift_hz < 0
    # What is left is the resistance's own pull on the reactance at the port, not the body's.
    assert abs(tuned(reaction=0.0, coupling=0.0).elements[0].frequency_shift_hz) < 1.0


def test_matched_scattering_is_passive_and_dark_for_uncoupled_elements():
    array = tuned()
    assert np.max(np.linalg.svd(array.matched_scattering, compute_uv=False)) < 1
    np.testing.assert_allclose(array.coupling_db, 20 * np.log10(np.abs(array.matched_scattering)))
    lone = tuned(elements=1)
    assert abs(lone.matched_scattering[0, 0]) < 1e-12


def test_both_noise_forms_at_one_temperature():
    uniform = NoiseTemperatures(
        body_temperature_k=300.0, coil_temperature_k=300.0, radiation=RadiationInNoise(wall_temperature_k=300.0)
    )
    array = tuned(temperatures=uniform)
    s = array.matched_scattering
    kt = BOLTZMANN_J_PER_K * 300
    np.testing.assert_allclose(array.matched_noise_w_per_hz / kt, np.eye(3) - s @ s.conj().T, atol=1e-9)
    np.testing.assert_allclose(
        array.open_circuit_noise_v2_per_hz / (4 * kt),
        (array.impedance_ohm + array.impedance_ohm.conj().T) / 2,
        atol=1e-9,
    )
    np.testing.assert_allclose(array.weighted_resistance_k_ohm, array.open_circuit_noise_v2_per_hz / (4 * kt / 300))


def test_better_capacitors_lose_less():
    good, bad = tuned(capacitor_q=2000.0).elements[0], tuned(capacitor_q=500.0).elements[0]
    assert bad.capacitor_ohm == pytest.approx(4 * good.capacitor_ohm, rel=1e-3)
    assert good.q_unloaded > bad.q_unloaded
    # All gap capacitors together carry the loop's reactance: R = w L / Q to the accuracy of a uniform current.
    assert good.capacitor_ohm == pytest.approx(W * good.inductance_h / 2000, rel=0.05)


def test_loss_without_a_mechanism_is_told():
    network = network_of(rings(elements=3, gaps=4, nodes=8))
    without = replace(network, radiation_matrix_ohm=0 * network.radiation_matrix_ohm)
    array = tune(without, reply_of(without), dressed=dressed(3, 4), temperatures=WARM)
    assert any("without a mechanism" in note for note in array.notes)


def test_coupling_keeps_the_sign_of_the_reactance():
    array = tuned(coupling=0.3)
    inductance_h = np.array([e.inductance_h for e in array.elements])
    expected = array.mutual_reactance_ohm[0, 1] / (W * np.sqrt(inductance_h[0] * inductance_h[1]))
    assert array.coupling[0, 1] == pytest.approx(expected)
    assert np.sign(array.mutual_reactance_ohm[0, 1]) == np.sign(array.loop_reactance_ohm[0, 1])
