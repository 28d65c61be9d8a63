"""The exact sphere, checked against everything that does not come from the same formulas."""

import miepython
import numpy as np
import pytest
from scipy.constants import c, epsilon_0, mu_0

from exact import quasi_static
from exact.cases import FREQUENCIES_HZ, layered_case, uniform_case
from exact.loops import Circle, Polygon, coax_loop, free_space_fields, free_space_impedance_ohm, side_loop
from exact.plane_wave import plane_wave_absorption_efficiency, plane_wave_fields_inside
from exact.spheres import (
    LayeredSphere,
    absorbed_power_by_layer_w,
    absorbed_power_w,
    couple,
    fields_inside,
    fields_of_loops_inside,
    fields_outside,
    noise_resistance_ohm,
    radiation_resistance_ohm,
    reaction_fields_outside,
    reaction_impedance_ohm,
)

VACUUM = LayeredSphere((0.06, 0.1), (1.0, 1.0), (0.0, 0.0))
OBLIQUE = Circle(centre_m=(0.09, -0.07, 0.06), normal=(1, -0.4, 0.8), radius_m=0.035)
SQUARE = Polygon(vertices_m=np.array([[0.04, 0.0, 0.12], [0.04, 0.07, 0.12], [-0.03, 0.07, 0.12], [-0.03, 0, 0.12]]))
LOOPS = [coax_loop(), side_loop(), OBLIQUE, SQUARE]


def points_within(radius, count=30, inner=0.0, rng_key=0):
    rng = np.random.default_rng(rng_key)
    direction = rng.normal(size=(count, 3))
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    return direction * rng.uniform(inner, radius, size=(count, 1))


def relative(found, expected):
    return np.linalg.norm(found - expected) / np.linalg.norm(expected)


# ------------------------------------------------------------------------------------------------ known limits


@pytest.mark.parametrize("loop", LOOPS)
@pytest.mark.parametrize("megahertz", [1, 128, 600])
def test_sphere_of_vacuum_leaves_the_loop_alone(loop, megahertz):
    points = points_within(0.08)
    points[0] = 0
    E, B = fields_inside(loop, VACUUM, megahertz * 1e6, points)
    E0, B0 = free_space_fields(loop, megahertz * 1e6, points)
    assert relative(E, E0) < 1e-8
    assert relative(B, B0) < 1e-8
    reaction = reaction_impedance_ohm([loop], VACUUM, megahertz * 1e6)
    assert abs(reaction[0, 0]) < 1e-14 * 2 * np.pi * megahertz * 1e6 * mu_0 * 0.04


@pytest.mark.parametrize(
    ("sphere_radius_m", "loop_radius_m", "height_m", "frequency_hz", "resistance_ohm"),
    [  # derived and evaluated independently with 40 digits
        (0.085, 0.040, 0.090, 127.74e6, 1.817072),
        (0.085, 0.040, 0.095, 127.74e6, 1.281176),
        (0.090, 0.050, 0.100, 63.87e6, 0.554059),
        (0.100, 0.120, 0.000, 63.87e6, 9.712192),
    ],
)
def test_low_frequency_gives_the_quasi_static_coaxial_loop(
    sphere_radius_m, loop_radius_m, height_m, frequency_hz, resistance_ohm
):
    """The full wave is solved at a ten-thousandth of the frequency and scaled back by its square."""
    loop = Circle(centre_m=(0, 0, height_m), normal=(0, 0, 1), radius_m=loop_radius_m)
    sphere = LayeredSphere.uniform(sphere_radius_m, 1.0, 0.5)
    found = 1e8 * noise_resistance_ohm([loop], sphere, frequency_hz * 1e-4)[0, 0]
    assert found == pytest.approx(resistance_ohm, rel=1e-6)
    series = quasi_static.coaxial_loop_resistance_ohm(
        sphere_radius_m=sphere_radius_m,
        loop_radius_m=loop_radius_m,
        height_m=height_m,
        sigma_s_per_m=0.5,
        frequency_hz=frequency_hz,
    )
    assert series == pytest.approx(resistance_ohm, rel=1e-6)


def test_large_loop_pair_gives_the_uniform_field_power():
    """pi sigma omega^2 B^2 a^5/15, 0.6745935 W for 1 uT in 0.1 m of 0.5 S/m at 127.74 MHz; a 20 m pair at 1 kHz."""
    pair = [Circle(centre_m=(0, 0, z), normal=(0, 0, 1), radius_m=20.0) for z in (-10.0, 10.0)]
    sphere, f = LayeredSphere.uniform(0.1, 1.0, 0.5), 1e3
    B = (4 / 5) ** 1.5 * mu_0 / 20
    power = 0.5 * np.sum(noise_resistance_ohm(pair, sphere, f, 10)).real
    closed = quasi_static.uniform_field_power_in_sphere_w(
        field_peak_t=1e-6, radius_m=0.1, sigma_s_per_m=0.5, frequency_hz=127.74e6
    )
    assert closed == pytest.approx(0.6745935, rel=1e-6)
    assert power * (1e-6 / B * 127.74e6 / f) ** 2 == pytest.approx(closed, rel=2e-6)
    points = points_within(0.1)
    E, _ = fields_of_loops_inside(pair, sphere, f, points, 10)
    linear = quasi_static.uniform_field_electric_field_v_per_m(points, field_peak_t=(0, 0, B), frequency_hz=f)
    assert relative(E.sum(axis=0), linear) < 1e-5


def test_plane_wave_in_vacuum_is_itself():
    points, f = points_within(0.1), 500e6
    E, B = plane_wave_fields_inside(VACUUM, f, points)
    wave = np.exp(-2j * np.pi * f / c * points[:, 2])
    np.testing.assert_allclose(E, wave[:, None] * [1, 0, 0], atol=1e-12)
    np.testing.assert_allclose(B * c, wave[:, None] * [0, 1, 0], atol=1e-12)


@pytest.mark.parametrize("frequency_hz", [63.87e6, 127.74e6, 298.03e6, 900e6])
def test_plane_wave_absorption_agrees_with_a_mie_library(frequency_hz):
    """The library's index is n - ik, as ours."""
    k0 = 2 * np.pi * frequency_hz / c
    index = uniform_case().wavenumbers(frequency_hz)[0] / k0
    q_ext, q_sca, _, _ = miepython.efficiencies_mx(index, k0 * 0.1)
    assert plane_wave_absorption_efficiency(uniform_case(), frequency_hz) == pytest.approx(q_ext - q_sca, rel=1e-9)


@pytest.mark.parametrize("megahertz", [64, 128, 298])
@pytest.mark.parametrize("case", ["mf", "sfm", "csf"])
def test_plane_wave_absorption_agrees_with_a_library_for_layered_spheres(case, megahertz):
    """The library writes exp(-i omega t): its refractive index is the conjugate of ours."""
    scattnlay = pytest.importorskip("scattnlay", reason="needs a C++ compiler to install")
    f = FREQUENCIES_HZ[megahertz]
    sphere = layered_case(case, megahertz)
    k0 = 2 * np.pi * f / c
    library = scattnlay.scattnlay(k0 * np.array([sphere.radii_m]), (sphere.wavenumbers(f).conj() / k0)[None])
    assert plane_wave_absorption_efficiency(sphere, f) == pytest.approx(library[3][0], rel=1e-9)


def test_layers_of_one_tissue_are_one_sphere():
    layered = LayeredSphere((0.03, 0.08, 0.1), (60.0,) * 3, (0.6,) * 3)
    points = points_within(0.1)
    for found, expected in zip(
        fields_inside(OBLIQUE, layered, 298e6, points),
        fields_inside(OBLIQUE, uniform_case(), 298e6, points),
        strict=True,
    ):
        assert relative(found, expected) < 1e-11


# --------------------------------------------------------------------------------------------- Maxwell's equations


def _field_and_curl(field, points, h=5e-4):
    """A field at the points and its curl by fourth-order central differences; field maps (n, 3) to (n, 3)."""
    shifts = [(0.0, 0)] + [(step, axis) for axis in range(3) for step in (-2 * h, -h, h, 2 * h)]
    moved = np.concatenate([points + step * np.eye(3)[axis] for step, axis in shifts])
    F = field(moved).reshape(13, *points.shape)
    d = np.stack([(8 * (s[2] - s[1]) - s[3] + s[0]) / (12 * h) for s in F[1:].reshape(3, 4, *points.shape)])
    return F[0], np.stack([d[1, :, 2] - d[2, :, 1], d[2, :, 0] - d[0, :, 2], d[0, :, 1] - d[1, :, 0]], axis=-1)


@pytest.mark.parametrize("layer", [0, 1, 3])
def test_maxwell_inside(layer):
    sphere, f = layered_case("csf", 298), FREQUENCIES_HZ[298]
    edges = (0.0, *sphere.radii_m)
    points = points_within(edges[layer + 1] - 1.2e-3, inner=edges[layer] + 1.2e-3, count=20)
    omega = 2 * np.pi * f
    eps = epsilon_0 * sphere.eps_r[layer] - 1j * sphere.sigma_s_per_m[layer] / omega
    E, curl_E = _field_and_curl(lambda p: fields_inside(OBLIQUE, sphere, f, p)[0], points)
    B, curl_B = _field_and_curl(lambda p: fields_inside(OBLIQUE, sphere, f, p)[1], points)
    assert relative(curl_E, -1j * omega * B) < 1e-4
    assert relative(curl_B, 1j * omega * mu_0 * eps * E) < 1e-4


def _split(v, normal):
    radial = np.sum(v * normal, axis=1, keepdims=True)
    return radial, v - radial * normal


def test_fields_pass_through_every_interface():
    """The wire is 30 mm off, so that 80 degrees have converged on the outer surface too."""
    sphere, f = layered_case("csf", 128), FREQUENCIES_HZ[128]
    omega = 2 * np.pi * f
    loop = side_loop(gap_m=0.03, normal=(0.2, 1, -0.5))
    eps = [epsilon_0 * e - 1j * s / omega for e, s in zip(sphere.eps_r, sphere.sigma_s_per_m, strict=True)]
    normal = points_within(1.0, inner=1.0)
    for i, radius in enumerate(sphere.radii_m):
        E1, B1 = fields_inside(loop, sphere, f, normal * radius * (1 - 1e-9))
        outer = normal * radius * (1 + 1e-9)
        last = i == len(eps) - 1
        E2, B2 = fields_outside(loop, sphere, f, outer) if last else fields_inside(loop, sphere, f, outer)
        (En1, Et1), (En2, Et2) = _split(E1, normal), _split(E2, normal)
        assert relative(Et1, Et2) < 1e-6
        assert relative(B1, B2) < 1e-6
        assert relative(eps[i] * En1, (epsilon_0 if last else eps[i + 1]) * En2) < 1e-6


# ------------------------------------------------------------------------------- reciprocity, energy and convergence


@pytest.mark.parametrize("megahertz", [64, 298])
def test_reaction_is_symmetric_and_the_line_integral_of_the_reaction_field(megahertz):
    sphere, f = layered_case("mf", megahertz), FREQUENCIES_HZ[megahertz]
    Z = reaction_impedance_ohm(LOOPS, sphere, f)
    assert np.max(np.abs(Z - Z.T)) < 1e-12 * np.max(np.abs(Z))
    for i, j in [(0, 1), (1, 0), (2, 3), (3, 3)]:
        where, dl = LOOPS[i].quadrature(200)
        E, _ = reaction_fields_outside(LOOPS[j], sphere, f, where)
        assert Z[i, j] == pytest.approx(-np.sum(E * dl), rel=1e-9)


@pytest.mark.parametrize("megahertz", [64, 128, 298])
@pytest.mark.parametrize("case", ["uniform", "sfm"])
def test_energy_balance(case, megahertz):
    """Absorbed power is the real part of the reaction, less the change of radiated power, for any set of currents."""
    f = FREQUENCIES_HZ[megahertz]
    sphere = uniform_case() if case == "uniform" else layered_case(case, megahertz)
    R = noise_resistance_ohm(LOOPS, sphere, f)
    with_sphere, without = radiation_resistance_ohm(LOOPS, sphere, f)
    Z = reaction_impedance_ohm(LOOPS, sphere, f)
    np.testing.assert_allclose(R + with_sphere - without, Z.real, atol=1e-12 * np.abs(Z).max())
    np.testing.assert_allclose(R, R.conj().T, atol=1e-14 * np.abs(R).max())
    assert np.linalg.eigvalsh(R)[0] > 0
    if megahertz == 298:  # the change is no small matter for a loop on edge
        assert abs(with_sphere[1, 1] - without[1, 1]) > 0.3 * R[1, 1].real


def test_radiation_of_a_lone_loop():
    """The real part of the loops' own impedance, by the vector-potential integral."""
    f = 298e6
    _, without = radiation_resistance_ohm(LOOPS[:2], uniform_case(), f)
    direct = free_space_impedance_ohm(LOOPS[0], f, LOOPS[1])
    assert without[0, 1] == pytest.approx(direct.real, rel=1e-9)


@pytest.mark.parametrize("case", ["uniform", "sfm"])
def test_power_by_layers_and_by_volume_integral(case):
    """Poynting flux against radial quadrature, and against sigma |E|^2 summed over points of the evaluated field."""
    f, loop = FREQUENCIES_HZ[298], side_loop(gap_m=0.03)
    sphere = uniform_case() if case == "uniform" else layered_case(case, 298)
    total = absorbed_power_w(loop, sphere, f)
    by_layer = absorbed_power_by_layer_w(loop, sphere, f)
    assert by_layer.sum() == pytest.approx(total, rel=1e-10)
    x, w = np.polynomial.legendre.leggauss(24)
    phi = 2 * np.pi * np.arange(48) / 48
    t = np.repeat(x, 48)
    direction = np.stack(
        [np.sqrt(1 - t**2) * np.tile(np.cos(phi), 24), np.sqrt(1 - t**2) * np.tile(np.sin(phi), 24), t], 1
    )
    edges = (0.0, *sphere.radii_m)
    for i, sigma in enumerate(sphere.sigma_s_per_m):
        q, dq = np.polynomial.legendre.leggauss(12)
        r, dr = edges[i] + (edges[i + 1] - edges[i]) * (q + 1) / 2, dq * (edges[i + 1] - edges[i]) / 2
        E, _ = fields_inside(loop, sphere, f, (r[:, None, None] * direction).reshape(-1, 3), 40)
        shell = np.sum(np.abs(E) ** 2, axis=1).reshape(len(r), 24, 48).sum(axis=2) @ w * (2 * np.pi / 48)
        assert 0.5 * sigma * np.sum(shell * r**2 * dr) == pytest.approx(by_layer[i], rel=1e-5)


def test_eighty_degrees_are_enough_ten_millimetres_off():
    f, sphere = FREQUENCIES_HZ[298], uniform_case()
    powers = [absorbed_power_w(side_loop(), sphere, f, degrees) for degrees in (40, 60, 80, 120)]
    errors = np.abs(np.array(powers[:-1]) / powers[-1] - 1)
    assert errors[0] < 1e-6
    assert errors[1] < 1e-8
    assert errors[2] < 1e-10
    deep = points_within(0.0975, inner=0.0975, count=100)
    E80, B80 = fields_inside(side_loop(), sphere, f, deep, 80)
    E120, B120 = fields_inside(side_loop(), sphere, f, deep, 120)
    assert relative(E80, E120) < 1e-5  # E, then B, on a shell 2.5 mm below the surface
    assert relative(B80, B120) < 1e-4


def test_polygon_with_many_vertices_becomes_the_circle():
    where, _ = side_loop().quadrature(720)
    f, sphere = FREQUENCIES_HZ[128], uniform_case()
    round_one = couple([side_loop()], sphere, f, 40).incident
    many = couple([Polygon(vertices_m=where)], sphere, f, 40).incident
    assert relative(many, round_one) < 2e-5


def test_a_loop_that_enters_the_sphere_is_refused():
    with pytest.raises(ValueError, match="enters"):
        absorbed_power_w(coax_loop(gap_m=-0.001), uniform_case(), 64e6)
