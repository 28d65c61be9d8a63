"""Permittivity of faces between tissues in series: slabs by hand, cut faces untouched."""

import numpy as np
import pytest

from loopwright.bodies import Tissue, layered_elliptic_cylinder, layered_sphere, voxelise

F = 123.2e6


def tissue(name, eps_r):
    return Tissue(name=name, eps_r=eps_r, sigma_s_per_m=0.0, note="test")


def body(solid):
    return voxelise(solid, spacing_m=0.01, tissues=(tissue("outer", 6.0), tissue("inner", 60.0)), frequency_hz=F)


def test_layers_across_the_way_are_in_series():
    """An almost flat interface at 47.5 mm, a quarter of the way between the centres at 45 and 55 mm."""
    solid = layered_elliptic_cylinder((0.07, 0.6), 0.04, tissue_names=("outer", "inner"), thicknesses_m=(0.0225,))
    made = body(solid)
    x, _, _ = made.face_permittivity_in_series(F)
    mean, _, _ = made.face_permittivity(F)
    face = (int(np.argmin(np.abs(made.grid.nodes_m(0) - 0.05))), made.grid.shape[1] // 2, made.grid.shape[2] // 2)
    assert mean[face] == pytest.approx(6.0)
    assert x[face] == pytest.approx(1 / (0.25 / 60 + 0.75 / 6))
    deeper = (face[0] - 1, *face[1:])
    assert x[deeper] == mean[deeper] == pytest.approx(60.0)


def test_one_tissue_and_cut_faces_keep_the_area_mean():
    solid = layered_sphere(0.05, tissue_names=("outer", "inner"), thicknesses_m=(0.02,))
    made = body(solid)
    whole = made.voxel_cover() > 0.999
    for axis, (series, mean) in enumerate(
        zip(made.face_permittivity_in_series(F), made.face_permittivity(F), strict=True)
    ):
        changed = np.abs(series - mean) > 1e-6
        assert changed.any()
        before, behind = np.moveaxis(whole, axis, 0)[:-1], np.moveaxis(whole, axis, 0)[1:]
        inner = np.moveaxis(changed, axis, 0)
        assert not inner[[0, -1]].any()
        assert not (inner[1:-1] & ~(before & behind)).any()
        assert np.all((series[changed].real > 6 - 1e-4) & (series[changed].real < 60 + 1e-4))
