"""A ball at rest in a hollow ball: place and gaps in closed form."""

import numpy as np
import pytest

from film_bodies import ball, shifted
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import CrownClearance, LevelAt, rest_on_back

FORMER, PATIENT = 0.12, 0.08
PAD = 4e-3
SHELL, HEAD = ball(FORMER, around=80), shifted(ball(PATIENT, around=80), (0.3, -0.2, 0.05))
MIDDLE = np.array([0.3, -0.2, 0.05])


def rests_at(up_m):
    """Middle of the patient: as far back as leaves the pad."""
    return np.array([0.0, np.sqrt((FORMER - PATIENT - PAD) ** 2 - up_m**2), up_m])


@pytest.mark.parametrize(
    ("level", "up_m"),
    [
        (CrownClearance(clearance_m=0.02), 0.02),
        (LevelAt(patient_m=0.05, former_m=-0.01), -0.01),
    ],
)
def test_a_ball_rests_where_two_spheres_are_a_pad_apart(level, up_m):
    """Facets of 80 by 40 move walls by 0.1 mm, at the flat poles by 0.4 mm."""
    rest = rest_on_back(SHELL, HEAD, pad_m=PAD, level=level)
    assert rest.shift_m + MIDDLE == pytest.approx(rests_at(up_m), abs=2e-4)
    assert rest.least_clearance_m == pytest.approx(PAD, abs=1e-6)
    gap = np.linalg.norm(SHELL.vertices_m[rest.wall] - rests_at(up_m), axis=1) - PATIENT
    assert rest.gap_m == pytest.approx(gap, abs=4e-4)
    assert rest.area_m2.sum() == pytest.approx(4 * np.pi * FORMER**2, rel=2e-3)


def test_gaps_of_a_ball_touching_behind_are_spread_evenly_in_the_square_of_the_distance():
    """Distances squared from a place inside are even over a sphere: (A - e)^2 to (A + e)^2."""
    rest = rest_on_back(SHELL, HEAD, pad_m=PAD, level=LevelAt(patient_m=0.05, former_m=0.0))
    e = FORMER - PATIENT - PAD
    for share in (0.05, 0.5, 0.95):
        squared = (FORMER - e) ** 2 + share * ((FORMER + e) ** 2 - (FORMER - e) ** 2)
        assert rest.quantile_m(share) == pytest.approx(np.sqrt(squared) - PATIENT, abs=3e-4)


def test_below_the_opening_neither_wall_nor_patient_counts():
    """A former cut off at its equator; the neck of the patient is wider than the opening."""
    upper = SHELL.at(np.where(SHELL.vertices_m[:, 2:] < 0, SHELL.vertices_m * [1, 1, 0], SHELL.vertices_m))
    with_neck = ball(PATIENT, around=80)
    stem = with_neck.vertices_m[:, 2] < -0.06
    with_neck = with_neck.at(np.where(stem[:, None], with_neck.vertices_m * [5, 5, 1], with_neck.vertices_m))
    level = LevelAt(patient_m=0.0, former_m=0.02)
    rest = rest_on_back(upper, with_neck, pad_m=PAD, level=level, opening_m=0.0)
    assert rest.shift_m == pytest.approx(rests_at(0.02), abs=3e-4)
    assert SHELL.vertices_m[rest.wall, 2].min() > -0.01
    assert rest.area_m2.sum() == pytest.approx(2 * np.pi * FORMER**2, rel=0.01)


def test_a_patient_too_large_is_told_how_much_room_there_is():
    with pytest.raises(OutsideModelError, match=r"pad of 4\.0 mm: the best place leaves 2\.0 mm"):
        rest_on_back(ball(FORMER), ball(0.118), pad_m=PAD, level=LevelAt(patient_m=0.0, former_m=0.0))
    with pytest.raises(OutsideModelError, match="no part of the patient"):
        rest_on_back(SHELL, HEAD, pad_m=PAD, level=LevelAt(patient_m=0.0, former_m=-1.0), opening_m=0.0)
