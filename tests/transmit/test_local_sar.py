"""Power in the voxels, ten-gram peaks with and without an array, and the bound that picks the worst states."""

from math import pi

import numpy as np
import pytest

from averaged_spheres import smooth_peak_rho2_m2
from loopwright.bodies import Tissue, layered_sphere, voxelise
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.voxel_fields import electric_field_at_voxels
from loopwright.transmit.averaging import averaging_cubes, cube_sar_w_per_kg, parts_along_voxel
from loopwright.transmit.local_sar import (
    cube_sar_of_cases_w_per_kg,
    local_sar,
    peak_bounds_w_per_kg,
    power_in_voxels_w,
    worst_by_bound,
)
from loopwright.transmit.voxel_mass import voxel_mass_kg

RADIUS_M = 45e-3
SPACING_M = 5e-3
OMEGA = 2 * pi * 123.2e6


@pytest.fixture(scope="module")
def body():
    tissues = (
        Tissue(name="rind", eps_r=40, sigma_s_per_m=0.3, density_kg_per_m3=920.0),
        Tissue(name="core", eps_r=70, sigma_s_per_m=0.9, density_kg_per_m3=1060.0),
    )
    solid = layered_sphere(RADIUS_M, tissue_names=["rind", "core"], thicknesses_m=[12e-3])
    return voxelise(solid, spacing_m=SPACING_M, tissues=tissues, frequency_hz=123.2e6)


@pytest.fixture(scope="module")
def cubes(body):
    return averaging_cubes(
        voxel_mass_kg(body), body.voxel_cover(), spacing_m=SPACING_M, parts=parts_along_voxel(SPACING_M)
    )


@pytest.fixture(scope="module")
def voxels(body):
    return body.voxel_cover() > 0


@pytest.fixture(scope="module")
def rows(body, voxels):
    """Seven smooth fields: six of point-like sources about the sphere and a turning one, which is the last."""
    centres = body.grid.centre_points_m()
    places = 60e-3 * np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [-1, 0, 0], [0, -1, 0], [0.7, 0.7, 0]])
    fields = []
    for place in places:
        away = centres - place
        fields.append(np.cross(away, [0.3, 0.2, 1]) / np.linalg.norm(away, axis=-1, keepdims=True) ** 3 * 1e-5)
    turning = np.stack([-centres[..., 1], centres[..., 0], 1j * centres[..., 0]], axis=-1)
    return np.moveaxis(np.stack([*fields, turning])[:, voxels], -1, 1).astype(np.complex64)


@pytest.fixture(scope="module")
def sar_of(body, cubes, voxels, rows):
    def cube_sar(amplitudes):
        fields = np.tensordot(np.asarray(amplitudes), rows, axes=1)
        return cube_sar_of_cases_w_per_kg(body, cubes, voxels, fields)

    return cube_sar


def test_power_of_a_constant_field_is_that_of_the_closed_form(body):
    everywhere = np.ones(body.grid.shape, dtype=bool)
    field = np.zeros((1, 3, everywhere.size), dtype=np.complex64)
    field[0, 0], field[0, 2] = 3, 4j
    core = 4 / 3 * pi * (RADIUS_M - 12e-3) ** 3
    whole = 4 / 3 * pi * RADIUS_M**3
    expected = 0.5 * 25 * (0.9 * core + 0.3 * (whole - core))
    assert power_in_voxels_w(body, everywhere, field).sum() == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("spacing_m", [10e-3, 8e-3, 6e-3, 5e-3, 4e-3])
def test_ten_gram_peak_of_a_sphere_in_a_uniform_field_from_its_face_fields(spacing_m):
    """Quasi-static: E = j omega B rho / 2 round the axis."""
    water = Tissue(name="water", eps_r=80, sigma_s_per_m=0.5, density_kg_per_m3=1000.0)
    solid = layered_sphere(RADIUS_M, tissue_names=["water"])
    sphere = voxelise(solid, spacing_m=spacing_m, tissues=(water,), frequency_hz=123.2e6)
    faces = faces_of(sphere)
    x, y, _ = faces.centres_m().T
    field = 0.5j * OMEGA * 1e-6 * np.stack([y, -x, 0 * x])[faces.families(), np.arange(len(x))]
    held = sphere.voxel_cover() > 0
    power = power_in_voxels_w(sphere, held, electric_field_at_voxels(sphere, faces, field[None])[:, :, held])
    laid = averaging_cubes(
        voxel_mass_kg(sphere), sphere.voxel_cover(), spacing_m=spacing_m, parts=parts_along_voxel(spacing_m)
    )
    scale = 0.5 / 1000 / 2 * (OMEGA * 1e-6 / 2) ** 2
    assert cube_sar_w_per_kg(laid, power).max() == pytest.approx(
        scale * smooth_peak_rho2_m2(RADIUS_M, 10e-6 ** (1 / 3)), rel=0.06
    )
    assert power.sum() == pytest.approx(scale * 1000 * 8 * pi / 15 * RADIUS_M**5, rel=0.03)


def test_each_case_is_averaged_like_its_power(body, cubes, voxels, rows):
    found = cube_sar_of_cases_w_per_kg(body, cubes, voxels, iter(rows))
    np.testing.assert_array_equal(found, cube_sar_w_per_kg(cubes, power_in_voxels_w(body, voxels, rows)))


def test_power_stays_in_the_voxels_that_were_told(body, voxels, rows):
    some = voxels & (np.arange(voxels.shape[0]) < 5)[:, None, None]
    told = power_in_voxels_w(body, some, rows[:, :, some[voxels]])
    everywhere = power_in_voxels_w(body, voxels, rows)
    np.testing.assert_array_equal(told, everywhere * some)


def test_local_sar_tells_peak_place_and_ratio(body, cubes, sar_of):
    without, near = sar_of(np.array([[0] * 6 + [1], [40, 0, 0, 0, 0, 0, 1]]))
    told = local_sar(body, cubes, near, without)
    assert told.peak_w_per_kg == near.max()
    assert told.ratio == pytest.approx(near.max() / without.max())
    assert told.ratio > 1
    assert 15e-3 < told.place_m[0] < RADIUS_M  # beside the source on the +x axis
    assert abs(told.place_m[1]) < 10e-3
    assert told.same_cube_without_w_per_kg <= told.peak_without_w_per_kg
    assert told.cube_side_m > (10e-3 / 1060) ** (1 / 3) * (1 - 1e-9)


def test_a_case_without_currents_has_the_ratio_one(body, cubes, sar_of):
    sar = sar_of(np.array([[0] * 6 + [1]]))[0]
    assert local_sar(body, cubes, sar, sar).ratio == 1


@pytest.fixture(scope="module")
def cases():
    draw = np.random.default_rng(5)
    currents = draw.normal(size=(40, 6)) * np.exp(2j * pi * draw.random((40, 6))) * 10 ** draw.uniform(-2, 1, (40, 1))
    return np.concatenate([currents, np.ones((40, 1))], axis=1)


def test_no_peak_exceeds_its_bound(sar_of, cases):
    row_sar = sar_of(np.eye(7))
    bounds = peak_bounds_w_per_kg(row_sar, cases)
    peaks = sar_of(cases).max(axis=1)
    assert np.all(peaks <= bounds * (1 + 1e-5))
    coarser = (np.abs(cases) @ np.sqrt(row_sar.max(axis=1))) ** 2
    assert np.all(bounds <= coarser * (1 + 1e-12))
    assert np.median(bounds / peaks) < 4


def test_the_bound_of_one_row_is_its_peak(sar_of):
    row_sar = sar_of(np.eye(7))
    bounds = peak_bounds_w_per_kg(row_sar, 3j * np.eye(7))
    np.testing.assert_allclose(bounds, 9 * row_sar.max(axis=1), rtol=1e-9)


def test_the_worst_cases_are_found_with_few_averages(sar_of, cases):
    bounds = peak_bounds_w_per_kg(sar_of(np.eye(7)), cases)
    peaks = sar_of(cases).max(axis=1)
    found = worst_by_bound(bounds, lambda case: peaks[case], worst=3, most=40)
    assert found.cases[:3] == tuple(np.argsort(-peaks)[:3])
    assert found.peaks_w_per_kg == tuple(peaks[list(found.cases)])
    assert found.peaks_w_per_kg[2] >= found.no_other_above_w_per_kg
    assert len(found.cases) < 40


def test_what_the_bounds_leave_open_is_told():
    bounds, peaks = np.array([9.0, 8.0, 7.0, 1.0]), np.array([2.0, 3.0, 6.5, 1.0])
    cut_short = worst_by_bound(bounds, lambda case: peaks[case], worst=1, most=2)
    assert cut_short.cases == (1, 0)
    assert cut_short.no_other_above_w_per_kg == 7.0
    assert cut_short.certain == 0
    sure = worst_by_bound(bounds, lambda case: peaks[case], worst=1, most=9)
    assert sure.cases == (2, 1, 0)
    assert sure.no_other_above_w_per_kg == 1.0
    assert sure.certain == 3
    everything = worst_by_bound(bounds, lambda case: peaks[case], worst=9, most=9)
    assert everything.no_other_above_w_per_kg == 0.0
