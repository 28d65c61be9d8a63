"""Fractions are told only where the bound has settled, and there the bound is near the exact one."""

import numpy as np
import pytest

from exact.ultimate import full_snr, full_wave_modes
from loopwright.imaging.settling import MOST_CHANGE, change_of, settling_of
from shell_cases import ball, channels, solved_shell, voxel_points

SPHERE = {"radius_m": 0.084, "eps_r": 63.0, "sigma_s_per_m": 0.5, "frequency_hz": 127.74e6}


def test_the_change_is_what_the_second_half_added():
    full = np.array([2.0, 4.0, 0.0, np.nan, 1.0])
    half = np.array([1.0, 3.9, 0.0, np.nan, np.nan])
    where = np.array([True, True, True, True, True])
    np.testing.assert_allclose(change_of(half, full, where), [0.5, 0.025, np.nan, np.nan, 1.0])
    assert np.isnan(change_of(half, full, ~where)).all()


def test_voxels_that_change_too_much_are_left_out_and_counted():
    found = settling_of(np.array([0.01, 0.02, 0.04, 0.06, 0.5, np.nan]))
    assert (found.median, found.largest) == (0.02, 0.04)
    assert found.left_out == pytest.approx(2 / 5)
    nowhere = settling_of(np.array([0.2, np.nan]))
    assert nowhere.left_out == 1
    assert np.isnan(nowhere.largest)


@pytest.fixture(scope="module")
def sphere():
    """Bound over the exact ultimate of all multipoles, and the bound's change, to 0.85 of the radius."""
    body = ball(0.084, 63.0, 0.5, voxels=11, frequency_hz=SPHERE["frequency_hz"])
    reply = solved_shell(body, stand_off_m=0.0153, modes=80, relative_residual=1e-3)
    points = voxel_points(body, reply)
    inner = np.linalg.norm(points, axis=1) < 0.85 * 0.084
    full, half = (np.linalg.norm(channels(reply, modes=count), axis=0)[inner] for count in (80, 40))
    exact = full_snr(full_wave_modes(points[inner], **SPHERE, degree_max=50))
    return full / exact, change_of(half, full, np.full(full.shape, True))


def test_where_fractions_are_told_the_bound_is_near_the_exact_one(sphere):
    """Elsewhere it is not: without leaving out, fractions near the skin would be far too high."""
    of_exact, change = sphere
    told = change <= MOST_CHANGE
    assert 0.15 < told.mean() < 0.9
    np.testing.assert_allclose(of_exact[told], 1, atol=MOST_CHANGE)
    assert of_exact[~told].min() < 0.8
