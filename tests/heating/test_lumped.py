"""Whole bodies: closed forms, the exponential of the matrix, bodies that nothing cools."""

import numpy as np
import pytest
from scipy.linalg import expm

from loopwright.ground.errors import OutsideModelError
from loopwright.heating import (
    Bodies,
    Body,
    Joint,
    Outside,
    bodies_response,
    box_body,
    preamplifier_power_w,
    settling_s,
    steady_rise_k,
    warmed_outside,
)


def test_one_pad_rises_by_power_over_area_and_settles_by_mass_over_area():
    """16 preamplifiers of 10 V and 15 mA, 2.4 W, in a pad of 0.1 m^2 and 0.8 kg."""
    power = preamplifier_power_w(16, supply_v=10.0, supply_a=0.015)
    assert power == pytest.approx(2.4, rel=1e-14)
    pad = box_body("pad", area_m2=0.1, mass_kg=0.8, heat_capacity_j_per_kg_k=1400.0, transfer_w_per_m2_k=9.0)
    bodies = Bodies(bodies=(pad,))
    assert steady_rise_k(bodies, {"pad": power})["pad"] == pytest.approx(2.4 / 0.9, rel=1e-14)
    response = bodies_response(bodies, {"pad": power})
    tau = 0.8 * 1400 / 0.9
    t = np.array([0.0, 60.0, tau, 5000.0])
    assert response.rise_k(t)[0] == pytest.approx(2.4 / 0.9 * (1 - np.exp(-t / tau)), rel=1e-13)
    assert settling_s(response) == pytest.approx(tau, rel=1e-9)
    assert 1 / response.rates_per_s[0] == pytest.approx(tau, rel=1e-13)


THREE = Bodies(
    bodies=(
        Body(name="trap", heat_capacity_j_per_k=15.0, to_air_w_per_k=0.01),
        Body(name="box", heat_capacity_j_per_k=120.0, to_air_w_per_k=0.2),
        Body(name="pad", heat_capacity_j_per_k=900.0, to_air_w_per_k=0.7),
    ),
    joints=(
        Joint(first="trap", second="box", conductance_w_per_k=0.03),
        Joint(first="pad", second="box", conductance_w_per_k=0.05),
    ),
)
POWERS = {"trap": 0.5, "box": 2.4}


def test_three_bodies_follow_the_exponential_of_their_matrix():
    conductances = np.array([[0.04, -0.03, 0], [-0.03, 0.28, -0.05], [0, -0.05, 0.75]])
    rates = -conductances / np.array([[15.0], [120.0], [900.0]])
    drive = np.array([0.5 / 15, 2.4 / 120, 0.0])
    response = bodies_response(THREE, POWERS)
    for t in (1.0, 100.0, 3000.0):
        exact = np.linalg.solve(rates, (expm(rates * t) - np.eye(3)) @ drive)
        assert response.rise_k(t)[:, 0] == pytest.approx(exact, rel=1e-11)


def test_all_heat_reaches_the_air_and_the_end_is_the_steady_state():
    rises = steady_rise_k(THREE, POWERS)
    assert 0.01 * rises["trap"] + 0.2 * rises["box"] + 0.7 * rises["pad"] == pytest.approx(2.9, rel=1e-13)
    assert bodies_response(THREE, POWERS).final_rise_k() == pytest.approx(list(rises.values()), rel=1e-12)


def test_what_stays_is_what_came_less_what_left():
    response = bodies_response(THREE, POWERS)
    t = 700.0
    stored = np.array([15.0, 120.0, 900.0]) @ response.rise_k(t)[:, 0]
    left = np.array([0.01, 0.2, 0.7]) @ response.integral_k_s(t)[:, 0]
    assert stored + left == pytest.approx(2.9 * t, rel=1e-12)


def test_the_integral_of_the_rise_at_any_time():
    """1 W into 1 J/K that cools at 1 W/K: t - 1 + exp(-t), early on t^2 / 2 - t^3 / 6 + t^4 / 24."""
    body = Bodies(bodies=(Body(name="b", heat_capacity_j_per_k=1.0, to_air_w_per_k=1.0),))
    early, late = np.array([1e-6, 1e-5, 9e-5]), np.array([0.01, 1.0, 30.0])
    response = bodies_response(body, {"b": 1.0})
    series = early**2 / 2 - early**3 / 6 + early**4 / 24
    assert response.integral_k_s(early)[0] == pytest.approx(series, rel=1e-9, abs=0)
    assert response.integral_k_s(late)[0] == pytest.approx(late - 1 + np.exp(-late), rel=1e-9, abs=0)


def test_two_joints_between_the_same_bodies_add():
    single = Bodies(bodies=THREE.bodies[:2], joints=(Joint(first="trap", second="box", conductance_w_per_k=0.03),))
    double = Bodies(
        bodies=THREE.bodies[:2],
        joints=(
            Joint(first="trap", second="box", conductance_w_per_k=0.01),
            Joint(first="box", second="trap", conductance_w_per_k=0.02),
        ),
    )
    assert steady_rise_k(double, POWERS) == pytest.approx(steady_rise_k(single, POWERS), rel=1e-14)


def test_a_body_that_nothing_cools_warms_by_power_over_capacity():
    still = Bodies(bodies=(Body(name="block", heat_capacity_j_per_k=50.0, to_air_w_per_k=0.0),))
    response = bodies_response(still, {"block": 2.0})
    assert response.rise_k([10.0, 1000.0])[0] == pytest.approx([0.4, 40.0], rel=1e-13)
    assert response.integral_k_s([10.0])[0] == pytest.approx([2.0], rel=1e-13)
    assert np.isinf(response.final_rise_k()[0])
    assert np.isinf(settling_s(response))
    with pytest.raises(OutsideModelError, match="no way to the air"):
        steady_rise_k(still, {"block": 2.0})


def test_a_local_model_inside_the_coil_has_warmer_surroundings():
    outside = warmed_outside(Outside(temperature_c=22.0, transfer_w_per_m2_k=9.0), 2.5)
    assert (outside.temperature_c, outside.transfer_w_per_m2_k) == (24.5, 9.0)


def test_bodies_that_could_not_be_are_refused():
    body = THREE.bodies[0]
    with pytest.raises(OutsideModelError, match="name of its own"):
        Bodies(bodies=(body, body))
    with pytest.raises(OutsideModelError, match="no joint"):
        Bodies(bodies=(body,), joints=(Joint(first="trap", second="lid", conductance_w_per_k=1.0),))
    with pytest.raises(OutsideModelError, match="heat capacity"):
        Bodies(bodies=(Body(name="ghost", heat_capacity_j_per_k=0.0, to_air_w_per_k=1.0),))
    with pytest.raises(OutsideModelError, match="must not be negative"):
        Bodies(bodies=THREE.bodies, joints=(Joint(first="trap", second="box", conductance_w_per_k=-1.0),))
    with pytest.raises(OutsideModelError, match="no body lid"):
        bodies_response(THREE, {"lid": 1.0})
