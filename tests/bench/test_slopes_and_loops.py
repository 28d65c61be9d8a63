"""Slopes against differences of the whole model; loops, neighbours and doubts against what they are made from."""

from dataclasses import replace

import numpy as np
import pytest
from test_fitting import FREQUENCIES_HZ, design, measurement

from loopwright.bench import BenchFit, Kind, doubts_about, fit, fitted_loops, ports_beside_others, turns, with_load
from loopwright.bench.slopes import scattering_slopes
from loopwright.circuits.array_circuit import array_state, source_ohm
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING
from loopwright.circuits.surroundings import surroundings_ohm
from loopwright.circuits.tuned.matching import scattering
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.measuring import Others
from made_bench import F0_HZ, circuits, port_ohm


def test_slopes_are_those_of_the_whole_model():
    model = design(3)
    values = 0.7 * np.random.default_rng(3).standard_normal(len(model.differences))
    slopes = scattering_slopes(model, values)
    for at in range(len(values)):
        step = 1e-4 * (np.arange(len(values)) == at)
        expected = (model.scattering_with(values + step) - model.scattering_with(values - step)) / 2e-4
        size = np.abs(expected).max()
        assert slopes[at] == pytest.approx(expected, abs=1e-6 * size + 1e-10), model.differences[at]


def test_scattering_is_that_of_what_the_analyser_sees():
    """By the impedance matrix, receivers taken away, an independent road."""
    model = design(2)
    state = model.state_with(np.zeros(len(model.differences)))
    seen = model.scattering_with(np.zeros(len(model.differences)))
    assert seen == pytest.approx(scattering(source_ohm(state), 50.0), abs=1e-10)


def test_deviations_of_the_loops_are_those_of_draws_from_the_fit():
    model = design(2)
    truth = np.random.default_rng(11).standard_normal(len(model.differences))
    found = fit(model, measurement(model, truth, seed=4))
    loops = fitted_loops(found)
    draws = np.random.default_rng(1).multivariate_normal(found.values, found.covariance, size=600)
    z = np.array([model.loops_ohm(draw) for draw in draws])
    x = np.diagonal(z.imag, axis1=1, axis2=2)
    r = np.diagonal(z.real, axis1=1, axis2=2)
    rate = 2 * np.pi * F0_HZ
    assert loops.deviation.inductance_h == pytest.approx((x / rate).std(axis=0), rel=0.15, abs=0)
    assert loops.deviation.resistance_ohm == pytest.approx(r.std(axis=0), rel=0.15)
    assert loops.deviation.quality == pytest.approx((x / r).std(axis=0), rel=0.15)
    coupling = z[:, 0, 1].imag / np.sqrt(x[:, 0] * x[:, 1])
    assert loops.deviation.coupling[0, 1] == pytest.approx(coupling.std(), rel=0.15)
    true = model.loops_ohm(truth)
    k = true[0, 1].imag / np.sqrt(true[0, 0].imag * true[1, 1].imag)
    assert abs(loops.fitted.coupling[0, 1] - k) < 4 * loops.deviation.coupling[0, 1]
    assert abs(loops.fitted.quality[0] - true[0, 0].imag / true[0, 0].real) < 4 * loops.deviation.quality[0]


def test_others_left_open_are_left_out_in_the_order_of_the_ports():
    whole = port_ohm(3, FREQUENCIES_HZ)
    beside = ports_beside_others(whole, circuits(3), measured=(2, 0), others=Others.OPEN, frequencies_hz=FREQUENCIES_HZ)
    kept = [8, 9, 10, 11, 0, 1, 2, 3]
    assert np.array_equal(beside, whole[:, kept][:, :, kept])


def test_others_detuned_are_seen_as_the_whole_array_sees_them():
    whole = port_ohm(3, FREQUENCIES_HZ)
    beside = ports_beside_others(
        whole, circuits(3), measured=(1,), others=Others.DETUNED, frequencies_hz=FREQUENCIES_HZ
    )
    state = array_state(
        whole, circuits(3), [ACTIVELY_DETUNED, RECEIVING, ACTIVELY_DETUNED], frequency_hz=FREQUENCIES_HZ[:, None]
    )
    assert beside == pytest.approx(surroundings_ohm(state)[1], rel=1e-9)
    assert np.abs(beside - whole[:, 4:8, 4:8]).max() > 1e-3


def test_others_without_a_pin_diode_cannot_be_detuned():
    bare = tuple(
        replace(one, branches=tuple(b for b in one.branches if b.name not in {"D trap 3", "L trap 3"}))
        for one in circuits(2)
    )
    with pytest.raises(OutsideModelError, match="--others open"):
        ports_beside_others(
            port_ohm(2, FREQUENCIES_HZ),
            bare,
            measured=(0,),
            others=Others.DETUNED,
            frequencies_hz=FREQUENCIES_HZ,
        )


def test_what_strayed_too_far_is_named_with_what_to_look_at():
    model = design(1)
    truth = np.zeros(len(model.differences))
    truth[[one.kind for one in model.differences].index(Kind.RESISTANCE)] = 4.0
    measured = measurement(model, truth, seed=2)
    (said,) = doubts_about(fit(model, measured), measured, ("E7",))
    assert said.startswith("E7, resistance of the loop: 4.0 times as far")
    assert "a joint be bad" in said
    clean = measurement(model, np.zeros(len(truth)), seed=2)
    assert doubts_about(fit(model, clean), clean, ("E7",)) == ()


def test_what_the_circuit_lacks_is_told_and_widens_the_deviations():
    """A stray resonance that no part can make: the residual goes on from point to point."""
    model = design(1)
    measured = measurement(model, np.zeros(len(model.differences)), seed=2)
    stray = 0.08 / (1 + 1j * (FREQUENCIES_HZ / F0_HZ / 1.015 - 1) * 400)
    wrong = replace(measured, scattering=measured.scattering * (1 - stray[:, None, None]))
    found, clean = fit(model, wrong), fit(model, measured)
    said = " ".join(doubts_about(found, wrong, ("E1",)))
    assert "The circuit lacks something" in said or "goes on from point to point" in said
    assert found.alikeness > 0.5 > abs(clean.alikeness)
    plain = np.linalg.inv(np.eye(len(found.values)) + _information(found))
    assert np.linalg.eigvalsh(found.covariance)[0] > 4 * np.linalg.eigvalsh(plain)[0]


def _information(found: BenchFit):
    """What the points would tell if each stood for itself."""
    slopes = scattering_slopes(found.model, found.values).reshape(len(found.values), -1)
    real = np.concatenate((slopes.real, slopes.imag), axis=1) / found.error
    return real @ real.T


def test_a_coil_measured_in_air_is_turned_for_its_body():
    """Air says where the part is; on the body the same turn brings the reflection down."""
    body, in_air = design(1), design(1)
    air_ohm = in_air.port_ohm.imag * 1j + 0.03 * in_air.port_ohm.real
    in_air = replace(in_air, port_ohm=air_ohm, operation_ohm=air_ohm[30])
    truth = np.zeros(len(body.differences))
    truth[[one.part for one in body.differences].index("C tune 4")] = 1.2
    found = with_load(fit(in_air, measurement(in_air, truth, seed=9)), body.operation_ohm)
    resistance = [one.kind for one in body.differences].index(Kind.RESISTANCE)
    assert found.values[resistance] == 0
    assert found.deviation[resistance] == 1
    best = turns(found, wanted_ohm=[50.0 + 0j], adjustable=("C match", "C tune 4", "L series"))[0]
    assert best.part == "C tune 4"
    assert best.step == pytest.approx(best.value * best.change, rel=1e-9, abs=0)
    assert best.reflection_after < 0.2 * best.reflection_before


def test_least_reflection_is_least():
    model = design(1)
    truth = np.zeros(len(model.differences))
    truth[[one.part for one in model.differences].index("C match")] = 1.5
    found = fit(model, measurement(model, truth, seed=8))
    best = turns(found, wanted_ohm=[50.0 + 0j], adjustable=("C match",))[0]
    circuit = model.circuits_with(found.values)[0]
    part = circuit.part("C match")

    def reflection(farads):
        seen = array_state(
            model.operation_ohm_with(found.values),
            [circuit.with_part("C match", replace(part, capacitance_f=farads))],
            [RECEIVING],
            frequency_hz=F0_HZ,
        ).seen_ohm[0]
        return abs((seen - 50) / (seen + 50))

    assert reflection(best.wanted) == pytest.approx(best.reflection_after, rel=1e-6)
    assert reflection(best.value) == pytest.approx(best.reflection_before, rel=1e-6)
    assert min(reflection(best.wanted * f) for f in np.linspace(0.9, 1.1, 81)) >= best.reflection_after * (1 - 1e-4)
