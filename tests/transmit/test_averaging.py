"""Cube averages against closed forms: uniform and linear SAR, a sphere in a uniform field, layers, plates."""

from math import pi

import numpy as np
import pytest
from scipy.optimize import brentq

from averaged_spheres import smooth_peak_rho2_m2
from loopwright.bodies import Tissue, layered_sphere, voxelise
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.averaging import (
    VoxelStatus,
    averaging_cubes,
    cube_sar_w_per_kg,
    parts_along_voxel,
    spread_over_voxels,
)
from loopwright.transmit.cube_kernels import box_contents, sums_before
from loopwright.transmit.voxel_mass import voxel_mass_kg

RADIUS_M = 45e-3
DENSITY = 1000.0
WATER = Tissue(name="water", eps_r=80, sigma_s_per_m=0.5, density_kg_per_m3=DENSITY)
TEN_GRAM_SIDE_M = (10e-3 / DENSITY) ** (1 / 3)


def sphere(spacing_m):
    solid = layered_sphere(RADIUS_M, tissue_names=["water"])
    return voxelise(solid, spacing_m=spacing_m, tissues=(WATER,), frequency_hz=123.2e6)


def averaged(mass_kg, cover, spacing_m, sar):
    cubes = averaging_cubes(mass_kg, cover, spacing_m=spacing_m)
    return cubes, spread_over_voxels(cubes, cube_sar_w_per_kg(cubes, (sar * mass_kg)[None])[0])


def rho_squared_m2(body):
    """Mean over each whole voxel of the squared distance from the z axis: that to its centre and h^2/12 per axis."""
    centres = body.grid.centre_points_m()
    return centres[..., 0] ** 2 + centres[..., 1] ** 2 + body.grid.spacing_m**2 / 6


def block(shape, spacing_m, *, empty=5):
    cover = np.pad(np.ones(shape), empty)
    return cover * DENSITY * spacing_m**3, cover


@pytest.fixture(scope="module")
def fine_sphere():
    body = sphere(2e-3)
    mass = voxel_mass_kg(body)
    cubes, found = averaged(mass, body.voxel_cover(), 2e-3, rho_squared_m2(body))
    return body, mass, cubes, found


def test_ten_grams_of_water_fill_a_cube_of_21_and_a_half_millimetres(fine_sphere):
    _, _, cubes, _ = fine_sphere
    assert cubes.side_m()[: cubes.centred].min() == pytest.approx(21.544e-3, rel=1e-4)
    assert cubes.side_m().min() == pytest.approx(TEN_GRAM_SIDE_M, rel=1e-9)


def test_uniform_sar_averages_to_itself_in_valid_used_and_unused_voxels(fine_sphere):
    _, mass, cubes, _ = fine_sphere
    found = spread_over_voxels(cubes, cube_sar_w_per_kg(cubes, 3.7 * mass[None])[0])
    np.testing.assert_allclose(found[cubes.status != VoxelStatus.EMPTY], 3.7, rtol=1e-9)
    assert not found[cubes.status == VoxelStatus.EMPTY].any()


def test_every_cube_holds_its_mass(fine_sphere):
    _, mass, cubes, _ = fine_sphere
    np.testing.assert_allclose(box_contents(sums_before(mass), cubes.low, cubes.side), 10e-3, rtol=1e-9)


def test_boxes_that_fill_the_grid_hold_all_of_it(fine_sphere):
    _, mass, _, _ = fine_sphere
    low = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [-5.0, -5.0, -5.0]])
    found = box_contents(sums_before(mass), low, np.array([10.0, 30.0, 100.0]))
    np.testing.assert_allclose(found, [mass[:10, :10, :10].sum(), mass[10:40, :30, :30].sum(), mass.sum()])


def test_mass_of_the_voxels_is_that_of_the_body(fine_sphere):
    _, mass, _, _ = fine_sphere
    assert mass.sum() == pytest.approx(4 / 3 * pi * RADIUS_M**3 * DENSITY, rel=1e-6)


def test_valid_cubes_are_at_most_a_tenth_background(fine_sphere):
    body, _, cubes, _ = fine_sphere
    centred = slice(0, cubes.centred)
    tissue = box_contents(sums_before(body.voxel_cover()), cubes.low[centred], cubes.side[centred])
    background = 1 - tissue / cubes.side[centred] ** 3
    assert 0.09 < background.max() < 0.1 + 1e-5


def test_linear_sar_averages_to_its_value_at_the_centre():
    mass, cover = block((20, 20, 20), 3e-3)
    x = np.arange(mass.shape[0])[:, None, None] * np.ones(mass.shape)
    cubes, found = averaged(mass, cover, 3e-3, x)
    valid = cubes.status == VoxelStatus.VALID
    assert valid.sum() == (20 - 2 * 4) ** 3  # a cube of 7.18 voxels reaches 3.59 from its centre, so past three voxels
    np.testing.assert_allclose(found[valid], x[valid], rtol=1e-9)


def test_voxels_near_a_flat_face_take_cubes_that_stay_inside():
    spacing = 3e-3
    mass, cover = block((20, 20, 20), spacing)
    x = np.arange(mass.shape[0])[:, None, None] * np.ones(mass.shape)
    cubes, found = averaged(mass, cover, spacing, x)
    np.testing.assert_array_equal(cubes.status[5:25, 15, 15], [3, 2, 2, 2, *12 * [1], 2, 2, 2, 3])
    # Valid are the voxels 9 to 20, whose cubes reach three voxels further. The outermost layer has cubes flush with it:
    # seven voxels and a share of the eighth.
    share = TEN_GRAM_SIDE_M / spacing - 7
    flush = (sum(range(7)) + 7 * share) / (7 + share)
    np.testing.assert_allclose(found[5:9, 15, 15], [5 + flush, 9, 10, 11], rtol=1e-9)
    np.testing.assert_allclose(found[21:25, 15, 15], [20, 20, 20, 24 - flush], rtol=1e-9)


def test_used_voxels_take_the_largest_average_whichever_way_the_field_falls():
    mass, cover = block((20, 20, 20), 3e-3)
    x = np.arange(mass.shape[0])[:, None, None] * np.ones(mass.shape)
    _, rising = averaged(mass, cover, 3e-3, x)
    _, falling = averaged(mass, cover, 3e-3, 29 - x)
    np.testing.assert_allclose(falling[::-1], rising, rtol=1e-9)


def test_a_sliver_counts_in_the_cubes_but_has_no_average_of_its_own():
    _, cover = block((20, 20, 20), 3e-3)
    thin = cover.copy()
    thin[25, 5:25, 5:25] = 0.3
    cubes, found = averaged(thin * DENSITY * 3e-3**3, thin, 3e-3, np.where(cover > 0, 1.0, 11.0))
    assert not cubes.status[25].any()
    assert not found[25].any()
    # The cube centred on voxel 21 reaches over the face at 25 into the sliver: mass s^2 (s - 0.7 t) with t = s/2 - 3.5.
    wanted = (TEN_GRAM_SIDE_M / 3e-3) ** 3
    side = brentq(lambda s: s**2 * (s - 0.7 * (s / 2 - 3.5)) - wanted, 7, 9, xtol=1e-14)
    np.testing.assert_allclose(found[21:25, 15, 15], 1 + 10 * 0.3 * side**2 * (side / 2 - 3.5) / wanted, rtol=1e-9)


def test_a_plate_thinner_than_a_cube_takes_the_largest_one_sided_cube():
    # 4 mm thick: 10 g reach 50 mm along it, and cubes that lean towards the stronger side see half of that further.
    spacing = 2e-3
    mass, cover = block((80, 60, 2), spacing, empty=2)
    x_m = (np.arange(mass.shape[0]) + 0.5)[:, None, None] * spacing * np.ones(mass.shape)
    cubes, found = averaged(mass, cover, spacing, x_m)
    assert np.all(cubes.status[cover > 0] == VoxelStatus.UNUSED)
    side_m = (10e-3 / DENSITY / 4e-3) ** 0.5
    assert found[30, 31, 2] == pytest.approx(30 * spacing + side_m / 2, rel=1e-9)


def test_inner_cubes_of_a_sphere_in_a_uniform_field_average_as_the_closed_form(fine_sphere):
    body, _, cubes, found = fine_sphere
    centres = body.grid.centre_points_m()
    inner = (np.linalg.norm(centres, axis=-1) < 25e-3) & (cubes.status == VoxelStatus.VALID)
    # <x^2 + y^2> over a cube of side a about (x, y) is x^2 + y^2 + a^2/6.
    exact = centres[..., 0] ** 2 + centres[..., 1] ** 2 + TEN_GRAM_SIDE_M**2 / 6
    np.testing.assert_allclose(found[inner], exact[inner], rtol=0.01)


def test_cubes_of_a_sphere_converge_with_the_square_of_the_voxel():
    for spacing in (7.5e-3, 5e-3, 2.5e-3):
        body = sphere(spacing)
        centres = body.grid.centre_points_m()
        _, found = averaged(voxel_mass_kg(body), body.voxel_cover(), spacing, rho_squared_m2(body))
        inner = np.linalg.norm(centres, axis=-1) < 20e-3
        exact = centres[..., 0] ** 2 + centres[..., 1] ** 2 + TEN_GRAM_SIDE_M**2 / 6
        # The share f of an outermost voxel puts <x^2> off by f(1 - f) h^2, at most h^2/4, per axis.
        assert np.max(np.abs(found - exact)[inner]) <= 0.5 * spacing**2


def test_peak_of_the_sphere_and_its_place(fine_sphere):
    body, mass, cubes, _ = fine_sphere
    sar = cube_sar_w_per_kg(cubes, (rho_squared_m2(body) * mass)[None])[0]
    assert sar.max() == pytest.approx(smooth_peak_rho2_m2(RADIUS_M, TEN_GRAM_SIDE_M), rel=0.01)
    place = cubes.centre_m(body.grid.origin_m)[sar.argmax()]
    assert abs(place[2]) < 3e-3
    assert RADIUS_M - TEN_GRAM_SIDE_M < np.hypot(*place[:2]) < RADIUS_M - TEN_GRAM_SIDE_M / 3


@pytest.mark.parametrize("spacing_m", [8e-3, 6e-3, 5e-3, 4e-3])
def test_coarse_voxels_are_cut_until_the_peak_is_met(spacing_m):
    body = sphere(spacing_m)
    mass, parts = voxel_mass_kg(body), parts_along_voxel(spacing_m)
    cubes = averaging_cubes(mass, body.voxel_cover(), spacing_m=spacing_m, parts=parts)
    assert spacing_m / parts <= 2.5e-3
    sar = cube_sar_w_per_kg(cubes, (rho_squared_m2(body) * mass)[None])[0]
    assert sar.max() == pytest.approx(smooth_peak_rho2_m2(RADIUS_M, TEN_GRAM_SIDE_M), rel=0.06)
    assert spread_over_voxels(cubes, sar).shape == body.grid.shape
    assert spread_over_voxels(cubes, sar).max() == sar.max()


def test_parts_of_voxels_hold_the_mass_of_their_cubes():
    body = sphere(7.5e-3)
    mass = voxel_mass_kg(body)
    cubes = averaging_cubes(mass, body.voxel_cover(), spacing_m=7.5e-3, parts=3)
    np.testing.assert_allclose(cube_sar_w_per_kg(cubes, 2.5 * mass[None]), 2.5, rtol=1e-9)


def test_cubes_across_two_tissues_weigh_each_by_its_density():
    spacing, heavy, light = 3e-3, 1100.0, 400.0
    density = np.where(np.arange(30) < 15, heavy, light)[:, None, None] * np.ones((30, 30, 30))
    sar = np.where(np.arange(30) < 15, 2.0, 5.0)[:, None, None] * np.ones((30, 30, 30))
    cubes, found = averaged(density * spacing**3, np.ones((30, 30, 30)), spacing, sar)

    def mass(side):
        return side**2 * (heavy * (side + spacing) / 2 + light * (side - spacing) / 2)

    side = brentq(lambda s: mass(s) - 10e-3, 10e-3, 60e-3, xtol=1e-12)
    exact = side**2 * (2 * heavy * (side + spacing) / 2 + 5 * light * (side - spacing) / 2) / 10e-3
    own = np.flatnonzero((cubes.voxel == (14, 15, 15)).all(axis=1))
    assert cubes.side_m()[own] == pytest.approx(side, rel=1e-9)
    assert found[14, 15, 15] == pytest.approx(exact, rel=1e-9)


def test_many_rows_are_averaged_like_one(fine_sphere):
    body, mass, cubes, _ = fine_sphere
    rows = np.stack([rho_squared_m2(body) * mass, mass, 2 * mass + rho_squared_m2(body) * mass])
    found = cube_sar_w_per_kg(cubes, rows)
    np.testing.assert_allclose(found[2], found[0] + 2 * found[1], rtol=1e-9)


def test_a_tissue_without_density_is_told_with_its_remedy():
    gel = Tissue(name="gel", eps_r=60, sigma_s_per_m=0.5)
    body = voxelise(
        layered_sphere(RADIUS_M, tissue_names=["gel"]), spacing_m=10e-3, tissues=(gel,), frequency_hz=123.2e6
    )
    with pytest.raises(OutsideModelError, match=r"no density is known of gel.*density"):
        voxel_mass_kg(body)


def test_a_body_lighter_than_two_cubes_is_refused():
    mass, cover = block((5, 5, 5), 5e-3)
    with pytest.raises(OutsideModelError, match=r"10 g were asked of a body of 15\.6 g"):
        averaging_cubes(mass, cover, spacing_m=5e-3)


def test_a_body_that_fills_no_voxel_by_half_is_refused():
    mass, cover = block((20, 20, 20), 5e-3)
    with pytest.raises(OutsideModelError, match="finer voxels"):
        averaging_cubes(mass, 0.4 * cover, spacing_m=5e-3)
