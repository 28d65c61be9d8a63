"""Noise parameters, sources at the input and waves say the same."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from receiving_cases import random_noise

from loopwright.circuits.parts import NoiseParameters
from loopwright.circuits.receivers.amplifier_noise import (
    STANDARD_TEMPERATURE_K,
    input_noise,
    noise_complaint,
    noise_factor,
    wave_noise,
)
from loopwright.ground.constants import BOLTZMANN_J_PER_K

KT0 = BOLTZMANN_J_PER_K * STANDARD_TEMPERATURE_K


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_three_forms_give_one_noise_factor(seed):
    rng = np.random.default_rng(seed)
    noise = random_noise(rng)
    z = rng.uniform(1, 300, 20) + 1j * rng.uniform(-200, 200, 20)
    factor = noise_factor(noise, z)
    sources = input_noise(noise)
    seen = sources.voltage_v2_per_hz + np.abs(z) ** 2 * sources.current_a2_per_hz
    seen = seen + 2 * (z.conj() * sources.cross_w_per_hz).real
    assert 1 + seen / (4 * KT0 * z.real) == pytest.approx(factor, rel=1e-10)
    waves = wave_noise(noise, 75.0)
    g = (z - 75) / (z + 75)
    into = waves.towards_k + np.abs(g) ** 2 * waves.away_k + 2 * (g.conj() * waves.cross_k).real
    assert 1 + into / (1 - np.abs(g) ** 2) / STANDARD_TEMPERATURE_K == pytest.approx(factor, rel=1e-10)


def test_the_best_source_is_the_best():
    noise = NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=4.0, best_source_ohm=60 + 20j)
    least = noise_factor(noise, 60 + 20j)
    assert 10 * np.log10(least) == pytest.approx(0.5, abs=1e-12)
    around = 60 + 20j + 0.5 * np.exp(1j * np.linspace(0, 6, 12))
    assert np.all(noise_factor(noise, around) > least)


def test_a_resistor_across_the_input_is_known_by_hand():
    """100 ohm before an ideal amplifier: F = 1 + Re(Y_100)/Re(Y), approached by a best source of little resistance."""
    # i^2 = 4kT0/100, hardly any voltage: Rn |Y_opt|^2 = 1/100 and (Fmin - 1)/2 = Rn Re Y_opt.
    rn_ohm = 1e-4
    best_ohm = np.sqrt(100 * rn_ohm)
    fmin = 1 + 2 * rn_ohm / best_ohm
    noise = NoiseParameters(
        least_noise_figure_db=10 * np.log10(fmin), noise_resistance_ohm=rn_ohm, best_source_ohm=best_ohm
    )
    assert noise_factor(noise, 50.0 + 0j) == pytest.approx(1.5, rel=1e-4)
    assert noise_factor(noise, 50.0 + 50j) == pytest.approx(2.0, rel=1e-4)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((0.5, 1.0, 50.0), "Rn must be at least"),
        ((-0.1, 5.0, 50.0), "below 0 dB"),
        ((0.5, 0.0, 50.0), "greater than 0"),
        ((0.5, 5.0, 20j), "has no resistance"),
    ],
)
def test_parameters_that_no_amplifier_has_are_told(values, words):
    fmin_db, rn_ohm, best_ohm = values
    noise = NoiseParameters(least_noise_figure_db=fmin_db, noise_resistance_ohm=rn_ohm, best_source_ohm=best_ohm)
    assert words in noise_complaint(noise)


def test_the_bound_is_where_voltage_and_current_are_wholly_correlated():
    excess = 10 ** (0.05) - 1
    noise = NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=excess * 50 / 4, best_source_ohm=50.0 + 0j)
    sources = input_noise(noise)
    product = sources.voltage_v2_per_hz * sources.current_a2_per_hz
    assert abs(sources.cross_w_per_hz) ** 2 == pytest.approx(float(product), rel=1e-9, abs=0)
    assert noise_complaint(noise) is None
