"""Arrays of exact loops against the exact ultimate: a bound is only a bound if nothing passes it."""

import numpy as np
import pytest

from exact.loops import Circle
from exact.spheres import LayeredSphere, noise_resistance_ohm
from exact.ultimate import (
    accelerated_snr,
    folded_points,
    full_snr,
    full_wave_modes,
    g_factor,
    optimum_snr,
    reception_of_loops,
    whitened,
)

SPHERE = {"radius_m": 0.084, "eps_r": 63.0, "sigma_s_per_m": 0.5, "frequency_hz": 127.74e6}


def thirty_two_loops(radius_m=0.1):
    """Circles about the faces of a truncated icosahedron, a closed cover of the sphere."""
    golden = (1 + np.sqrt(5)) / 2
    signs = [(s, t) for s in (1, -1) for t in (1, -1)]
    twelve = [np.roll([0, s, t * golden], turn) for turn in range(3) for s, t in signs]
    twenty = [np.roll([0, s * golden, t / golden], turn) for turn in range(3) for s, t in signs]
    twenty += [np.array([s, t, u]) for s, t in signs for u in (1, -1)]
    directions = np.array(twelve + twenty, dtype=float)
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    return [Circle(centre_m=tuple(radius_m * d), normal=tuple(d), radius_m=0.028) for d in directions]


@pytest.fixture(scope="module")
def array():
    sphere = LayeredSphere.uniform(SPHERE["radius_m"], SPHERE["eps_r"], SPHERE["sigma_s_per_m"])
    loops = thirty_two_loops()
    noise = noise_resistance_ohm(loops, sphere, SPHERE["frequency_hz"], 60)
    return loops, sphere, noise


def test_loops_cover_the_sphere_evenly():
    centres = np.array([loop.centre_m for loop in thirty_two_loops()])
    apart = np.linalg.norm(centres[:, None] - centres[None], axis=-1) + np.eye(32)
    assert np.sum(centres, axis=0) == pytest.approx(0, abs=1e-12)
    assert apart.min() > 0.055


def test_thirty_two_lossless_loops_come_close_at_the_centre_and_nowhere_pass(array):
    loops, sphere, noise = array
    line = np.linspace(0, 0.074, 9)[:, None]
    points = np.concatenate([line * d for d in np.array([[1, 0, 0], [0, 0, 1], [0.6, -0.48, 0.64]])])
    found = optimum_snr(reception_of_loops(loops, sphere, SPHERE["frequency_hz"], points, degree_max=60), noise)
    ultimate = full_snr(full_wave_modes(points, **SPHERE, degree_max=75))
    assert np.all(found < ultimate * (1 + 1e-9))
    assert found[0] > 0.98 * ultimate[0]
    assert found[8] < 0.9 * ultimate[8]


@pytest.mark.parametrize("factor", [2, 3, 4])
def test_accelerated_snr_stays_below_the_accelerated_ultimate(array, factor):
    loops, sphere, noise = array
    for start in ([0, 0, 0], [0.03, 0.02, 0.01], [0.05, -0.03, 0.04]):
        points = folded_points(np.array(start, float), axis=0, factor=factor, field_of_view_m=0.168, radius_m=0.08)
        s = reception_of_loops(loops, sphere, SPHERE["frequency_hz"], points, degree_max=60)
        modes = full_wave_modes(points, **SPHERE, degree_max=75)
        assert np.all(accelerated_snr(whitened(s, noise)) < accelerated_snr(modes) * (1 + 1e-9))
        assert np.all(g_factor(modes) > 1 - 1e-12)


def test_the_other_sense_is_the_mirror_image(array):
    """Reversing B0 maps the array on its mirror image in a plane through z: the sphere's map in the plane stays."""
    loops, sphere, noise = array
    points = np.array([[0.03, 0.0, 0.02], [0.05, 0.0, -0.01]])
    mirrored = points * [1, -1, 1]
    f = SPHERE["frequency_hz"]
    plus = optimum_snr(reception_of_loops(loops, sphere, f, points, sense=1, degree_max=40), noise)
    minus = optimum_snr(reception_of_loops(loops, sphere, f, mirrored, sense=-1, degree_max=40), noise)
    np.testing.assert_allclose(plus, minus, rtol=1e-6)
