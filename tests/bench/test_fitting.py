"""Measurements are made up from the model with known differences and noise; the fit has to find them again."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.bench import MeasuredNetwork, Priors, bench_model, complaints_about, fit, turns, within
from loopwright.bench.model import Kind
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.states import RECEIVING
from made_bench import F0_HZ, circuits, port_ohm

FREQUENCIES_HZ = F0_HZ * np.linspace(0.96, 1.04, 61)


def design(elements):
    return bench_model(
        frequencies_hz=FREQUENCIES_HZ,
        frequency_hz=F0_HZ,
        port_ohm=port_ohm(elements, FREQUENCIES_HZ),
        port_element=np.repeat(np.arange(elements), 4),
        circuits=circuits(elements),
        priors=Priors(),
        reference_ohm=50.0,
    )


def measurement(model, truth, *, seed, noise=1e-3):
    rng = np.random.default_rng(seed)
    exact = model.scattering_with(truth)
    stray = rng.standard_normal(exact.shape) + 1j * rng.standard_normal(exact.shape)
    return MeasuredNetwork(name="made.s1p", frequencies_hz=FREQUENCIES_HZ, scattering=exact + noise * stray)


@pytest.mark.parametrize(("elements", "seeds"), [(1, 8), (3, 1)])
def test_what_the_bench_shows_is_found_within_its_uncertainty(elements, seeds):
    """Differences drawn from the prior, all at once: each lies within its own standard deviation as often as it should.

    Only each by itself: sharply known combinations of loosely known parts bend, and are no ellipsoid.
    """
    model = design(elements)
    scores = []
    for seed in range(seeds):
        truth = np.random.default_rng(100 + seed).standard_normal(len(model.differences))
        found = fit(model, measurement(model, truth, seed=seed))
        assert found.error == pytest.approx(1e-3, rel=0.25)
        assert found.error < 0.05 * found.design_error
        scores.append((found.values - truth) / found.deviation)
    assert 0.6 < np.sqrt(np.mean(np.square(scores))) < 1.5
    assert np.abs(scores).max() < 5


def test_the_loops_own_inductance_and_resistance_come_out():
    model = design(1)
    truth = np.zeros(len(model.differences))
    kinds = [one.kind for one in model.differences]
    truth[kinds.index(Kind.RESISTANCE)] = np.log(1.4) / 0.5
    found = fit(model, measurement(model, truth, seed=5, noise=5e-4))
    assert found.model.uniform_ohm(found.values)[0].real == pytest.approx(model.uniform_ohm(truth)[0].real, rel=0.05)


def test_mutual_reactance_of_a_cluster_comes_out():
    model = design(3)
    pairs = [at for at, one in enumerate(model.differences) if one.kind is Kind.MUTUAL]
    truth = np.zeros(len(model.differences))
    truth[pairs] = [2.0, -1.5, 1.0]
    found = fit(model, measurement(model, truth, seed=6, noise=5e-4))
    assert found.values[pairs] == pytest.approx(truth[pairs], abs=0.25)
    assert np.all(found.deviation[pairs] < 0.2)


def test_what_cannot_be_seen_keeps_the_width_of_its_prior():
    """The crossed diode's inductor hangs on a diode that blocks: one file says next to nothing about it."""
    model = design(1)
    found = fit(model, measurement(model, np.zeros(len(model.differences)), seed=7))
    at = next(n for n, one in enumerate(model.differences) if one.part == "L trap 2")
    assert found.deviation[at] > 0.95
    assert np.all(found.deviation <= 1 + 1e-9)


def test_the_first_turn_of_the_list_makes_the_true_coil_better():
    model = design(1)
    truth = np.zeros(len(model.differences))
    truth[[one.part for one in model.differences].index("C tune 4")] = 1.2
    found = fit(model, measurement(model, truth, seed=8))
    best = turns(found, wanted_ohm=[50.0 + 0j], adjustable=("C match", "C tune 4", "L series"))[0]
    assert best.part == "C tune 4"
    assert best.change == pytest.approx(1 / (1 + 1.2 * 0.05) - 1, abs=3 * best.change_deviation + 2e-3)
    assert best.reflection_after < 0.2 * best.reflection_before
    turned = model.circuits_with(truth)[0]
    part = turned.part("C tune 4")
    better = turned.with_part("C tune 4", replace(part, capacitance_f=part.capacitance_f * (1 + best.change)))

    def reflection(circuit):
        seen = array_state(port_ohm(1, np.array([F0_HZ]))[0], [circuit], [RECEIVING], frequency_hz=F0_HZ).seen_ohm[0]
        return abs((seen - 50) / (seen + 50))

    assert reflection(better) < 0.3 * reflection(turned)


def complaint(**changed):
    model = design(1)
    fields = {
        "name": "made.s1p",
        "frequencies_hz": FREQUENCIES_HZ,
        "scattering": model.scattering_with(np.zeros(len(model.differences))),
    }
    measured = MeasuredNetwork(**{**fields, **changed})
    band = (FREQUENCIES_HZ[0], FREQUENCIES_HZ[-1])
    return " | ".join(complaints_about(measured, ports=1, band_hz=band, frequency_hz=F0_HZ))


def test_a_sound_measurement_has_no_complaints():
    assert complaint() == ""


def test_what_cannot_be_used_is_told_with_a_remedy():
    assert "2 ports for 1 elements" in complaint(scattering=np.zeros((61, 2, 2), dtype=complex))
    assert "more power than it takes, 1.300" in complaint(scattering=np.full((61, 1, 1), 1.3 + 0j))
    assert "0 points" in complaint(frequencies_hz=np.linspace(60e6, 70e6, 61))
    assert "not numbers" in complaint(scattering=np.full((61, 1, 1), np.nan + 0j))


def test_many_points_are_thinned_evenly_inside_the_band():
    many = MeasuredNetwork(
        name="made", frequencies_hz=np.linspace(100e6, 150e6, 1601), scattering=np.zeros((1601, 1, 1), dtype=complex)
    )
    kept = within(many, (120e6, 130e6), most_points=41)
    assert len(kept.frequencies_hz) == 41
    assert kept.frequencies_hz[0] >= 120e6
    assert kept.frequencies_hz[-1] <= 130e6
    steps = np.diff(kept.frequencies_hz)
    assert steps.max() < 1.3 * steps.min()
