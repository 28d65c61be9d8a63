"""What must hold of noise whatever the array: passivity, one covariance in two forms, lossless networks are free."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.ring_model import body, rings
from loopwright.circuits.tuned.element_ports import body_port_impedance_ohm, close_gaps
from loopwright.circuits.tuned.matching import match_elements, noise_wave_matrix, scattering
from loopwright.circuits.tuned.noise import (
    NoiseTemperatures,
    RadiationInNoise,
    RadiationOutsideNoise,
    noise_correlation,
    open_circuit_covariance_v2,
    wave_covariance_w,
)
from loopwright.circuits.tuned.resistances import Resistances, port_resistances, refer_resistances
from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.imaging.snr import optimum_sensitivity, root_sum_of_squares_sensitivity

CASES = settings(max_examples=25, derandomize=True, deadline=None)
SEEDS = st.integers(0, 2**32 - 1)


def complex_normal(rng, *shape):
    return rng.normal(size=shape) + 1j * rng.normal(size=shape)


def one_array(seed, elements=4, gaps=3):
    """Resistances by mechanism and impedance of a made-up array with its gaps closed."""
    frequency_hz = 123.2e6
    model = rings(elements=elements, gaps=gaps, nodes=9, seed=seed)
    ports_ohm, node_current = model.ports(frequency_hz)
    u = model.mean(node_current)
    reaction, absorbed = body(elements, seed=seed + 1)
    loads = 0.05 - 1j * np.full(len(model.port_nodes), 40.0)
    closed = close_gaps(ports_ohm + body_port_impedance_ohm(reaction, u), loads, port_element=model.port_element)
    open_gaps = port_resistances(
        node_current=node_current,
        loss_matrix_ohm=model.loss_ohm,
        radiation_matrix_ohm=model.radiation_ohm * (frequency_hz / 1e8) ** 4,
        source_per_port_current=u,
        body_impedance_ohm=reaction,
        body_noise_resistance_ohm=absorbed,
    )
    referred = refer_resistances(open_gaps, closed.port_current, capacitor_ohm=loads.real, other_ohm=0 * loads.real)
    return closed.impedance_ohm, referred


@CASES
@given(seed=st.integers(0, 500))
def test_mechanisms_add_up_to_the_hermitian_part(seed):
    z, split = one_array(seed)
    hermitian = (z + z.conj().T) / 2
    assert np.max(np.abs(split.total_ohm - hermitian)) <= 1e-9 * np.max(np.abs(hermitian))


@CASES
@given(seed=st.integers(0, 200))
def test_every_loss_is_hermitian_and_gives_no_power(seed):
    _, split = one_array(seed)
    for matrix in (split.body_ohm, split.conductor_ohm, split.capacitor_ohm):
        np.testing.assert_allclose(matrix, matrix.conj().T, atol=1e-12)
        assert np.linalg.eigvalsh(matrix)[0] > -1e-12


@CASES
@given(seed=st.integers(0, 200))
def test_passive_at_every_port(seed):
    z, _ = one_array(seed)
    for s in (scattering(z, 50.0), scattering(*match_elements(z))):
        assert np.max(np.linalg.svd(s, compute_uv=False)) < 1


@CASES
@given(seed=st.integers(0, 200), temperature_k=st.floats(4, 400))
def test_one_temperature_gives_bosma_waves(seed, temperature_k):
    z, split = one_array(seed)
    matched_ohm, reference_ohm = match_elements(z)
    warm = NoiseTemperatures(
        body_temperature_k=temperature_k,
        coil_temperature_k=temperature_k,
        radiation=RadiationInNoise(wall_temperature_k=temperature_k),
    )
    waves = wave_covariance_w(open_circuit_covariance_v2(split, warm), noise_wave_matrix(matched_ohm, reference_ohm))
    s = scattering(matched_ohm, reference_ohm)
    kt = BOLTZMANN_J_PER_K * temperature_k
    np.testing.assert_allclose(waves / kt, np.eye(len(s)) - s @ s.conj().T, atol=1e-12)


def test_radiation_stays_outside_unless_asked():
    _, split = one_array(3)
    warm = {"body_temperature_k": 310.0, "coil_temperature_k": 293.0}
    outside = open_circuit_covariance_v2(split, NoiseTemperatures(**warm))
    default = open_circuit_covariance_v2(split, NoiseTemperatures(**warm, radiation=RadiationOutsideNoise()))
    cold_walls = open_circuit_covariance_v2(
        split, NoiseTemperatures(**warm, radiation=RadiationInNoise(wall_temperature_k=0.0))
    )
    by_hand = 4 * BOLTZMANN_J_PER_K * (310 * split.body_ohm + 293 * split.coil_ohm)
    for found in (outside, default, cold_walls):
        np.testing.assert_allclose(found, by_hand, rtol=1e-13)
    twice = open_circuit_covariance_v2(split, NoiseTemperatures(**warm), bandwidth_hz=2.0)
    np.testing.assert_allclose(twice, 2 * by_hand, rtol=1e-13)


def test_covariance_keeps_the_order_of_indices():
    """Psi_ij = <n_i n_j*>: noise of random currents in a lossy medium, as reciprocity receives it."""
    rng = np.random.default_rng(8)
    fields = complex_normal(rng, 3, 40)  # E_i at cells of unit volume and conductivity, per unit current
    currents = complex_normal(rng, 40, 200_000) / np.sqrt(2)  # Johnson currents of unit variance
    voltages = fields @ currents  # reciprocity: no conjugate
    sampled = voltages @ voltages.conj().T / currents.shape[1]
    np.testing.assert_allclose(sampled, fields @ fields.conj().T, atol=0.02 * np.max(np.abs(sampled)))
    none = np.zeros((3, 3), dtype=complex)
    absorbed = fields @ fields.conj().T
    split = port_resistances(
        node_current=np.eye(3, dtype=complex),
        loss_matrix_ohm=none.real,
        radiation_matrix_ohm=none.real,
        source_per_port_current=np.eye(3, dtype=complex),
        body_impedance_ohm=absorbed.real.astype(complex),
        body_noise_resistance_ohm=absorbed,
    )
    # Recombining the elements by complex currents recombines the voltages by the same numbers.
    weights = complex_normal(rng, 3, 3)
    referred = refer_resistances(split, weights, capacitor_ohm=np.zeros(3), other_ohm=np.zeros(3))
    mixed = weights.T @ voltages
    again = mixed @ mixed.conj().T / currents.shape[1]
    np.testing.assert_allclose(again, referred.body_ohm, atol=0.02 * np.max(np.abs(again)))
    np.testing.assert_allclose(referred.body_ohm, weights.T @ absorbed @ weights.conj(), rtol=1e-12)


@CASES
@given(seed=SEEDS, elements=st.integers(1, 8))
def test_optimum_snr_survives_any_invertible_noiseless_network(seed, elements):
    """Architecture's convention test: signal and noise pass the same network, phases at random."""
    rng = np.random.default_rng(seed)
    root = complex_normal(rng, elements, elements)
    noise = root @ root.conj().T + np.eye(elements)
    signal = complex_normal(rng, elements, 20)
    left, right = (np.linalg.qr(complex_normal(rng, elements, elements))[0] for _ in range(2))
    network = left * rng.uniform(0.1, 10, elements) @ right * np.exp(2j * np.pi * rng.random(elements))
    before = optimum_sensitivity(signal, noise)
    after = optimum_sensitivity(network @ signal, network @ noise @ network.conj().T)
    np.testing.assert_allclose(after, before, rtol=1e-10)


@CASES
@given(seed=st.integers(0, 300))
def test_optimum_snr_survives_a_lossless_reactive_network_and_any_load_without_noise(seed):
    """A physical one: a 2E-port of random reactances behind the array, then noiseless loads (amplifiers)."""
    rng = np.random.default_rng(seed)
    z, split = one_array(seed)
    elements = len(z)
    noise = open_circuit_covariance_v2(split, NoiseTemperatures(body_temperature_k=310, coil_temperature_k=293))
    signal = complex_normal(rng, elements, 10)
    before = optimum_sensitivity(signal, noise)
    x = rng.normal(size=(2 * elements, 2 * elements)) * 5 + 10 * np.eye(2 * elements)
    network = 1j * (x + x.T) / 2
    inside, through = network[:elements, :elements], network[elements:, :elements]
    behind = through @ np.linalg.inv(z + inside)
    out_ohm = network[elements:, elements:] - behind @ through.T
    load = np.diag(rng.uniform(0.5, 5, elements))
    transfer = load @ np.linalg.inv(out_ohm + load) @ behind
    np.testing.assert_allclose(
        optimum_sensitivity(transfer @ signal, transfer @ noise @ transfer.conj().T), before, rtol=1e-9
    )


@CASES
@given(seed=st.integers(0, 200))
def test_both_noise_forms_hold_the_same_snr(seed):
    rng = np.random.default_rng(seed)
    z, split = one_array(seed)
    noise = open_circuit_covariance_v2(split, NoiseTemperatures(body_temperature_k=310, coil_temperature_k=293))
    waves = noise_wave_matrix(*match_elements(z))
    signal = complex_normal(rng, len(z), 15)
    np.testing.assert_allclose(
        optimum_sensitivity(waves @ signal, wave_covariance_w(noise, waves)),
        optimum_sensitivity(signal, noise),
        rtol=1e-10,
    )


@CASES
@given(seed=SEEDS)
def test_no_combination_beats_the_optimum(seed):
    rng = np.random.default_rng(seed)
    root = complex_normal(rng, 5, 5)
    noise = root @ root.conj().T + 0.1 * np.eye(5)
    signal = complex_normal(rng, 5, 1)
    best = optimum_sensitivity(signal, noise)[0]
    weights = complex_normal(rng, 5, 30)
    tried = np.abs(weights.conj().T @ signal)[:, 0] / np.sqrt(
        np.einsum("ik,ij,jk->k", weights.conj(), noise, weights).real
    )
    assert np.max(tried) <= best * (1 + 1e-12)
    assert root_sum_of_squares_sensitivity(signal, noise)[0] <= best * (1 + 1e-12)
    own = np.linalg.solve(noise, signal)[:, 0]
    reached = abs(own.conj() @ signal[:, 0]) / np.sqrt((own.conj() @ noise @ own).real)
    np.testing.assert_allclose(reached, best, rtol=1e-10)


def test_correlation_of_a_covariance():
    covariance = np.array([[4.0, 1 + 1j], [1 - 1j, 9.0]])
    np.testing.assert_allclose(noise_correlation(covariance), [[1, (1 + 1j) / 6], [(1 - 1j) / 6, 1]])


def test_coil_is_what_is_neither_body_nor_radiation():
    ones = np.eye(2, dtype=complex)
    split = Resistances(
        body_ohm=ones, conductor_ohm=2 * ones, capacitor_ohm=3 * ones, other_ohm=4 * ones, radiation_ohm=5 * ones
    )
    np.testing.assert_allclose(split.coil_ohm, 9 * ones)
    np.testing.assert_allclose(split.total_ohm, 15 * ones)
