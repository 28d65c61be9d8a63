"""Shares of faces and cells against counting points, and bounds of distance against true distances."""

from math import inf, pi

import numpy as np
import pytest
from scipy.stats import qmc

from loopwright.bodies import Block, Dome, Ellipsoid, EllipticColumn
from loopwright.bodies.closest import closest_on_ellipsoid_m, depth_in_block_m, depth_in_ellipsoid_m

CUT = Ellipsoid(
    semi_axes_m=(0.03, 0.05, 0.09), centre_m=(0.02, 0.0, -0.01), lower_m=(0.004, -inf, -0.01), upper_m=(inf, 0.03, inf)
)
SHAPES = [
    Ellipsoid(semi_axes_m=(0.05, 0.05, 0.05)),
    Ellipsoid(semi_axes_m=(0.04, 0.06, 0.05), centre_m=(0.003, -0.002, 0.001)),
    CUT,
    EllipticColumn(semi_axes_m=(0.06, 0.04), height_m=0.11),
    EllipticColumn(semi_axes_m=(0.03, 0.04), height_m=0.08, centre_m=(0.015, -0.012, 0.021)),
    Dome(semi_axes_m=(0.05, 0.06, 0.04), height_m=0.06, centre_m=(0.002, -0.003, 0.011)),
    Block(semi_axes_m=(0.05, 0.03, 0.06), centre_m=(0.004, -0.013, 0.017)),
]
NODES = [np.linspace(-0.07, 0.07, 8), np.linspace(-0.07, 0.07, 8), np.linspace(-0.07, 0.09, 9)]


def _points_in_cells(per_cell):
    unit = qmc.Sobol(3, rng=1).random_base2(per_cell)
    corner = np.stack(np.meshgrid(*(nodes[:-1] for nodes in NODES), indexing="ij"), axis=-1)
    return corner[..., None, :] + 0.02 * unit


@pytest.mark.parametrize("shape", SHAPES)
def test_cell_volumes_agree_with_counted_points(shape):
    points = _points_in_cells(10)
    counted = shape.contains(points.reshape(-1, 3)).reshape(points.shape[:-1]).mean(axis=-1)
    found = shape.cell_volume_m3(NODES) / 0.02**3
    assert np.abs(found - counted).max() < 0.012
    assert found.mean() == pytest.approx(counted.mean(), rel=2e-3)


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("shape", SHAPES)
def test_face_areas_agree_with_counted_points(shape, axis):
    nodes = [np.asarray(NODES[0]), np.asarray(NODES[1]), np.asarray(NODES[2])]
    nodes[axis] = nodes[axis] + 1e-3  # off the cut planes
    unit = np.insert(qmc.Sobol(2, rng=1).random_base2(11), axis, 0.0, axis=1)
    corner = np.stack(np.meshgrid(*(n if i == axis else n[:-1] for i, n in enumerate(nodes)), indexing="ij"), axis=-1)
    points = corner[..., None, :] + 0.02 * unit
    counted = shape.contains(points.reshape(-1, 3)).reshape(points.shape[:-1]).mean(axis=-1)
    assert np.abs(shape.face_area_m2(axis, nodes) / 0.02**2 - counted).max() < 0.01


def test_volumes_have_their_handbook_values():
    assert SHAPES[1].volume_m3 == pytest.approx(4 / 3 * pi * 0.04 * 0.06 * 0.05, rel=1e-12)
    assert SHAPES[3].volume_m3 == pytest.approx(pi * 0.06 * 0.04 * 0.11, rel=1e-12)
    dome = Dome(semi_axes_m=(0.03, 0.05, 0.09), height_m=0.07)
    assert dome.volume_m3 == pytest.approx(pi * 0.03 * 0.05 * (0.07 + 2 / 3 * 0.09), rel=1e-12)
    half = Ellipsoid(semi_axes_m=(0.03, 0.05, 0.09), lower_m=(-inf, -inf, 0.0))
    assert half.volume_m3 == pytest.approx(2 / 3 * pi * 0.03 * 0.05 * 0.09, rel=1e-12)
    cap_height = 0.02  # of a sphere: pi h^2 (3 r - h) / 3
    cap = Ellipsoid(semi_axes_m=(0.05, 0.05, 0.05), lower_m=(0.03, -inf, -inf))
    assert cap.volume_m3 == pytest.approx(pi * cap_height**2 * (0.15 - cap_height) / 3, rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_clearance_never_exceeds_the_way_to_a_point_on_the_other_side(shape):
    rng = np.random.default_rng(3)
    here, there = rng.uniform(-0.1, 0.1, (2, 200_000, 3))
    there = here + 0.3 * (there - here)
    across = shape.contains(here) != shape.contains(there)
    assert across.sum() > 1000
    distance = np.linalg.norm(here - there, axis=1)[across]
    assert np.all(shape.clearance_m(here)[across] <= distance)


@pytest.mark.parametrize("off_m", [-1e-17, 0.0, 1e-17])
def test_no_face_is_empty_where_cap_and_column_meet(off_m):
    """Current crosses that plane as any other, wherever rounding puts the nodes; only the end below is cut."""
    dome = Dome(semi_axes_m=(0.05, 0.06, 0.04), height_m=0.06)
    nodes = [np.linspace(-0.07, 0.07, 15), np.linspace(-0.07, 0.07, 15), np.array([-0.06, -0.02, off_m, 0.02])]
    found = dome.face_area_m2(2, nodes).sum(axis=(0, 1))
    section = pi * 0.05 * 0.06
    assert found == pytest.approx([0, section, section, section * 0.75], rel=1e-12)


def test_clearance_of_a_sphere_is_the_distance():
    points = np.random.default_rng(4).uniform(-0.1, 0.1, (100, 3))
    expected = np.abs(np.linalg.norm(points, axis=1) - 0.05)
    assert SHAPES[0].clearance_m(points) == pytest.approx(expected, abs=1e-15)


@pytest.mark.parametrize("axes", [(0.1, 0.07), (0.08, 0.1, 0.09), (0.1, 0.1, 0.1)])
def test_closest_point_lies_on_the_surface_and_sees_the_point_along_its_normal(axes):
    points = np.random.default_rng(5).uniform(-0.12, 0.12, (500, len(axes)))
    found = closest_on_ellipsoid_m(points, axes)
    assert np.sum((found / axes) ** 2, axis=1) == pytest.approx(np.ones(500), abs=1e-12)
    normal = found / np.square(axes)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    way = points - found
    assert np.abs(way - np.sum(way * normal, axis=1, keepdims=True) * normal).max() < 1e-10


def test_no_sampled_point_of_the_surface_is_closer_than_the_closest():
    axes = np.array([0.08, 0.1, 0.09])
    rng = np.random.default_rng(6)
    unit = rng.normal(size=(20_000, 3))
    surface = axes * unit / np.linalg.norm(unit, axis=1, keepdims=True)
    points = np.vstack([rng.uniform(-0.1, 0.1, (50, 3)), np.zeros((1, 3)), [[0.0, 0.01, 0.0]]])
    depth = np.abs(depth_in_ellipsoid_m(points, tuple(axes)))
    sampled = np.min(np.linalg.norm(points[:, None] - surface[None], axis=2), axis=1)
    assert np.all(depth <= sampled + 1e-12)
    assert depth == pytest.approx(sampled, abs=4e-3)  # spacing of the samples
    assert depth[-2] == pytest.approx(0.08, abs=1e-9)


def test_depth_in_a_block_is_the_way_to_its_nearest_face_edge_or_corner():
    half = (0.05, 0.03, 0.06)
    points = np.array([[0.0, -0.025, 0.0], [0.045, 0, 0], [0, 0, 0.07], [0.053, 0.034, 0], [0.052, 0.033, -0.066]])
    assert depth_in_block_m(points, half) == pytest.approx([0.005, 0.005, -0.01, -0.005, -0.007], abs=1e-12)
