import numpy as np
import pytest
from scipy.constants import c, mu_0, pi
from scipy.integrate import quad_vec
from scipy.special import spherical_jn

from loopwright.fields.wires import magnetic_field_t_per_a, vector_potential_component, vector_potential_kernel
from loopwright.fields.wires.filament_fields import retarded_excess
from wire_cases import coaxial_mutual_inductance_h, equal_area_polygon

K_298_MHZ = 2 * pi * 298.03e6 / c
RNG = np.random.default_rng(20251125)
TILTED = equal_area_polygon(0.04, 24) @ np.linalg.qr(RNG.normal(size=(3, 3)))[0]
AROUND = np.concatenate([RNG.normal(size=(40, 3)) * 0.1, [[0.0, 0.0, 0.0], [1e-3, 0.0, 0.0]]])


def by_quadrature(points, vertices, k):
    """The same integral by adaptive quadrature along the wire: slow, and nothing in common with the kernel."""
    total = np.zeros((len(points), 3), dtype=complex)
    for a, b in zip(vertices, np.roll(vertices, -1, axis=0), strict=True):

        def integrand(s, a=a, b=b):
            r = np.linalg.norm(points - a - s * (b - a), axis=1)
            return (np.exp(-1j * k * r) / (4 * pi * r))[:, None] * (b - a)

        total += quad_vec(integrand, 0, 1, epsrel=1e-11)[0]
    return total


@pytest.mark.parametrize("k", [0.0, K_298_MHZ])
def test_vector_potential_equals_adaptive_quadrature(k):
    expected = by_quadrature(AROUND, TILTED, k)
    found = vector_potential_kernel(AROUND, TILTED, k)
    assert np.abs(found - expected).max() < 1e-7 * np.abs(expected).max()


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("away_m", [0.0, 0.2])
@pytest.mark.parametrize("k", [0.0, K_298_MHZ, 60.0])
def test_component_is_that_of_the_vector(k, away_m, axis):
    """Near segments exactly; far ones, where the far rule stands in, to its error, over several wavelengths too."""
    points = AROUND + np.array([away_m, 0, 0])
    whole = vector_potential_kernel(points, TILTED, k)[:, axis]
    one = vector_potential_component(points, TILTED, k, axis)
    assert np.abs(one - whole).max() < 1e-7 * np.abs(vector_potential_kernel(points, TILTED, k)).max()


@pytest.mark.parametrize("lengths", [1.5, 2.5, 3.5])
def test_component_near_the_bound_of_the_far_rule(lengths):
    """A cloud of 1 mm in front of one corner, segments 10.5 mm long."""
    cloud = TILTED[0] * (1 + lengths * 10.5 / 40) + 1e-3 * RNG.uniform(-1, 1, (32, 3))
    whole = vector_potential_kernel(cloud, TILTED, K_298_MHZ)
    one = np.stack([vector_potential_component(cloud, TILTED, K_298_MHZ, axis) for axis in range(3)], axis=-1)
    assert np.abs(one - whole).max() < 3e-7 * np.abs(whole).max()


def test_magnetic_field_is_the_curl_of_the_potential_at_7_t():
    step = 2e-4
    shifts = step * np.eye(3)
    slopes = [
        mu_0
        / (2 * step)
        * (
            vector_potential_kernel(AROUND + d, TILTED, K_298_MHZ)
            - vector_potential_kernel(AROUND - d, TILTED, K_298_MHZ)
        )
        for d in shifts
    ]
    curl = np.stack(
        [slopes[1][:, 2] - slopes[2][:, 1], slopes[2][:, 0] - slopes[0][:, 2], slopes[0][:, 1] - slopes[1][:, 0]],
        axis=1,
    )
    found = magnetic_field_t_per_a(AROUND, TILTED, K_298_MHZ)
    np.testing.assert_allclose(found, curl, atol=3e-4 * np.abs(found).max())


def test_potential_and_field_have_no_divergence():
    step = 2e-4
    for field in (vector_potential_kernel, magnetic_field_t_per_a):
        slopes = np.stack(
            [
                (field(AROUND + d, TILTED, K_298_MHZ) - field(AROUND - d, TILTED, K_298_MHZ))[:, i] / (2 * step)
                for i, d in enumerate(step * np.eye(3))
            ]
        )
        assert np.abs(slopes.sum(axis=0)).max() < 1e-3 * np.abs(slopes).max()


@pytest.mark.parametrize(("a", "b", "d"), [(0.05, 0.05, 0.02), (0.10, 0.05, 0.05), (0.25, 0.20, 0.10)])
def test_line_integral_of_the_potential_is_maxwells_mutual_inductance(a, b, d):
    """DLMF 19.34 and Maxwell art. 701; 256 corners leave 1e-4 of polygon."""
    other = equal_area_polygon(b, 256, centre_m=(0, 0, d))
    step = np.roll(other, -1, axis=0) - other
    potential = mu_0 * vector_potential_kernel(other + step / 2, equal_area_polygon(a, 256), 0.0)
    assert np.sum(potential.real * step) == pytest.approx(coaxial_mutual_inductance_h(a, b, d), rel=2e-4)


def test_small_loop_radiates_as_a_magnetic_dipole():
    """Exact field of a magnetic dipole, near and far terms (any textbook), half a wavelength from a 2 mm loop."""
    loop = equal_area_polygon(1e-3, 12)
    points = 0.5 * np.array([[0.6, 0.0, 0.8], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.3, -0.9, 0.1]])
    r = np.linalg.norm(points, axis=1)[:, None]
    n, m, x = points / r, np.array([0, 0, pi * 1e-6]), K_298_MHZ * r
    along = n * (n @ m)[:, None]
    dipole = mu_0 / (4 * pi * r**3) * np.exp(-1j * x) * ((m - along) * x**2 + (3 * along - m) * (1 + 1j * x))
    found = magnetic_field_t_per_a(points, loop, K_298_MHZ)
    np.testing.assert_allclose(found, dipole, atol=2e-5 * np.abs(dipole).max())


def test_retarded_part_is_made_of_spherical_bessel_functions():
    """x cos x - sin x = -x^2 j1(x): series below kR = 0.05, difference above, both to ten digits of the field."""
    for x in np.geomspace(1e-3, 20, 40):
        assert retarded_excess(x, 1.0).imag == pytest.approx(-spherical_jn(1, x) / x, rel=1e-9)
        assert retarded_excess(x, 1.0).real == pytest.approx((np.cos(x) + x * np.sin(x) - 1) / x**3, rel=1e-8)


def test_small_and_vanishing_wavenumber_join():
    near_static = magnetic_field_t_per_a(AROUND, TILTED, 1e-6)
    np.testing.assert_allclose(near_static, magnetic_field_t_per_a(AROUND, TILTED, 0.0), rtol=1e-9, atol=1e-18)


def test_series_of_the_retarded_part_joins_its_closed_form():
    """On the axis of a ring all of the wire is equally far, so the field has a closed form at any frequency."""
    ring = equal_area_polygon(0.04, 200)
    for k in np.geomspace(0.05, 30, 12):  # kR from well below to well above the switch
        z = 0.03
        corner = np.linalg.norm(ring[0])
        steps = np.roll(ring, -1, axis=0) - ring
        r = np.sqrt(z**2 + corner**2)
        twice_area = 2 * pi * 0.04**2
        scale = mu_0 / (4 * pi) * twice_area * (1 + 1j * k * r) * np.exp(-1j * k * r) / r**3
        found = magnetic_field_t_per_a(np.array([[0.0, 0.0, z]]), ring, k)[0, 2]
        assert found == pytest.approx(scale, rel=np.linalg.norm(steps[0]) ** 2 / r**2)
        assert found.imag == pytest.approx(scale.imag, rel=1e-3)
