"""Bodies of triangles in the stages that use bodies: grids, fields of loops beside them, skins, flat plates."""

from dataclasses import replace

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import (
    Ellipsoid,
    MeshShape,
    Region,
    Solid,
    dominant_tissue,
    layered_sphere,
    layered_surface,
    voxelise,
)
from loopwright.fields import closed_loops, reply_to_sources
from loopwright.ground.progress import Forgetful, Silent
from loopwright.layouts.grounds import plate_of
from triangle_cases import ball, octahedron, rough

RADIUS_M = 0.082  # of a head; no multiple of a voxel, so that both bodies get the same grid


def placed(solid, *, spacing_m=8e-3, sigma_s_per_m=0.5):
    tissues = tuple(gel(63, sigma_s_per_m, name) for name in solid.tissue_names)
    return voxelise(solid, spacing_m=spacing_m, tissues=tissues, frequency_hz=127.73e6)


def loops_m():
    """Three hexagons of 35 mm radius, 10 mm off the sphere."""
    angle = np.linspace(0, 2 * np.pi, 6, endpoint=False)
    ring = 0.035 * np.column_stack([np.cos(angle), np.sin(angle), np.zeros(6)]) + [0, 0, RADIUS_M + 0.01]
    return [np.roll(ring, turn, axis=1) for turn in range(3)]


def figures(body):
    """Body resistance and reactance of each loop, noise correlation, and SNR at the middle and 25 mm deep."""
    reply = reply_to_sources(
        body, closed_loops(loops_m()), relative_residual=1e-5, progress=Silent(), store=Forgetful()
    )
    noise, field = reply.noise_resistance_ohm, reply.magnetic_field_t_per_a
    received = field[:, 0] - 1j * field[:, 1]
    middle = tuple(n // 2 for n in body.grid.shape)
    deep = (middle[0], middle[1], int((RADIUS_M - 0.025 - body.grid.origin_m[2]) / body.grid.spacing_m))
    snr = [np.sqrt(np.vdot(b, np.linalg.solve(noise, b)).real) for b in (received[:, *at] for at in (middle, deep))]
    return {
        "resistance": np.diag(noise).real,
        "reactance": np.diag(reply.impedance_ohm).imag,
        "snr": np.array(snr),
    }


def test_a_sphere_of_triangles_gives_the_figures_of_the_sphere():
    expected = figures(placed(layered_sphere(RADIUS_M, tissue_names=("gel",))))
    # faces that come or go at the least cover that carries current leave some parts in ten thousand at 8 mm
    for level, least in ((3, 5e-3), (5, 2e-3)):
        found = figures(placed(layered_surface(ball(RADIUS_M, level), tissue_names=("gel",))))
        for name, values in expected.items():
            assert found[name] == pytest.approx(values, rel=least), (level, name)


def test_depth_of_voxels_is_that_of_the_sphere_where_there_is_body_and_a_bound_beyond():
    sphere, found = (
        placed(layered_sphere(RADIUS_M, tissue_names=("gel",))),
        placed(layered_surface(ball(RADIUS_M, 5), tissue_names=("gel",))),
    )
    for body in (sphere, found):
        exact = sphere.solid.depth_m(sphere.grid.centre_points_m().reshape(-1, 3)).reshape(body.grid.shape)
        depth, near = body.depth_m(), body.voxel_cover() > 0
        assert depth[near] == pytest.approx(exact[near], abs=1e-4)
        assert np.all(depth[exact < 0] < 0)
        assert np.all(depth >= exact - 1e-4)
        assert depth.min() >= -0.03


def test_organs_of_formulas_lie_in_bodies_of_triangles():
    skin = layered_surface(ball(0.08, 4), tissue_names=("skin", "muscle"), thicknesses_m=(2e-3,))
    organ = Ellipsoid(semi_axes_m=(0.03, 0.02, 0.04), centre_m=(0.02, 0.0, 0.0))
    solid = Solid(
        name="with an organ",
        regions=(*skin.regions, Region(shape=organ, tissue=2, within=1)),
        tissue_names=("skin", "muscle", "liver"),
    )
    body = placed(solid, spacing_m=5e-3)
    volumes_m3 = body.voxel_fraction.sum(axis=(1, 2, 3), dtype=float) * body.grid.voxel_volume_m3
    assert volumes_m3 == pytest.approx(np.array(solid.volumes_m3), rel=1e-5)
    for share in (body.voxel_fraction, *body.face_fraction):
        assert share.min() >= 0
        assert share.sum(axis=0).max() <= 1 + 1e-6
    dominant = dominant_tissue(body)
    whole = body.voxel_fraction.max(axis=0) > 0.999
    assert np.array_equal(dominant[whole], solid.label(body.grid.centre_points_m()[whole]))


def test_thin_skin_keeps_its_volume_in_coarse_voxels():
    solid = layered_surface(rough(0.08, 4), tissue_names=("skin", "muscle"), thicknesses_m=(0.66e-3,))
    body = placed(solid, spacing_m=8e-3)
    skin_m3 = body.voxel_fraction[0].sum(dtype=float) * body.grid.voxel_volume_m3
    assert skin_m3 == pytest.approx(solid.volumes_m3[0], rel=1e-5)
    whole = placed(layered_surface(rough(0.08, 4), tissue_names=("all",)), spacing_m=8e-3)
    for found, expected in zip(body.face_cover(), whole.face_cover(), strict=True):
        assert found == pytest.approx(expected, abs=1e-6)


def test_series_rule_takes_bodies_of_triangles():
    layers = {"tissue_names": ("fat", "muscle"), "thicknesses_m": (0.01,)}
    tissues = (gel(5, 0.03, "fat"), gel(63, 0.7, "muscle"))
    sphere, found = (
        replace(placed(solid, spacing_m=14e-3), tissues=tissues).face_permittivity_in_series(127.73e6)
        for solid in (layered_sphere(RADIUS_M, **layers), layered_surface(ball(RADIUS_M, 4), **layers))
    )
    for one, other in zip(sphere, found, strict=True):
        assert np.abs(other - one).mean() < 5e-3 * np.abs(one).mean()


def test_a_plate_touches_the_outermost_corner():
    solid = layered_surface(octahedron(0.09), tissue_names=("gel",))
    assert plate_of(solid, (0.0, -2.0, 0.0)).middle_m == pytest.approx((0.0, -0.09, 0.0))
    slanting = plate_of(solid, (1.0, 1.0, 1.0))
    assert np.linalg.norm(slanting.middle_m) == pytest.approx(0.09 / np.sqrt(3))
    cut = replace(solid.skin, upper_m=(np.inf, np.inf, 0.03))
    assert isinstance(cut, MeshShape)
    half = Solid(name="cut", regions=(Region(shape=cut, tissue=0, within=None),), tissue_names=("gel",))
    assert plate_of(half, (0.0, 0.0, 1.0)).middle_m == pytest.approx((0.0, 0.0, 0.03))
