import numpy as np
import pytest

from loopwright.bodies import AIR, dominant_tissue, place
from loopwright.brief.records import (
    BoxRegion,
    ExplicitMaterial,
    ImagingRequest,
    LayerRequest,
    SimultaneousSlices,
    SphereRegion,
    SphereRequest,
    TissueRegion,
    WholeBodyRegion,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging import check_region
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m
from loopwright.imaging.reception import reception_field_t_per_a, recombined
from loopwright.imaging.region import box_mask, region_mask, region_voxels, sphere_mask


def test_reception_takes_the_component_of_its_sign_without_conjugate():
    field = np.array([[[1 + 2j], [3 - 1j], [9.0]]], dtype=np.complex64)
    assert reception_field_t_per_a(field, reception_sign=1)[0, 0] == pytest.approx(((1 + 2j) + 1j * (3 - 1j)) / 2)
    assert reception_field_t_per_a(field, reception_sign=-1)[0, 0] == pytest.approx(((1 + 2j) - 1j * (3 - 1j)) / 2)
    with pytest.raises(ValueError, match="0"):
        reception_field_t_per_a(field, reception_sign=0)


def test_fields_combine_as_currents_do():
    fields = np.arange(12, dtype=complex).reshape(2, 2, 3)
    currents = np.array([[1.0, 0.1j], [0.2, 1.0]])  # loop (row) per port (column)
    found = recombined(fields, currents)
    np.testing.assert_allclose(found[0], fields[0] + 0.2 * fields[1])
    np.testing.assert_allclose(found[1], 0.1j * fields[0] + fields[1])


def test_magnetisation_goes_with_field_over_temperature():
    one = water_magnetisation_a_per_m(3.0, temperature_k=310.15)
    assert water_magnetisation_a_per_m(-3.0, temperature_k=310.15) == one > 0
    assert water_magnetisation_a_per_m(6.0, temperature_k=310.15) == pytest.approx(2 * one)
    assert water_magnetisation_a_per_m(3.0, temperature_k=620.3) == pytest.approx(one / 2)


POINTS_M = np.array([[0.0, 0, 0], [0.02, 0, 0], [0, 0, 0.05], [0.02, 0.02, 0.02]])


def test_masks_hold_their_edges():
    assert sphere_mask(POINTS_M, centre_m=(0, 0, 0), radius_m=0.02).tolist() == [True, True, False, False]
    assert box_mask(POINTS_M, minimum_m=(0, 0, 0), maximum_m=(0.02, 0.02, 0.02)).tolist() == [True, True, False, True]


def test_regions_are_deep_enough():
    depth_m = np.array([0.03, 0.01, 0.005, -0.01])
    whole = WholeBodyRegion(least_depth_m=0.01)
    ball = SphereRegion(centre_m=(0, 0, 0), radius_m=0.06, least_depth_m=0.02)
    box = BoxRegion(min_m=(0, 0, 0), max_m=(0.02, 0.02, 0.06), least_depth_m=0.0)
    found = [region_mask(r, POINTS_M, depth_m=depth_m).tolist() for r in (whole, ball, box)]
    assert found == [[True, True, False, False], [True, False, False, False], [True, True, True, False]]


@pytest.fixture(scope="module")
def onion():
    """A sphere of 60 mm: 15 mm of shell round a core, 5 mm voxels."""
    shell, core = (ExplicitMaterial(name=name, eps_r=60, sigma_s_per_m=0.6) for name in ("Shell", "core"))
    request = SphereRequest(
        radius_m=0.06, voxel_m=0.005, material=core, layers=(LayerRequest(thickness_m=0.015, material=shell),)
    )
    return place(request, frequency_hz=123e6)


def test_the_dominant_tissue_is_the_one_whose_solid_holds_the_voxels_middle(onion):
    found = dominant_tissue(onion)
    radius_m = np.linalg.norm(onion.grid.centre_points_m(), axis=-1)
    assert set(np.unique(found[radius_m < 0.042])) == {1}
    assert set(np.unique(found[(radius_m > 0.048) & (radius_m < 0.057)])) == {0}
    assert set(np.unique(found[radius_m > 0.066])) == {AIR}


def test_a_region_of_a_tissue_holds_its_voxels_and_no_others(onion):
    depth_m = onion.depth_m()
    radius_m = np.linalg.norm(onion.grid.centre_points_m(), axis=-1)
    shell = region_voxels(TissueRegion(tissues=("shell",), least_depth_m=0.0), onion, depth_m=depth_m)
    assert radius_m[shell].min() > 0.042
    deep = region_voxels(TissueRegion(tissues=("shell",), least_depth_m=0.01), onion, depth_m=depth_m)
    assert 0 < deep.sum() < shell.sum()
    assert radius_m[deep].max() <= 0.05
    both = region_voxels(TissueRegion(tissues=("Core", "SHELL"), least_depth_m=0.0), onion, depth_m=depth_m)
    whole = region_voxels(WholeBodyRegion(least_depth_m=0.0), onion, depth_m=depth_m)
    np.testing.assert_array_equal(both, whole)


def asked(region, *accelerations):
    return ImagingRequest(region=region, accelerations=accelerations, voxel_volume_m3=8e-9, bandwidth_hz=1.0)


def slab(centre_m):
    return SimultaneousSlices(
        name="slab",
        slices=2,
        normal="z",
        slice_distance_m=0.01,
        slab_centre_m=centre_m,
        direction="x",
        field_of_view_m=0.2,
    )


def test_an_unknown_tissue_is_refused_with_the_bodys_own(onion):
    with pytest.raises(OutsideModelError, match="no tissue named Liver or Bone; its tissues are: Shell, core"):
        check_region(asked(TissueRegion(tissues=("Liver", "core", "Bone"), least_depth_m=0.0)), onion)


@pytest.mark.parametrize(
    "region",
    [
        TissueRegion(tissues=("Shell",), least_depth_m=0.03),
        WholeBodyRegion(least_depth_m=0.2),
        SphereRegion(centre_m=(0, 0, 0), radius_m=0.001, least_depth_m=0.0),
        BoxRegion(min_m=(0.059, 0.059, 0.059), max_m=(0.07, 0.07, 0.07), least_depth_m=0.0),
    ],
)
def test_a_region_without_a_voxel_is_refused_before_anything_is_solved(region, onion):
    with pytest.raises(OutsideModelError, match="holds no voxel of the body on the grid of 5 mm"):
        check_region(asked(region), onion)


def test_a_slab_beside_the_region_is_refused_before_anything_is_solved(onion):
    ball = SphereRegion(centre_m=(0, 0, 0), radius_m=0.02, least_depth_m=0.0)
    check_region(asked(ball, slab(0.02)), onion)
    with pytest.raises(OutsideModelError, match="slab_centre"):
        check_region(asked(ball, slab(0.04)), onion)
