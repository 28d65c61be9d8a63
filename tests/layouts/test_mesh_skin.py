"""Outlines on triangle surfaces lie as on the shapes that the triangles stand for, and no facet is seen."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from meshes_of_shapes import column_skin, column_surface, cone_skin, ellipsoid_surface, sphere_surface, torus_surface

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts import ColumnSkin, EllipsoidSkin, circle_outline_m, spread_directions
from loopwright.layouts.mesh_skin import mesh_skin

AXES = (0.075, 0.095, 0.085)
TOWARDS = spread_directions(12, semi_axes_m=AXES)
FLAT = circle_outline_m(0.08, segments=48)
STAND_OFF = np.full(12, 0.01)


@cache
def head_like(edge_m):
    return mesh_skin(ellipsoid_surface(AXES, edge_m=edge_m), reach_m=0.012)


def jitter_m(offset_m):
    """What changes from node to node."""
    return np.abs(offset_m - (np.roll(offset_m, 1, axis=1) + np.roll(offset_m, -1, axis=1)) / 2).max()


def test_outlines_on_a_meshed_ellipsoid_lie_as_on_the_ellipsoid():
    """Edges of 10 mm and of 5 mm: within a tenth of a millimetre everywhere, and no facet shows along an outline."""
    exact = EllipsoidSkin(semi_axes_m=AXES)
    expected = exact.wrapped_m(exact.feet_towards(TOWARDS), FLAT, stand_off_m=STAND_OFF)
    for edge_m in (0.010, 0.005):
        skin = head_like(edge_m)
        offset = skin.wrapped_m(skin.feet_towards(TOWARDS), FLAT, stand_off_m=STAND_OFF) - expected
        assert np.linalg.norm(offset, axis=2).max() < 0.2e-3
        assert jitter_m(offset) < 0.02e-3


def test_finer_triangles_come_closer_to_the_sphere():
    exact = EllipsoidSkin(semi_axes_m=(0.05,) * 3)
    towards = spread_directions(6, semi_axes_m=(0.05,) * 3)
    flat = circle_outline_m(0.05, segments=24)
    expected = exact.wrapped_m(exact.feet_towards(towards), flat, stand_off_m=np.full(6, 0.005))
    missed = []
    for edge_m in (0.04, 0.02, 0.01):
        skin = mesh_skin(sphere_surface(0.05, edge_m=edge_m), reach_m=0.006)
        laid = skin.wrapped_m(skin.feet_towards(towards), flat, stand_off_m=np.full(6, 0.005))
        missed.append(np.linalg.norm(laid - expected, axis=2).max())
    assert missed[0] > 2 * missed[1] > 2 * missed[2]
    assert missed[2] < 0.1e-3


def test_distances_on_a_meshed_ellipsoid_are_lengths_of_shortest_lines():
    """Against the chord's projection, which is an upper bound close by; and the way out and back is one length."""
    exact, skin = EllipsoidSkin(semi_axes_m=AXES), head_like(0.005)
    pairs = np.array([(i, j) for i in range(12) for j in range(i) if TOWARDS[i] @ TOWARDS[j] > 0.4])
    found = skin.distances_m(skin.feet_towards(TOWARDS), pairs, stand_off_m=0.01)
    expected = exact.distances_m(exact.feet_towards(TOWARDS), pairs, stand_off_m=0.01)
    assert found == pytest.approx(expected, rel=2e-3)
    back = skin.distances_m(skin.feet_towards(TOWARDS), pairs[:, ::-1], stand_off_m=0.01)
    assert back == pytest.approx(found, rel=1e-6)


def test_a_walk_round_a_column_is_that_of_a_film():
    exact, skin = ColumnSkin(semi_axes_m=(0.05, 0.05), height_m=0.3), column_skin(0.06)
    front = np.array([[0.0, -1.0, 0.0]])
    flat = np.array([[0.1, 0.0], [-0.07, 0.05], [0.0, -0.08], [0.0, 0.0]])
    there = skin.walked(skin.feet_towards(front), flat, stand_off_m=0.01)
    expected = exact.walked(exact.feet_towards(front), flat, stand_off_m=0.01)
    for name in ("points_m", "along", "across", "normal"):
        assert getattr(there, name) == pytest.approx(getattr(expected, name), abs=2e-3 if name != "points_m" else 1e-4)
    whole = skin.walked(skin.feet_towards(front), np.array([[2 * np.pi * 0.06, 0.0]]), stand_off_m=0.01)
    assert whole.points_m == pytest.approx(skin.feet_towards(front).points_m, abs=3e-4)


def test_the_frame_keeps_its_bearing_on_the_way():
    """Along a shortest line the angle to it stays: carried frames stay orthonormal and right-handed on a cone."""
    skin = cone_skin()
    there = skin.walked(skin.feet_towards(np.array([[1.0, 0.2, 0.1]])), FLAT, stand_off_m=0.01)
    assert np.cross(there.along, there.across) == pytest.approx(there.normal, abs=1e-12)
    assert np.sum(there.along * there.normal, axis=1) == pytest.approx(np.zeros(48), abs=1e-12)


def test_the_carrier_bridges_a_hollow_that_the_ball_does_not_enter():
    """The hole of a torus is narrower than the ball: the carrier lies across it, and touches the ring's outside."""
    ring, tube = 0.06, 0.045
    skin = mesh_skin(torus_surface(ring, tube, edge_m=0.005), reach_m=0.012)
    assert skin.heights_m(np.array([[ring + tube, 0.0, 0.0]])) == pytest.approx(0.0, abs=0.5e-3)
    assert skin.heights_m(np.zeros((1, 3))) < -0.01
    # The lowest point of a ball that lies on the hole is where the carrier crosses the axis.
    lowest = np.sqrt((skin.carrier.ball_m + tube) ** 2 - ring**2) - skin.carrier.ball_m
    on_axis = skin.feet_towards(np.array([[0.0, 0.0, 1.0]])).points_m[0]
    assert on_axis == pytest.approx([0.0, 0.0, lowest], abs=0.1 * skin.carrier.ball_m)


def test_a_fold_that_looks_inwards_is_not_taken_for_the_outside():
    """Seen from the middle of the body the closest vertex looks at it, as an eyelid does: it is inside all the same."""
    whole, fold = sphere_surface(0.06, edge_m=0.006), sphere_surface(0.006, edge_m=0.002)
    surface = Surface(
        vertices_m=np.concatenate([whole.vertices_m, fold.vertices_m - np.array([0, 0.05, 0])]),
        triangles=np.concatenate([whole.triangles, fold.triangles + len(whole.vertices_m)]),
    )
    carrier = mesh_skin(surface, reach_m=0.012).carrier_surface(stand_off_m=0.008)
    away = np.linalg.norm(carrier.vertices_m, axis=1)
    np.testing.assert_allclose(away, 0.068, atol=0.2e-3)


def test_no_element_lies_past_a_cut():
    surface = column_surface(0.06, 0.3, edge_m=0.008)
    skin = mesh_skin(surface, reach_m=0.012, upper_m=(np.inf, np.inf, 0.05))
    foot = skin.feet_towards(np.array([[0.0, -1.0, 0.0]]))
    assert np.all(np.isinf(skin.lower_m))
    assert skin.upper_m[2] == 0.05
    flat = circle_outline_m(0.08, segments=48)
    skin.refuse_past_cuts(skin.wrapped_m(foot, flat, stand_off_m=np.array([0.01]))[0], "an element")
    above = skin.walked(foot, np.array([[0.0, 0.02]]), stand_off_m=0.01)
    with pytest.raises(OutsideModelError, match="an element would lie 10 mm past the plane of greatest z"):
        skin.refuse_past_cuts(skin.wrapped_m(above, flat, stand_off_m=np.array([0.01]))[0], "an element")
    with pytest.raises(OutsideModelError, match="middle of an element"):
        skin.walked(foot, np.array([[0.0, 0.06]]), stand_off_m=0.01)


def test_a_carrier_further_off_than_it_was_made_for_is_refused():
    skin = column_skin(0.06)
    foot = skin.feet_towards(np.array([[0.0, -1.0, 0.0]]))
    with pytest.raises(OutsideModelError, match=r"15\.0 mm off the skin was asked for"):
        skin.wrapped_m(foot, FLAT, stand_off_m=np.array([0.015]))


def test_a_ray_that_meets_no_skin_is_refused():
    beside = replace(column_skin(0.06), inner_m=(0.058, 0.0, 0.0))
    with pytest.raises(OutsideModelError, match="does not leave it"):
        beside.feet_towards(np.array([[1.0, 0.0, 0.0]]))


def test_a_box_beside_the_body_is_refused():
    with pytest.raises(OutsideModelError, match="no part of the body"):
        mesh_skin(sphere_surface(0.05, edge_m=0.01), reach_m=0.006, lower_m=(0.4, -0.1, -0.1), upper_m=(0.6, 0.1, 0.1))
