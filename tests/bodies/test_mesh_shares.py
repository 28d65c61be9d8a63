"""What surfaces of triangles fill of voxels and faces, against an outside clipper and closed forms."""

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loopwright.bodies import Block, Ellipsoid, MeshShape
from loopwright.ground.errors import OutsideModelError
from triangle_cases import ball, box, cube, inside_out, manifold, octahedron, rough, tilted, together, torus

STEP_M = 10e-3
NODES_M = [STEP_M * np.arange(-12, 13) + shift for shift in (0.0, 1.3e-3, -2.7e-3)]
ON_PLANES_M = [STEP_M * np.arange(-12, 13)] * 3
SURFACES = {
    "rough": rough(0.08, 4),
    "tilted octahedron": tilted(octahedron(0.09)),
    "octahedron": octahedron(0.09),
    "torus": torus(0.07, 0.025),
}


def faces_m2(shape, nodes_m):
    return [shape.face_area_m2(axis, nodes_m) for axis in range(3)]


@pytest.mark.parametrize("nodes_m", [NODES_M, ON_PLANES_M], ids=["anywhere", "on planes"])
@pytest.mark.parametrize("surface", SURFACES.values(), ids=SURFACES.keys())
def test_voxels_hold_what_an_outside_clipper_cuts_out(surface, nodes_m):
    found = MeshShape(surface=surface).cell_volume_m3(nodes_m)
    solid = manifold(surface)
    assert found.sum() == pytest.approx(solid.volume(), rel=1e-9)  # asked: 2e-4
    cut = np.argwhere((found > 0.01 * STEP_M**3) & (found < 0.99 * STEP_M**3))
    for cell in np.random.default_rng(2).permutation(cut)[:40]:
        lower, upper = ([along[i + end] for along, i in zip(nodes_m, cell, strict=True)] for end in (0, 1))
        assert found[tuple(cell)] == pytest.approx((solid ^ box(lower, upper)).volume(), abs=1e-7 * STEP_M**3)


@pytest.mark.parametrize("surface", SURFACES.values(), ids=SURFACES.keys())
def test_faces_hold_what_an_outside_slicer_cuts_out(surface):
    shape = MeshShape(surface=surface)
    for axis in range(3):
        found = np.moveaxis(shape.face_area_m2(axis, NODES_M), axis, 0)
        first, second = (other for other in range(3) if other != axis)
        upright = surface.at(surface.vertices_m[:, [first, second, axis]])
        solid = manifold(upright if axis != 1 else inside_out(upright))
        for i in (7, 11, 14):
            section = solid.slice(NODES_M[axis][i])
            assert found[i].sum() == pytest.approx(section.area(), rel=1e-6)
            for j, k in np.argwhere((found[i] > 0.05 * STEP_M**2) & (found[i] < 0.95 * STEP_M**2))[:12]:
                corner = (NODES_M[first][j], NODES_M[second][k])
                square = manifold3d.CrossSection.square((STEP_M, STEP_M)).translate(corner)
                assert found[i, j, k] == pytest.approx((section ^ square).area(), abs=1e-5 * STEP_M**2)


def test_balls_of_triangles_approach_the_closed_forms_of_the_sphere_as_triangles_become_smaller():
    radius_m = 0.0887  # touches no plane of the grid
    sphere = Ellipsoid(semi_axes_m=(radius_m,) * 3)
    missed = []
    for level in (3, 4, 5):
        shape = MeshShape(surface=ball(radius_m, level))
        volumes = shape.cell_volume_m3(NODES_M) - sphere.cell_volume_m3(NODES_M)
        areas = [a - b for a, b in zip(faces_m2(shape, NODES_M), faces_m2(sphere, NODES_M), strict=True)]
        missed.append([np.abs(volumes).max() / STEP_M**3, *(np.abs(part).max() / STEP_M**2 for part in areas)])
    rate = np.log(np.array(missed[0]) / missed[2]) / np.log(16)  # of the number of triangles
    assert np.all(rate > 0.8)
    assert np.all(np.array(missed[2]) < [5e-3, 5e-2, 5e-2, 5e-2])


def test_a_cube_on_the_planes_of_the_grid_is_the_block():
    shape, block = MeshShape(surface=cube(0.05)), Block(semi_axes_m=(0.05,) * 3)
    assert shape.cell_volume_m3(ON_PLANES_M) == pytest.approx(block.cell_volume_m3(ON_PLANES_M), abs=1e-12 * STEP_M)
    for found, expected in zip(faces_m2(shape, ON_PLANES_M), faces_m2(block, ON_PLANES_M), strict=True):
        assert found == pytest.approx(expected, abs=1e-9 * STEP_M**2)  # the planes of its own faces stay empty


@pytest.mark.parametrize("axis", range(3))
def test_rays_through_corners_and_edges_cross_once(axis):
    places = 0.015 * np.arange(-7, 8)
    points = np.stack(np.meshgrid(places, places, places, indexing="ij"), axis=-1).reshape(-1, 3)
    points[:, axis] += 1e-4  # along the other two exactly on edges and corners, seen along this axis
    shape = MeshShape(surface=octahedron(0.09))
    assert np.array_equal(shape.contains(points), np.abs(points).sum(axis=1) < 0.09)
    block = MeshShape(surface=cube(0.05))  # with diagonals in its faces
    assert np.array_equal(block.contains(points), np.abs(points).max(axis=1) < 0.05)


def test_parts_that_overlap_count_once():
    one, other = ball(0.05, 4, centre_m=(-0.03, 0.0, 0.0)), ball(0.05, 4, centre_m=(0.03, 0.005, 0.002))
    shape = MeshShape(surface=together(one, other))
    union_m3 = (manifold(one) + manifold(other)).volume()
    nodes_m = [5e-3 * np.arange(-20, 21) + 1e-3] * 3
    found = shape.cell_volume_m3(nodes_m)
    assert found.sum() == pytest.approx(union_m3, rel=2e-4)
    assert shape.volume_m3 == pytest.approx(union_m3, rel=2e-4)
    assert found.max() <= 125e-9 * (1 + 1e-12)
    apart = np.abs(nodes_m[0][:-1]) > 0.03  # beyond the lens every voxel is exact
    alone = MeshShape(surface=one).cell_volume_m3(nodes_m) + MeshShape(surface=other).cell_volume_m3(nodes_m)
    assert found[apart] == pytest.approx(alone[apart], abs=1e-15)
    for axis, area in enumerate(faces_m2(shape, nodes_m)):
        assert 5e-3 * area.sum() == pytest.approx(union_m3, rel=2e-3), axis


def test_a_piece_turned_inside_out_is_empty():
    good, bad = ball(0.05, 3), inside_out(ball(0.02, 2, centre_m=(0.09, 0.0, 0.0)))
    shape = MeshShape(surface=together(good, bad))
    assert shape.volume_m3 == pytest.approx(good.volume_m3, rel=1e-9)
    assert not shape.contains(np.array([[0.09, 0.0, 0.0]])).any()
    hollow = MeshShape(surface=together(good, inside_out(ball(0.02, 2))))  # a cavity
    assert hollow.volume_m3 == pytest.approx(good.volume_m3 - ball(0.02, 2).volume_m3, rel=1e-9)
    assert hollow.contains(np.array([[0.0, 0.0, 0.0], [0.03, 0.0, 0.0]])).tolist() == [False, True]


@settings(max_examples=8, deadline=None)
@given(st.tuples(*[st.floats(-0.5, 0.5)] * 3), st.floats(9e-3, 30e-3))
def test_volume_is_kept_wherever_the_grid_lies_and_however_fine_it_is(shift, step_m):
    shape = MeshShape(surface=SURFACES["rough"])
    nodes_m = [step_m * (np.arange(-22, 23) + part) for part in shift]
    nodes_m = [along[np.abs(along) < 0.25] for along in nodes_m]
    volume = shape.cell_volume_m3(nodes_m)
    assert volume.sum() == pytest.approx(shape.surface.volume_m3, rel=1e-9)
    parts = [np.sort(np.concatenate([along, (along[1:] + along[:-1]) / 2])) for along in nodes_m]
    finer = shape.cell_volume_m3(parts)
    a, b, c = volume.shape
    assert finer.reshape(a, 2, b, 2, c, 2).sum(axis=(1, 3, 5)) == pytest.approx(volume, abs=1e-9 * step_m**3)


def test_a_part_of_the_grid_is_told_as_the_whole_is():
    shape = MeshShape(surface=SURFACES["rough"])
    part = [along[5:15] for along in NODES_M]
    inner = (slice(5, 14),) * 3
    assert shape.cell_volume_m3(part) == pytest.approx(shape.cell_volume_m3(NODES_M)[inner], abs=1e-9 * STEP_M**3)
    for axis in range(3):
        window = tuple(slice(5, 15 if other == axis else 14) for other in range(3))
        found, whole = shape.face_area_m2(axis, part), shape.face_area_m2(axis, NODES_M)[window]
        assert found == pytest.approx(whole, abs=1e-9 * STEP_M**2)


@pytest.mark.parametrize("surface", [rough(0.08, 3), together(ball(0.05, 3), ball(0.05, 3, centre_m=(0.04, 0, 0)))])
def test_shares_move_with_the_body_and_turn_over_with_it(surface):
    shape = MeshShape(surface=surface)
    moved = MeshShape(surface=surface.at(surface.vertices_m + np.array([0.0, STEP_M, 0.0])))
    was, now = shape.cell_volume_m3(NODES_M), moved.cell_volume_m3(NODES_M)
    assert now[:, 1:] == pytest.approx(was[:, :-1], abs=1e-9 * STEP_M**3)
    mirrored = MeshShape(surface=inside_out(surface.at(surface.vertices_m * [1.0, -1.0, 1.0])))
    back = [NODES_M[0], -NODES_M[1][::-1], NODES_M[2]]
    assert mirrored.cell_volume_m3(back)[:, ::-1] == pytest.approx(was, abs=1e-3 * STEP_M**3)
    for axis in range(3):
        there, here = mirrored.face_area_m2(axis, back)[:, ::-1], shape.face_area_m2(axis, NODES_M)
        assert there == pytest.approx(here, abs=1e-2 * STEP_M**2)


def test_cuts_are_those_of_the_ellipsoid_and_no_face_lies_in_them():
    lower_m, upper_m = (-np.inf, -np.inf, -0.03), (0.05, np.inf, np.inf)
    sphere = Ellipsoid(semi_axes_m=(0.09,) * 3, lower_m=lower_m, upper_m=upper_m)
    shape = MeshShape(surface=ball(0.09, 5), lower_m=lower_m, upper_m=upper_m)
    assert shape.volume_m3 == pytest.approx(sphere.volume_m3, rel=1e-4)
    assert shape.cell_volume_m3(NODES_M) == pytest.approx(sphere.cell_volume_m3(NODES_M), abs=5e-3 * STEP_M**3)
    assert shape.box_m[0][2] == pytest.approx(-0.03)
    assert shape.box_m[1][0] == pytest.approx(0.05)
    ends = shape.face_area_m2(2, ON_PLANES_M)
    assert ends[:, :, 9].max() == 0  # z = -30 mm
    assert ends[:, :, 10].max() == pytest.approx(STEP_M**2)
    assert shape.face_area_m2(0, ON_PLANES_M)[17].max() == 0  # x = 50 mm


def test_the_box_of_a_crop_is_that_of_what_is_left():
    arms = together(ball(0.03, 3), ball(0.03, 3, centre_m=(0.2, 0.0, -0.1)))
    shape = MeshShape(surface=arms, lower_m=(-np.inf, -np.inf, -0.01))
    assert np.array(shape.box_m) == pytest.approx(np.array([[-0.03, -0.03, -0.01], [0.03, 0.03, 0.03]]), abs=3e-4)
    within = MeshShape(surface=ball(0.09, 3), lower_m=(-0.02, -0.03, -0.01), upper_m=(0.01, 0.02, 0.03))
    assert within.box_m == ((-0.02, -0.03, -0.01), (0.01, 0.02, 0.03))
    assert within.volume_m3 == pytest.approx(30e-3 * 50e-3 * 40e-3)


def test_surfaces_that_bound_nothing_are_refused():
    good = ball(0.05, 2)
    with pytest.raises(OutsideModelError, match="not closed"):
        MeshShape(surface=type(good)(vertices_m=good.vertices_m, triangles=good.triangles[1:]))
    with pytest.raises(OutsideModelError, match="looks inwards"):
        MeshShape(surface=inside_out(good))
    with pytest.raises(OutsideModelError, match="Nothing of the surface"):
        MeshShape(surface=good, lower_m=(0.1, 0.1, 0.1))
