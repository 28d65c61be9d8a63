"""The general source shell against published and independent ultimate values of spheres.

Lee, Sodickson, Lattanzi, Magn. Reson. Med. 80, 2256 (2018): centre (abstract read; volume and page from memory).
Wiesinger, Boesiger, Pruessmann, Magn. Reson. Med. 52, 376-390 (2004): ultimate g in the near field (abstract read).
The tables are those of test_ultimate_limits.py, evaluated from complete mode sets and closed forms. The shell knows
nothing of multipoles: small loops, voxels, the same solver as for every body. Tolerance: 2 %, the acceptance line.
"""

import numpy as np
import pytest

from exact.ultimate import full_snr, full_wave_modes, g_factor
from shell_cases import along_axis, ball, channels, solved_shell, voxel_points

X, Z = 0, 2
# Small enough for the near field (|k| a = 0.1), and of a permittivity that the solver handles at that size.
SMALL = {"radius_m": 0.01, "eps_r": 1.0, "sigma_s_per_m": 0.2, "frequency_hz": 64e6}


@pytest.mark.parametrize(
    ("radius_m", "frequency_hz", "sigma", "eps_r", "value"),
    [
        (0.084, 63.87e6, 0.40, 90, 2.2803e-6),
        (0.084, 127.74e6, 0.50, 63, 1.1720e-6),
        (0.084, 298.06e6, 0.55, 52, 9.785e-7),
        (0.065, 127.74e6, 0.50, 63, 2.0425e-6),
        (0.100, 127.74e6, 0.50, 63, 8.249e-7),
    ],
)
def test_central_ultimate(radius_m, frequency_hz, sigma, eps_r, value):
    """A6: three modes with an even field reach the centre, one per direction; they are among the first."""
    body = ball(radius_m, eps_r, sigma, voxels=15, frequency_hz=frequency_hz)
    reply = solved_shell(body, stand_off_m=0.2 * radius_m, modes=8, relative_residual=1e-3)
    centre = int(np.argmin(np.linalg.norm(voxel_points(body, reply), axis=1)))
    found = np.linalg.norm(channels(reply), axis=0)[centre]
    assert found == pytest.approx(value, rel=0.02)


@pytest.mark.long
def test_both_families_of_fields_are_there():
    """Against all multipoles, and above those without the electric kind (surface currents without charge)."""
    sphere = {"radius_m": 0.084, "eps_r": 57.0, "sigma_s_per_m": 0.5, "frequency_hz": 298.06e6}
    body = ball(0.084, 57.0, 0.5, voxels=17, frequency_hz=298.06e6)
    reply = solved_shell(body, stand_off_m=0.015, modes=120, relative_residual=1e-3)
    points = voxel_points(body, reply)
    inner = np.linalg.norm(points, axis=1) < 0.4 * 0.084
    modes = full_wave_modes(points[inner], **sphere, degree_max=30)
    found = np.linalg.norm(channels(reply), axis=0)[inner]
    np.testing.assert_allclose(found, full_snr(modes), rtol=0.02)
    magnetic_only = full_snr(modes[:, : modes.shape[1] // 2])
    assert np.max(found / magnetic_only) > 1.1


@pytest.fixture(scope="module")
def near_field():
    body = ball(0.01, 1.0, 0.2, voxels=31, frequency_hz=64e6)
    reply = solved_shell(body, stand_off_m=0.0015, spacing_m=0.001, modes=660, relative_residual=1e-3)
    return body, reply, channels(reply)


@pytest.mark.long
@pytest.mark.parametrize(("axis", "profile"), [(X, (1.132, 1.686)), (Z, (1.113, 1.587))])
def test_quasi_static_profile(near_field, axis, profile):
    """A5: r/a = 0.2 and 0.4 relative to the centre."""
    body, reply, found = near_field
    value = np.linalg.norm(along_axis(body, reply, found, axis, [0, 0.002, 0.004]), axis=0)
    np.testing.assert_allclose(value[1:] / value[0], profile, rtol=0.02)


@pytest.mark.long
@pytest.mark.parametrize(
    ("axis", "values"),
    [
        (X, {2: 1, 2.5: 1.0033, 3: 1.0355, 3.5: 1.1141, 4: 1.2392, 4.5: 1.415, 5: 1.683}),
        (Z, {2: 1, 2.5: 1.0046, 3: 1.0469, 3.5: 1.1454, 4: 1.2975, 4.5: 1.507, 5: 1.824}),
    ],
)
def test_near_field_ultimate_g_at_the_centre(near_field, axis, values):
    """A4: the object fills the field of view."""
    for factor, g in values.items():
        assert shell_g(near_field, axis, factor, 0.0) == pytest.approx(g, rel=0.02), factor


@pytest.mark.long
@pytest.mark.parametrize(("factor", "g"), [(2, 1.0010), (3, 1.0299), (4, 1.1218), (5, 1.309)])
def test_near_field_ultimate_g_half_way_out(near_field, factor, g):
    """R = 5 folds onto 0.9 a: the exact series comes within 2 % at degree 20, and so must the voxels near the skin."""
    assert shell_g(near_field, X, factor, 0.005) == pytest.approx(g, rel=0.02)


def shell_g(near_field, axis, factor, start_m):
    body, reply, found = near_field
    step = 0.02 / factor
    places = start_m + step * np.array(sorted(range(-9, 10), key=abs))
    places = places[np.abs(places) < 0.01 * (1 - 1e-9)]
    return g_factor(along_axis(body, reply, found, axis, places).T)[0]
