"""The least distance from conductor to skin is the exact one: the sag of chords, the place and the element with it."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from loopwright.bodies import MeshShape, layered_ellipsoid, layered_slab, layered_sphere
from loopwright.bodies.closest import depth_in_ellipsoid_m
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element
from loopwright.limits import Verdict, assess_spacing, least_spacing, packaged_limits
from triangle_cases import ball, cube

RADIUS_M = 0.08


def ring(name, *, radius_m, at_m, sides=12, axis=2, middle=(0.0, 0.0, 0.0)):
    """A regular polygon with its corners on a circle across an axis."""
    turn = 2 * np.pi * np.arange(sides) / sides
    flat = np.stack([radius_m * np.cos(turn), radius_m * np.sin(turn), np.full(sides, at_m)], axis=1)
    vertices = np.roll(flat, axis - 2, axis=1) + np.asarray(middle)
    return Element(
        name=name, shape="circle", size_m=2 * radius_m, centre_m=(0, 0, at_m), normal=(0, 0, 1), vertices_m=vertices,
        gap_nodes=(0,),
    )  # fmt: skip


@pytest.mark.parametrize("sides", [4, 7, 24])
def test_chords_sag_towards_a_sphere(sides):
    """A polygon of radius a at height z about a sphere: its sides come to sqrt((a cos(pi/n))^2 + z^2) - R."""
    element = ring("A1", radius_m=0.04, at_m=0.085, sides=sides)
    exact_m = np.hypot(0.04 * np.cos(np.pi / sides), 0.085) - RADIUS_M
    found = least_spacing([element], layered_sphere(RADIUS_M, tissue_names=["gel"]), half_height_m=0.0)
    assert found.distance_m == pytest.approx(exact_m, abs=1e-9)
    corners_m = np.hypot(0.04, 0.085) - RADIUS_M
    assert found.distance_m < corners_m


def test_half_of_the_conductor_is_taken_off():
    element, body = ring("A1", radius_m=0.04, at_m=0.085), layered_sphere(RADIUS_M, tissue_names=["gel"])
    bare, thick = (least_spacing([element], body, half_height_m=half) for half in (0.0, 0.75e-3))
    assert bare.distance_m - thick.distance_m == pytest.approx(0.75e-3, abs=1e-12)
    assert bare.place_m == thick.place_m


def test_it_names_the_closest_element_and_the_place():
    far, near = ring("far", radius_m=0.04, at_m=0.095), ring("near", radius_m=0.03, at_m=0.0845, sides=8)
    found = least_spacing([far, near], layered_sphere(RADIUS_M, tissue_names=["gel"]), half_height_m=0.0)
    assert found.element == "near"
    assert found.each_m[1] == found.distance_m < found.each_m[0]
    assert np.linalg.norm(found.place_m) - RADIUS_M == pytest.approx(found.distance_m, abs=1e-12)


@pytest.mark.parametrize("middle", [(0.0, 0.0, 0.0), (0.013, -0.007, 0.0)])
def test_beside_an_ellipsoid_it_is_the_least_along_every_side(middle):
    semi_axes_m = (0.075, 0.095, 0.09)
    element = ring("A1", radius_m=0.115, at_m=0.02, sides=9, middle=middle)
    found = least_spacing([element], layered_ellipsoid(semi_axes_m, tissue_names=["gel"]), half_height_m=0.0)

    def along(side):
        start, end = element.vertices_m[side], element.vertices_m[(side + 1) % 9]
        search = minimize_scalar(
            lambda share: -depth_in_ellipsoid_m((start + share * (end - start))[None], semi_axes_m)[0],
            bounds=(0, 1), method="bounded", options={"xatol": 1e-12},
        )  # fmt: skip
        return search.fun

    assert found.distance_m == pytest.approx(min(map(along, range(9))), abs=1e-9)


def test_over_a_corner_of_triangles_it_is_that_to_the_edge():
    """A square loop round a cube, turned by 45 degrees: its sides pass the vertical edges at a known distance."""
    half_m, reach_m = 0.05, 0.12
    element = ring("A1", radius_m=reach_m, at_m=0.0, sides=4)
    exact_m = reach_m / np.sqrt(2) - half_m * np.sqrt(2)
    found = least_spacing([element], MeshShape(surface=cube(half_m)), half_height_m=0.0)
    assert found.distance_m == pytest.approx(exact_m, abs=1e-9)
    assert np.abs(found.place_m[:2]) == pytest.approx([reach_m / 2] * 2, abs=1e-6)


def test_triangles_of_a_sphere_come_to_the_sphere():
    element = ring("A1", radius_m=0.04, at_m=0.085, sides=24)
    exact_m = np.hypot(0.04 * np.cos(np.pi / 24), 0.085) - RADIUS_M
    found = [
        least_spacing([element], MeshShape(surface=ball(RADIUS_M, level)), half_height_m=0.0).distance_m
        for level in (3, 4, 5)
    ]
    errors_m = np.abs(np.array(found) - exact_m)
    assert errors_m[2] < 0.1e-3
    assert np.all(errors_m[1:] < errors_m[:-1])


class Balls:
    """Balls beside one another: a surface with many least distances along one line."""

    def __init__(self, centres_m, radii_m):
        self.centres_m, self.radii_m = np.asarray(centres_m), np.asarray(radii_m)

    def depth_m(self, points_m):
        """As of a body of balls that do not meet; shape (n,). [m]"""
        away = np.linalg.norm(points_m[:, None] - self.centres_m, axis=2)
        return (self.radii_m - away).max(axis=1)


@given(
    places=st.lists(
        st.tuples(st.floats(0, 1), st.floats(0.5e-3, 4e-3), st.floats(0.05e-3, 0.4e-3)), min_size=1, max_size=12
    )
)
@example(places=[(0.50175, 0.2e-3, 0.1e-3), (0.50618, 0.5e-3, 0.2e-3)])
def test_bumps_between_the_nodes_are_not_missed(places):
    """Balls below one side of 199 mm: the distance to each is known, and the least of them is found.

    In the example both lie below one piece, the closer one where a golden section does not look.
    """
    element = ring("A1", radius_m=0.0995 * np.sqrt(2), at_m=0.0, sides=4)
    start, end = element.vertices_m[:2]
    share, below_m, radius_m = np.array(places).T
    centres_m = start + share[:, None] * (end - start) - below_m[:, None] * [0, 0, 1]
    exact_m = (below_m - radius_m).min()
    found = least_spacing([element], Balls(centres_m, radius_m), half_height_m=0.0)
    assert exact_m - 1e-9 <= found.distance_m <= exact_m + found.missed_m


def test_a_conductor_in_the_body_has_a_negative_distance():
    element = ring("A1", radius_m=0.03, at_m=0.07)
    found = least_spacing([element], layered_sphere(RADIUS_M, tissue_names=["gel"]), half_height_m=0.0)
    assert found.distance_m == pytest.approx(np.hypot(0.03 * np.cos(np.pi / 12), 0.07) - RADIUS_M, abs=1e-9)
    assert found.distance_m < 0


def test_before_a_slab_it_is_the_height():
    slab = layered_slab((0.3, 0.1, 0.3), tissue_names=["gel"])
    element = ring("A1", radius_m=0.04, at_m=-0.056, axis=1)
    found = least_spacing([element], slab, half_height_m=17.5e-6)
    assert found.distance_m == pytest.approx(6e-3 - 17.5e-6, abs=1e-9)


def test_it_says_what_is_not_in_it():
    element, body = ring("A1", radius_m=0.04, at_m=0.085), layered_sphere(RADIUS_M, tissue_names=["gel"])
    found = least_spacing([element], body, half_height_m=0.0)
    assert any("cables" in sentence for sentence in found.limits)
    assert found.missed_m == 100e-6


@pytest.mark.parametrize(
    ("above_mm", "verdict"), [(4.2, Verdict.MET), (4.05, Verdict.NOT_ASSESSED), (3.8, Verdict.NOT_MET)]
)
def test_it_is_held_against_its_limit_in_millimetres(above_mm, verdict):
    slab = layered_slab((0.3, 0.1, 0.3), tissue_names=["gel"])
    element = ring("A1", radius_m=0.04, at_m=-0.05 - above_mm * 1e-3, axis=1)
    told = assess_spacing(least_spacing([element], slab, half_height_m=0.0), packaged_limits())
    assert told.verdict is verdict
    assert (told.value, told.uncertainty) == (pytest.approx(above_mm, abs=1e-6), pytest.approx(0.1))
    assert "element A1" in told.why


def test_no_elements_have_no_spacing():
    body = layered_sphere(RADIUS_M, tissue_names=["gel"])
    with pytest.raises(OutsideModelError):
        least_spacing([], body, half_height_m=0.0)
    with pytest.raises(OutsideModelError):
        least_spacing([ring("A1", radius_m=0.04, at_m=0.085)], body, half_height_m=-1e-3)
