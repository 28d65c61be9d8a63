import numpy as np
import pytest
from scipy.constants import pi

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.outlines import circle_outline_m
from loopwright.layouts.windings import bent_on_cylinder_m, ellipse_of_length_m, places_along, wound_circle_m


def length_m(vertices_m):
    return np.linalg.norm(np.roll(vertices_m, -1, axis=0) - vertices_m, axis=1).sum()


def area_m2(vertices_m):
    x, y = vertices_m[:, 0], vertices_m[:, 1]
    return (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2


def test_one_turn_is_the_circle_of_the_layouts():
    flat = wound_circle_m(0.08, segments=24)
    assert flat[:, :2] == pytest.approx(circle_outline_m(0.08, segments=24), abs=1e-15)
    assert not flat[:, 2].any()


@pytest.mark.parametrize("turns", [2, 3, 4])
def test_neighbouring_turns_lie_a_pitch_apart(turns):
    wire = wound_circle_m(0.08, segments=48 * turns, turns=turns, pitch_m=4e-3)
    at_one_angle = wire[::48]
    apart = np.linalg.norm(at_one_angle[:, None] - at_one_angle, axis=2)
    assert np.min(apart[apart > 0]) == pytest.approx(4e-3, rel=1e-9)
    assert area_m2(wire) / turns == pytest.approx(pi * 0.04**2, rel=0.01)


def test_turns_without_distance_are_refused():
    with pytest.raises(OutsideModelError, match="pitch"):
        wound_circle_m(0.08, segments=96, turns=2)


@pytest.mark.parametrize("axis_ratio", [1.0, 0.7, 0.3])
def test_an_ellipse_keeps_its_length_and_is_as_slim_as_asked(axis_ratio):
    drawn = ellipse_of_length_m(0.25, axis_ratio=axis_ratio, segments=400)
    assert length_m(drawn) == pytest.approx(0.25, rel=1e-4)
    assert np.ptp(drawn[:, 1]) / np.ptp(drawn[:, 0]) == pytest.approx(axis_ratio, rel=1e-3)
    assert area_m2(drawn) > 0


def test_bending_keeps_the_length():
    flat = wound_circle_m(0.08, segments=400)
    assert length_m(bent_on_cylinder_m(flat, 0.05)) == pytest.approx(length_m(flat), rel=1e-4)
    assert np.linalg.norm(bent_on_cylinder_m(flat, 0.05)[:, [0, 2]] + [0, 0.05], axis=1) == pytest.approx(0.05)


def test_places_run_from_nought_to_one():
    square = np.array([[0.0, 0, 0], [3, 0, 0], [3, 1, 0], [0, 1, 0]])
    assert places_along(square) == pytest.approx([0, 3 / 8, 4 / 8, 7 / 8])
