"""Layers under surfaces of triangles: thickness kept where there is room, shares that add up where there is none."""

import re
from itertools import pairwise

import numpy as np
import pytest

from loopwright.bodies import grid_around, inner_surface, layered_sphere, layered_surface, voxel_fractions
from loopwright.bodies.offsets import half_thickness_m
from loopwright.bodies.shares import shares_of_faces
from loopwright.ground.errors import OutsideModelError
from triangle_cases import ball, cube, rough, torus

FINGER = torus(0.03, 6e-3, around=96, across=48)  # bent to a ring
LAYERS = {"tissue_names": ("skin", "fat", "muscle"), "thicknesses_m": (1e-3, 6e-3)}


def test_layers_of_a_ball_are_those_of_the_sphere():
    found, sphere = layered_surface(ball(0.09, 5), **LAYERS), layered_sphere(0.09, **LAYERS)
    assert found.volumes_m3 == pytest.approx(sphere.volumes_m3, rel=2e-3)
    points = np.random.default_rng(2).uniform(-0.09, 0.09, (1000, 3))
    clear = sphere.clearance_m(points) > 1e-4
    assert np.array_equal(found.label(points)[clear], sphere.label(points)[clear])
    told = [float(part) for part in re.findall(r"([\d.]+) %", found.notes[0])[:2]]
    radii = 90, 89, 83
    whole = [100 * (a**3 - b**3) / (3 * 90**2 * (a - b)) for a, b in pairwise(radii)]
    assert told == pytest.approx(whole, abs=0.1)
    assert "under 0 % of it" in found.notes[0]


def test_an_inner_surface_lies_at_its_depth():
    surface = rough(0.08, 5)
    depth_m = np.linspace(1e-3, 4e-3, len(surface.vertices_m))
    moved = inner_surface(surface, depth_m)
    assert np.linalg.norm(moved.vertices_m - surface.vertices_m, axis=1) == pytest.approx(depth_m, rel=1e-9)
    assert inner_surface(surface, 0.0).vertices_m == pytest.approx(surface.vertices_m)


def test_thin_shells_keep_their_volume():
    surface = rough(0.08, 5)
    for thickness_m in (0.66e-3, 2e-3):
        shell_m3 = surface.volume_m3 - inner_surface(surface, thickness_m).volume_m3
        assert shell_m3 == pytest.approx(surface.area_m2 * thickness_m, rel=0.05)


def test_half_the_thickness_is_the_radius_of_what_is_round_and_half_the_wall_of_what_is_flat():
    assert half_thickness_m(ball(0.05, 4), most_m=0.2) == pytest.approx(0.05, rel=0.05)
    assert half_thickness_m(ball(0.05, 4), most_m=0.02) == pytest.approx(0.02)
    assert half_thickness_m(torus(0.07, 0.02), most_m=0.2) == pytest.approx(0.02, rel=0.05)
    middle = ball(1.0, 4)
    plate = middle.at(middle.vertices_m * [0.1, 0.1, 0.004])
    flat = np.linalg.norm(plate.vertices_m[:, :2], axis=1) < 0.03
    assert half_thickness_m(plate, most_m=0.05)[flat] == pytest.approx(np.abs(plate.vertices_m[flat, 2]), rel=0.05)


@pytest.mark.parametrize("surface", [FINGER, rough(0.03, 4), cube(0.02)], ids=["finger", "rough", "cube"])
def test_shares_of_thick_layers_of_thin_parts_add_up_and_are_never_negative(surface):
    solid = layered_surface(surface, tissue_names=("skin", "fat", "muscle"), thicknesses_m=(1.5e-3, 4e-3))
    bare = layered_surface(surface, tissue_names=("all",))
    grid = grid_around(solid, 3e-3)
    nodes = [grid.nodes_m(axis) for axis in range(3)]
    pairs = [(voxel_fractions(solid, grid), voxel_fractions(bare, grid))]
    pairs += [
        (shares_of_faces(solid, nodes, a, np.float64), shares_of_faces(bare, nodes, a, np.float64)) for a in range(3)
    ]
    for share, whole in pairs:
        assert share.min() >= 0
        assert share.sum(axis=0) == pytest.approx(whole[0], abs=1e-8)
    found_m3 = pairs[0][0].sum(axis=(1, 2, 3)) * grid.voxel_volume_m3
    assert found_m3.sum() == pytest.approx(surface.volume_m3, rel=1e-6)
    assert found_m3 == pytest.approx(solid.volumes_m3, rel=1e-2)


def test_a_finger_has_thinner_layers_in_proportion_and_says_so():
    solid = layered_surface(FINGER, tissue_names=("skin", "fat", "muscle"), thicknesses_m=(1.5e-3, 4.1e-3))
    on_axis = np.column_stack([np.linspace(0.03, 0.036, 200)[1:], np.full((199, 2), 1e-5)])
    label = solid.label(on_axis)
    assert np.count_nonzero(label == 0) / 199 == pytest.approx(0.9 * 1.5 / 5.6, abs=0.02)
    assert np.count_nonzero(label == 2) / 199 == pytest.approx(0.1, abs=0.03)


def test_layers_without_room_are_refused():
    with pytest.raises(OutsideModelError, match="leave no core under 100 %"):
        layered_surface(ball(0.01, 3), tissue_names=("skin", "muscle"), thicknesses_m=(0.012,), name="pea")


def test_no_layer_covers_a_cut():
    solid = layered_surface(ball(0.05, 4), **LAYERS, lower_m=(-np.inf, -np.inf, 0.0))
    points = np.array([[0.0, 0.0, 1e-4], [0.0465, 0.0, 1e-4], [0.0, 0.0, -1e-4]])
    assert solid.label(points).tolist() == [2, 1, -1]
    assert sum(solid.volumes_m3) == pytest.approx(2 / 3 * np.pi * 0.05**3, rel=1e-3)
