"""Scans and pauses: superposition, duty, and the time to a limit."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from loopwright.ground.errors import OutsideModelError
from loopwright.heating import (
    Bodies,
    Body,
    Joint,
    PowerStep,
    bodies_response,
    mean_share,
    repeated,
    rise_under_k,
    settling_s,
    time_to_limit_s,
)

ONE = bodies_response(Bodies(bodies=(Body(name="b", heat_capacity_j_per_k=100.0, to_air_w_per_k=0.5),)), {"b": 5.0})
TWO = bodies_response(
    Bodies(
        bodies=(
            Body(name="a", heat_capacity_j_per_k=20.0, to_air_w_per_k=0.02),
            Body(name="b", heat_capacity_j_per_k=100.0, to_air_w_per_k=0.5),
        ),
        joints=(Joint(first="a", second="b", conductance_w_per_k=0.1),),
    ),
    {"a": 3.0},
)


def test_scans_and_pauses_follow_an_integration_in_time():
    steps = (*repeated((PowerStep(share=1.0, duration_s=120.0), PowerStep(share=0.0, duration_s=60.0)), 3),
             PowerStep(share=0.4, duration_s=200.0))  # fmt: skip
    edges = np.cumsum([0.0, *(step.duration_s for step in steps)])
    times = np.array([10.0, 120.0, 150.0, 400.0, 540.0, 700.0, 1000.0])

    def slope(t, rise):
        inside = np.searchsorted(edges, t, side="right") - 1
        share = steps[inside].share if inside < len(steps) else 0.0
        joint = 0.1 * (rise[0] - rise[1])
        return [(3.0 * share - 0.02 * rise[0] - joint) / 20.0, (joint - 0.5 * rise[1]) / 100.0]

    exact = solve_ivp(slope, (0, 1000), [0, 0], t_eval=times, max_step=1.0, rtol=1e-8, atol=1e-9).y
    assert rise_under_k(TWO, steps, times) == pytest.approx(exact, rel=2e-3, abs=2e-3)


def test_fast_pulses_heat_by_their_mean():
    steps = repeated((PowerStep(share=1.0, duration_s=0.2), PowerStep(share=0.0, duration_s=0.6)), 2000)
    assert mean_share(steps) == pytest.approx(0.25, rel=1e-12)
    steady = (PowerStep(share=0.25, duration_s=1600.0),)
    assert rise_under_k(ONE, steps, [1600.0]) == pytest.approx(rise_under_k(ONE, steady, [1600.0]), rel=2e-3)


def test_it_cools_behind_the_last_step():
    found = rise_under_k(ONE, (PowerStep(share=1.0, duration_s=100.0),), [100.0, 300.0])[0]
    assert found[1] / found[0] == pytest.approx(math.exp(-1), rel=1e-12)


def test_time_to_a_limit_by_its_closed_form():
    """10 K in the end, 200 s: from 34 to 41 degC in -200 ln(1 - 0.7) s."""
    assert time_to_limit_s(ONE, start_c=34.0, limit_c=41.0) == pytest.approx(-200 * math.log(0.3), rel=1e-9)
    assert math.isinf(time_to_limit_s(ONE, start_c=34.0, limit_c=44.5))
    assert time_to_limit_s(ONE, start_c=42.0, limit_c=41.0) == 0.0
    assert time_to_limit_s(ONE, start_c=41.0, limit_c=41.001) == pytest.approx(0.02, rel=1e-3)


def test_a_place_further_away_settles_later():
    near, far = settling_s(TWO.at(0)), settling_s(TWO.at(1))
    for place, time_s in enumerate((near, far)):
        way = TWO.at(place).rise_k(time_s)[0, 0] / TWO.at(place).final_rise_k()[0]
        assert way == pytest.approx(1 - math.exp(-1), rel=1e-9)
    assert far > near


def test_what_is_no_sequence_is_refused():
    with pytest.raises(OutsideModelError, match="duration"):
        rise_under_k(ONE, (), [1.0])
    with pytest.raises(OutsideModelError, match="duration"):
        mean_share((PowerStep(share=1.0, duration_s=0.0),))
    with pytest.raises(OutsideModelError, match="one place"):
        time_to_limit_s(TWO, start_c=34.0, limit_c=41.0)
