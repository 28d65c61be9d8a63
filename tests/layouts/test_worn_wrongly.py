"""A flexible array folded, stretched and worn inside out: lengths, distances and inductances that are known."""

from functools import cache

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from loopwright.bodies import layered_sphere
from loopwright.brief.records import ArrayRequest, ElementRequest, TilingRequest
from loopwright.fields.wires import flexed_frequencies_hz
from loopwright.fields.wires.neighbour_coupling import loop_reactances_ohm
from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import arrange_on
from loopwright.layouts.distances import polygon_distance_m
from loopwright.layouts.folding import Fold, edge_pair, folded, rotation_between
from loopwright.layouts.worn_wrongly import heights_over, inside_out, stretched, worn_layout

RADIUS_M, STAND_OFF_M, LAYER_M, SIZE_M = 0.09, 8e-3, 1.5e-3, 0.06
BALL = layered_sphere(RADIUS_M, tissue_names=["muscle"])
SIX = TilingRequest(
    pattern="hexagonal",
    shape="circle",
    count=6,
    rows=2,
    size_m=SIZE_M,
    overlap=0.75,
    stand_off_m=STAND_OFF_M,
    gaps=4,
    span="patch",
    crossing_separation_m=LAYER_M,
)


@cache
def on_ball():
    return arrange_on(ArrayRequest(tiling=SIX), BALL)


@cache
def two_plane(apart_m=0.066, segments=48):
    rings = tuple(
        ElementRequest(
            name=name, shape="circle", size_m=SIZE_M, centre_m=(x, -0.1, 0.0), normal=(0.0, -1.0, 0.0), gaps=4
        )
        for name, x in (("A", 0.0), ("B", apart_m))
    )
    layout = arrange_on(ArrayRequest(elements=rings), BALL, segments_per_element=segments)
    assert len(layout.elements[0].vertices_m) == segments
    return layout


def lengths_m(elements):
    return np.array([np.linalg.norm(np.roll(e.vertices_m, -1, axis=0) - e.vertices_m, axis=1).sum() for e in elements])


def least_to_others_m(elements, one):
    return min(
        polygon_distance_m(elements[one].vertices_m, other.vertices_m) for k, other in enumerate(elements) if k != one
    )


def coaxial_mutual_h(first_m, second_m, apart_m):
    """Two coaxial circles of these radii: J. C. Maxwell, Treatise, 1873, art. 701."""
    m = 4 * first_m * second_m / ((first_m + second_m) ** 2 + apart_m**2)
    k = np.sqrt(m)
    return MU_0_H_PER_M * np.sqrt(first_m * second_m) * ((2 / k - k) * ellipk(m) - 2 / k * ellipe(m))


@pytest.mark.parametrize("distance_m", [1e-3, 2e-3, 5e-3])
def test_folded_conductors_keep_their_length_and_lie_at_the_distance(distance_m):
    layout = on_ball()
    turned, onto = edge_pair(layout)
    there = folded(layout.elements, Fold(turned=turned, onto=onto, distance_m=distance_m))
    assert lengths_m(there) == pytest.approx(lengths_m(layout.elements), rel=1e-12)
    assert least_to_others_m(there, turned) == pytest.approx(distance_m, rel=1e-6)
    assert all(now is was for e, (now, was) in enumerate(zip(there, layout.elements, strict=True)) if e != turned)


def test_the_folded_element_is_turned_over_and_lies_outside_its_neighbour():
    layout = on_ball()
    turned, onto = edge_pair(layout)
    here, below = folded(layout.elements, Fold(turned=turned, onto=onto))[turned], layout.elements[onto]
    assert np.dot(here.normal, below.normal) == pytest.approx(-1, abs=1e-12)
    way = np.subtract(here.centre_m, below.centre_m)
    assert np.cross(way, below.normal) == pytest.approx(0, abs=1e-12)
    assert way @ below.normal > 2e-3
    corners = here.vertices_m - np.asarray(here.centre_m)
    area = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    assert area @ here.normal > 0
    assert np.linalg.norm(here.vertices_m, axis=1).min() > RADIUS_M + STAND_OFF_M


def test_a_plane_element_lies_where_a_half_turn_brings_it():
    layout = two_plane()
    distance_m = 2e-3
    here = folded(layout.elements, Fold(turned=1, onto=0, distance_m=distance_m))[1]
    # Half a turn about the line x = 33 mm in the plane y = -100 mm, then up by the distance.
    x, _, z = layout.elements[1].vertices_m.T
    expected = np.stack([0.066 - x, np.full_like(x, -0.1 - distance_m), z], axis=1)
    assert here.vertices_m == pytest.approx(expected, abs=1e-12)


def test_the_least_turn_brings_one_direction_to_the_other():
    before, after = np.array([0.6, 0.0, 0.8]), np.array([0.0, 0.28, 0.96])
    turn = rotation_between(before, after)
    assert turn @ before == pytest.approx(after, abs=1e-12)
    assert turn @ np.cross(before, after) == pytest.approx(np.cross(before, after), abs=1e-12)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1)


def test_a_circle_that_is_laid_again_stays_one_about_its_normal():
    """On a ball all corners stand alike about the normal through the centre."""
    layout = on_ball()
    for now in stretched(layout.elements, 0.1, heights_over(layout, BALL)):
        along = (now.vertices_m - np.asarray(now.centre_m)) @ now.normal
        assert np.ptp(along) < 1e-6
        assert np.dot(now.normal, now.centre_m) == pytest.approx(np.linalg.norm(now.centre_m))


def test_the_edge_of_the_array_folds_onto_its_neighbour():
    layout = on_ball()
    turned, onto = edge_pair(layout)
    beside = np.bincount(np.ravel(layout.neighbours))
    assert beside[turned] == beside.min() < beside[onto]
    assert (min(turned, onto), max(turned, onto)) in layout.neighbours


@pytest.mark.parametrize("distance_m", [1e-3, 2e-3])
def test_folded_rings_couple_as_coaxial_circles_and_nearly_as_one(distance_m):
    """At the distance of the wire's radius the mutual inductance is the self-inductance: coupling goes to one."""
    layout = two_plane(segments=96)
    there = folded(layout.elements, Fold(turned=1, onto=0, distance_m=distance_m))
    lines, f = [e.vertices_m for e in there], 1e3
    pairs = np.array([[0, 1], [0, 0]])
    thin, thick = (
        loop_reactances_ohm(lines, pairs, conductor_radius_m=wire_m, frequency_hz=f) / (2 * np.pi * f)
        for wire_m in (0.1 * distance_m, distance_m)
    )
    # Polygons have the circle's area, and these the polygon's corners a little outside of it.
    assert thin[0] == pytest.approx(-coaxial_mutual_h(SIZE_M / 2, SIZE_M / 2, distance_m), rel=5e-3)
    assert -thin[0] / thick[1] == pytest.approx(1, abs=0.01)
    assert -thin[0] / thin[1] < 0.7


def test_elements_that_lie_over_each_other_have_no_line_to_fold_about():
    ring = two_plane().elements[0]
    with pytest.raises(OutsideModelError, match="no line to fold about"):
        folded((ring, ring), Fold(turned=1, onto=0))


@pytest.mark.parametrize("strain", [0.05, 0.2])
def test_a_stretched_array_grows_by_the_strain_at_its_heights(strain):
    layout = on_ball()
    there = stretched(layout.elements, strain, heights_over(layout, BALL))
    assert lengths_m(there) == pytest.approx((1 + strain) * lengths_m(layout.elements), rel=1e-8)
    for now, was in zip(there, layout.elements, strict=True):
        assert np.linalg.norm(now.vertices_m, axis=1) == pytest.approx(np.linalg.norm(was.vertices_m, axis=1), abs=1e-7)
    apart = [
        np.mean([np.linalg.norm(np.subtract(a.centre_m, b.centre_m)) for a in array for b in array])
        for array in (layout.elements, there)
    ]
    assert apart[1] == pytest.approx((1 + strain) * apart[0], rel=1e-8)


@pytest.mark.parametrize(("strain", "shift"), [(0.05, -0.030), (0.10, -0.058), (0.20, -0.107)])
def test_a_stretched_ring_with_fixed_capacitors_falls_as_the_root_of_its_inductance(strain, shift):
    """L = mu0 R (ln(8 R / a) - 2) of a thin ring, whose wire does not grow.

    The shifts are those that the trade gives for loops (common practice), which are those of R / a = 53.
    """
    layout, wire_m = two_plane(), SIZE_M / 2 / 53

    def inductance_h(radius_m):
        return MU_0_H_PER_M * radius_m * (np.log(8 * radius_m / wire_m) - 2)

    there = stretched(layout.elements, strain, heights_over(layout, BALL))
    by_formula = np.sqrt(inductance_h(SIZE_M / 2) / inductance_h((1 + strain) * SIZE_M / 2)) - 1
    found = flexed_frequencies_hz(layout.elements, there, conductor_radius_m=wire_m, frequency_hz=1e6) / 1e6 - 1
    assert found == pytest.approx([by_formula] * 2, abs=2e-4)
    assert found == pytest.approx([shift] * 2, abs=1e-3)


def test_an_array_round_the_body_grows_about_its_middle():
    whole = arrange_on(
        ArrayRequest(tiling=SIX.model_copy(update={"span": "whole", "count": 12, "rows": None, "size_m": None})), BALL
    )
    there = stretched(whole.elements, 0.1, heights_over(whole, BALL))
    assert lengths_m(there) == pytest.approx(1.1 * lengths_m(whole.elements), rel=1e-12)
    assert min(np.linalg.norm(e.vertices_m, axis=1).min() for e in there) > RADIUS_M + 2 * STAND_OFF_M


def test_inside_out_the_outermost_layer_is_nearest_and_all_distances_are_exact():
    layout, cover_m = on_ball(), 2e-3
    there = inside_out(layout.elements, cover_m, heights_over(layout, BALL))
    before = [np.linalg.norm(e.vertices_m, axis=1) - RADIUS_M for e in layout.elements]
    assert np.max(before) - np.min(before) > LAYER_M
    for now, was in zip(there, before, strict=True):
        height = np.linalg.norm(now.vertices_m, axis=1) - RADIUS_M
        assert height == pytest.approx(cover_m + np.max(before) - was, abs=1e-7)
    assert lengths_m(there) == pytest.approx(lengths_m(layout.elements), rel=1e-8)


def test_the_layout_as_worn_tells_its_least_distances():
    layout = on_ball()
    there = worn_layout(layout, inside_out(layout.elements, 4e-3, heights_over(layout, BALL)), BALL, notes=("so",))
    # Chords sag below the corners that stand at the height asked for.
    assert 3.5e-3 < there.least_skin_distance_m <= 4e-3
    assert there.least_conductor_distance_m == pytest.approx(LAYER_M, abs=0.4e-3)
    assert there.notes == ("so",)


def test_a_conductor_in_the_body_is_refused():
    layout = on_ball()
    with pytest.raises(OutsideModelError, match="enter the body"):
        worn_layout(layout, inside_out(layout.elements, 1e-5, heights_over(layout, BALL)), BALL, notes=())
