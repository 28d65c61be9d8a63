"""A body alone in the transmit field: closed forms at low frequency, the exact multipole, the balance of power.

Low frequency here is 5 MHz with 0.1 S/m and a permittivity of 1: conduction is 360 times displacement, and the skin
depth, 0.71 m, leaves corrections of (a/depth)^4, below 0.1 %.
"""

import numpy as np
import pytest

from body_cases import column, gel, voxel_sphere
from exact.layers import LayeredSphere
from exact.quasi_static import uniform_field_power_in_cylinder_w_per_m, uniform_field_power_in_sphere_w
from loopwright.fields.body.reply import faces_of
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import (
    BodyResonator,
    ElectricField,
    UniformField,
    absorbed_power_w,
    amplitudes,
    b1_plus_by_case_t,
    electric_field_by_case_v_per_m,
)
from loopwright.ground.errors import OutsideModelError
from transmit_cases import (
    Multipole,
    absorbed_w_per_t2,
    linear,
    multipole_power_in_sphere_w,
    radiated_w,
    reply,
    taken_w,
)

LOW_HZ, SIGMA = 5e6, 0.1
HIGH_HZ, GEL = 128e6, 0.5
NO_PORTS = np.zeros((1, 0))


def low_sphere(radius_m, voxels_across=16):
    sphere = LayeredSphere.uniform(radius_m, 1.0, SIGMA)
    return voxel_sphere(sphere, voxel_m=2 * radius_m / voxels_across, frequency_hz=LOW_HZ)


def high_sphere():
    return voxel_sphere(LayeredSphere.uniform(0.1, 50.0, GEL), voxel_m=0.0125, frequency_hz=HIGH_HZ)


@pytest.mark.parametrize("gauge", ElectricField)
@pytest.mark.parametrize("radius_m", [0.05, 0.1])
def test_a_sphere_takes_twice_the_power_of_a_linear_field_whatever_the_gauge(radius_m, gauge):
    """Twice pi sigma omega^2 B^2 a^5 / 15 in a rotating field; both radii by one law, a^5."""
    linear_w = uniform_field_power_in_sphere_w(
        field_peak_t=1.0, radius_m=radius_m, sigma_s_per_m=SIGMA, frequency_hz=LOW_HZ
    )
    found = absorbed_w_per_t2(low_sphere(radius_m), UniformField(frequency_hz=LOW_HZ, gauge=gauge))
    assert found == pytest.approx(2 * linear_w, rel=0.01)


def test_power_goes_with_the_fifth_power_of_the_radius():
    """The voxels scale along, so nothing but the law itself and the skin depth is left."""
    source = UniformField(frequency_hz=LOW_HZ)
    small, large = (absorbed_w_per_t2(low_sphere(a, voxels_across=8), source) for a in (0.02, 0.04))
    assert large / small == pytest.approx(32, rel=5e-4)


@pytest.fixture(scope="module")
def columns():
    """Two columns 60 mm in radius along z; their difference in length is a piece without ends."""
    tissue = gel(1, SIGMA)
    return [column(0.06, m, voxel_m=5e-3, tissue=tissue, frequency_hz=LOW_HZ) for m in (0.2, 0.25)]


@pytest.mark.parametrize(
    ("source", "axial_t", "transverse_t", "polarisations"),
    [
        pytest.param(linear(2, LOW_HZ), 1, 0, 1, id="along"),
        pytest.param(linear(0, LOW_HZ), 0, 1, 1, id="across, x"),
        pytest.param(linear(1, LOW_HZ), 0, 1, 1, id="across, y"),
        pytest.param(UniformField(frequency_hz=LOW_HZ), 0, 1, 2, id="turning about it"),
    ],
)
def test_power_per_length_of_a_long_cylinder(columns, source, axial_t, transverse_t, polarisations):
    exact = uniform_field_power_in_cylinder_w_per_m(
        axial_peak_t=axial_t, transverse_peak_t=transverse_t, radius_m=0.06, sigma_s_per_m=SIGMA, frequency_hz=LOW_HZ
    )
    short, long = (absorbed_w_per_t2(body, source) for body in columns)
    assert (long - short) / 0.05 == pytest.approx(polarisations * exact, rel=0.01)


@pytest.mark.parametrize("b", [(1, 1j, 0), (0, 0, 1)])
def test_a_sphere_in_the_first_magnetic_multipole_at_full_wave(b):
    """E = j1(kr) sin theta at 128 MHz, where the wave in the gel is a third of a metre long."""
    exact = multipole_power_in_sphere_w(b=b, radius_m=0.1, eps_r=50.0, sigma_s_per_m=GEL, frequency_hz=HIGH_HZ)
    quasi_static = np.sum(np.abs(b) ** 2) * uniform_field_power_in_sphere_w(
        field_peak_t=1.0, radius_m=0.1, sigma_s_per_m=GEL, frequency_hz=HIGH_HZ
    )
    assert abs(exact / quasi_static - 1) > 0.2
    assert absorbed_w_per_t2(high_sphere(), Multipole(b=b, frequency_hz=HIGH_HZ)) == pytest.approx(exact, rel=0.01)


def test_absorbed_and_radiated_power_come_from_the_source():
    """The incident field puts into the body's currents what they turn into heat and what they radiate."""
    source = Multipole(b=(1, 1j, 0), frequency_hz=HIGH_HZ)
    found = reply(high_sphere(), source)
    heat = absorbed_power_w(found, amplitudes(found, NO_PORTS))[0]
    radiated = radiated_w(found.body.faces, found.body.current_v_per_m[-1])
    assert radiated > 1e-3 * heat
    assert heat + radiated == pytest.approx(taken_w(found, source), rel=1e-5)


@pytest.mark.parametrize("sense", Precession)
def test_a_small_poor_conductor_leaves_b1_plus_as_it_is(sense):
    body = voxel_sphere(LayeredSphere.uniform(0.04, 1.0, 0.01), voxel_m=0.01, frequency_hz=LOW_HZ)
    source = BodyResonator(radius_m=0.3, length_m=0.3, centre_m=(0.0, 0.0, 0.1), frequency_hz=LOW_HZ, sense=sense)
    (b1,) = b1_plus_by_case_t(reply(body, source), [[2.0]])
    z = body.grid.centre_points_m()[body.voxel_cover() > 0][:, 2]
    assert np.ptp(source.profile(z - 0.1)) > 0.1
    assert np.abs(b1 - 2 * source.profile(z - 0.1)).max() < 1e-3


def test_the_field_in_the_voxels_is_that_of_a_sphere():
    """E = -j omega B x r / 2 inside."""
    body = low_sphere(0.05)
    found = reply(body, UniformField(frequency_hz=LOW_HZ))
    (field,) = electric_field_by_case_v_per_m(found, body, [[1.0]])
    points = body.grid.centre_points_m()[found.body.voxels].T
    exact = -1j * np.pi * LOW_HZ * np.cross([1, 1j, 0], points.T).T
    core = np.linalg.norm(points, axis=0) < 0.04
    assert np.linalg.norm((field - exact)[:, core]) < 0.02 * np.linalg.norm(exact[:, core])


def test_cases_come_in_their_order_whatever_the_batch(monkeypatch):
    body = low_sphere(0.05, voxels_across=6)
    found = reply(body, UniformField(frequency_hz=LOW_HZ))
    scales = np.array([[1.0], [2.0j], [-0.5]])
    together = list(electric_field_by_case_v_per_m(found, body, scales)), list(b1_plus_by_case_t(found, scales))
    monkeypatch.setattr("loopwright.fields.transmit.combined._HELD", 1)
    alone = list(electric_field_by_case_v_per_m(found, body, scales)), list(b1_plus_by_case_t(found, scales))
    assert np.allclose(together[0], alone[0], rtol=1e-5)
    assert np.allclose(together[1], alone[1], rtol=1e-5)
    for values in together:
        assert np.allclose(values[1], 2j * values[0], rtol=1e-5)
    assert absorbed_power_w(found, scales) == pytest.approx(absorbed_power_w(found, scales)[0] * np.array([1, 4, 0.25]))


def test_a_body_at_another_frequency_is_refused():
    with pytest.raises(OutsideModelError, match="5e\\+06 Hz"):
        reply(low_sphere(0.05, voxels_across=4), UniformField(frequency_hz=HIGH_HZ))


def test_without_body_no_field_in_it_can_be_had():
    found = reply(None, UniformField(frequency_hz=HIGH_HZ))
    assert found.open_v_per_t.shape == (0,)
    with pytest.raises(OutsideModelError, match="without one"):
        absorbed_power_w(found, [[1.0]])


def test_faces_at_the_body_are_those_of_the_solver():
    body = low_sphere(0.05, voxels_across=4)
    found = reply(body, UniformField(frequency_hz=LOW_HZ)).body
    assert np.array_equal(found.faces.index, faces_of(body).index)
    assert found.current_v_per_m.shape == (1, len(found.faces.index))
    assert found.magnetic_field_t.shape == (1, 3, found.voxels.sum())
