"""The closed-form ultimate of a uniform sphere against sums over every single mode, and its limits."""

import numpy as np
import pytest

from exact.ultimate import full_snr, full_wave_modes, quasi_static_modes
from loopwright.fields.ultimate_sphere import central_ultimate_t_per_a_root_ohm, ultimate_reception
from loopwright.ground.errors import OutsideModelError

HEAD = {"radius_m": 0.1, "eps_r": 60.0, "sigma_s_per_m": 0.6}
SPHERES = [
    (HEAD, 63.87e6),
    (HEAD, 298.03e6),
    ({"radius_m": 0.05, "eps_r": 78.0, "sigma_s_per_m": 0.01}, 500e6),
    ({"radius_m": 0.2, "eps_r": 80.0, "sigma_s_per_m": 0.3}, 600e6),
]


def inside(radius_m, part=0.8, count=24):
    rng = np.random.default_rng(11)
    d = rng.normal(size=(count, 3))
    points = d / np.linalg.norm(d, axis=1)[:, None] * rng.uniform(0, part * radius_m, size=(count, 1))
    points[0], points[1] = 0, (0, 0, part * radius_m)
    return points


@pytest.mark.parametrize(("sphere", "frequency_hz"), SPHERES)
@pytest.mark.parametrize("sense", [1, -1])
def test_addition_theorem_equals_the_sum_over_all_modes(sphere, frequency_hz, sense):
    points = inside(sphere["radius_m"])
    found = ultimate_reception(points, **sphere, frequency_hz=frequency_hz, tolerance=1e-10)
    modes = full_wave_modes(points, **sphere, frequency_hz=frequency_hz, degree_max=75, sense=sense)
    np.testing.assert_allclose(found.reception_t_per_a_root_ohm, full_snr(modes), rtol=1e-9)


@pytest.mark.parametrize(("sphere", "frequency_hz"), SPHERES)
def test_centre_has_a_closed_form(sphere, frequency_hz):
    found = ultimate_reception([0, 0, 0], **sphere, frequency_hz=frequency_hz)
    closed = central_ultimate_t_per_a_root_ohm(**sphere, frequency_hz=frequency_hz)
    assert found.reception_t_per_a_root_ohm[0] == pytest.approx(closed, rel=1e-12)
    assert found.degrees[0] == 1


def test_low_frequency_becomes_the_harmonic_gradients():
    f = 1e3
    points = inside(0.1)
    found = ultimate_reception(points, radius_m=0.1, eps_r=1.0, sigma_s_per_m=0.6, frequency_hz=f, tolerance=1e-10)
    modes = quasi_static_modes(points, radius_m=0.1, degree_max=75, sigma_s_per_m=0.6, frequency_hz=f)
    np.testing.assert_allclose(found.reception_t_per_a_root_ohm, full_snr(modes), rtol=1e-7)
    static = np.sqrt(15 / (4 * np.pi * 0.6 * (2 * np.pi * f) ** 2 * 0.1**5))
    assert found.reception_t_per_a_root_ohm[0] == pytest.approx(static, rel=1e-7)


def test_it_depends_on_radius_and_angle_from_z_alone():
    turned = [(0.05, 0.0, 0.03), (0.0, -0.05, 0.03), (0.04, 0.03, -0.03)]
    found = ultimate_reception(turned, **HEAD, frequency_hz=298e6).reception_t_per_a_root_ohm
    np.testing.assert_allclose(found, found[0], rtol=1e-12)


@pytest.mark.parametrize("depth_m", [0.02, 0.005, 0.0025])
def test_degrees_grow_towards_the_surface_and_keep_the_promise(depth_m):
    points = [[0, 0, 0.1 - depth_m], [0.1 - depth_m, 0, 0]]
    promised = ultimate_reception(points, **HEAD, frequency_hz=128e6, tolerance=1e-4)
    true = ultimate_reception(points, **HEAD, frequency_hz=128e6, tolerance=1e-13, degree_max=5000)
    cut = (
        full_wave_modes(points, **HEAD, frequency_hz=128e6, degree_max=int(promised.degrees.max()))
        if depth_m > 0.01
        else None
    )
    np.testing.assert_allclose(promised.reception_t_per_a_root_ohm, true.reception_t_per_a_root_ohm, rtol=1.5e-4)
    assert np.all(promised.remainder < 1e-4)
    assert np.all(promised.degrees > 0.6 * np.log(1e4) / (2 * depth_m / 0.1))
    if cut is not None:  # exactly so many degrees leave out what was said, within a factor of two
        left = 1 - full_snr(cut) / true.reception_t_per_a_root_ohm
        assert np.all(left < 2e-4)


def test_a_point_that_needs_more_degrees_says_so():
    found = ultimate_reception([[0, 0, 0.0999], [0, 0, 0.05]], **HEAD, frequency_hz=128e6, degree_max=100)
    assert found.remainder[0] > 1e-3
    assert found.degrees[0] == 100
    assert found.remainder[1] < 1e-6


def test_a_point_does_not_notice_its_neighbours():
    """Chunks of many points ordered by radius give what each point gives alone."""
    points = inside(0.1, part=0.95, count=5000)
    together = ultimate_reception(points, **HEAD, frequency_hz=128e6).reception_t_per_a_root_ohm
    alone = [ultimate_reception(p, **HEAD, frequency_hz=128e6).reception_t_per_a_root_ohm[0] for p in points[:20]]
    np.testing.assert_allclose(together[:20], alone, rtol=2e-6)


@pytest.mark.parametrize("position_m", [(0, 0, 0.1), (0.2, 0, 0)])
def test_points_outside_are_refused(position_m):
    with pytest.raises(OutsideModelError, match="not inside the sphere"):
        ultimate_reception([position_m], **HEAD, frequency_hz=128e6)


@pytest.mark.parametrize("sigma", [0.0, -1.0])
def test_a_lossless_sphere_is_refused(sigma):
    with pytest.raises(OutsideModelError, match="limited by its loss"):
        central_ultimate_t_per_a_root_ohm(radius_m=0.1, eps_r=60, sigma_s_per_m=sigma, frequency_hz=128e6)
