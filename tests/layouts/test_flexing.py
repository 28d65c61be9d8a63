"""Bending, stretching, a sleeve on a thicker limb, and small misplacements, as plain geometry."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    Bend,
    Element,
    Girth,
    Stretch,
    flex_displacement_m,
    flexed,
    moved_elements,
    placement_moves,
)
from wire_cases import equal_area_polygon

Z, Y, X = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)
ORIGIN = (0.0, 0.0, 0.0)


def ring(*, centre_m=ORIGIN, segments=24, name="E01"):
    return Element(
        name=name,
        shape="circle",
        size_m=0.08,
        centre_m=centre_m,
        normal=Z,
        vertices_m=equal_area_polygon(0.04, segments, centre_m=centre_m),
        gap_nodes=(0, 6, 12, 18),
        layer=1,
    )


def perimeter_m(element):
    return np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1).sum()


BEND = Bend(radius_m=0.1, axis=Y, touching_m=ORIGIN, normal=Z)


def test_bent_film_lies_on_its_cylinder_at_the_height_of_each_layer():
    for height_m in (0.0, 2e-3):
        (bent,) = flexed([ring(centre_m=(0.05, 0.01, height_m))], BEND)
        to_axis = np.hypot(bent.vertices_m[:, 0], bent.vertices_m[:, 2] + 0.1)
        np.testing.assert_allclose(to_axis, 0.1 + height_m, rtol=1e-12)
        centre = np.add(bent.centre_m, (0.0, 0.0, 0.1))
        assert np.hypot(centre[0], centre[2]) == pytest.approx(0.1 + height_m)
        outwards = centre * [1, 0, 1] / np.hypot(centre[0], centre[2])
        np.testing.assert_allclose(bent.normal, outwards, atol=1e-8)


def test_bending_keeps_lengths_along_the_film():
    """Chords are shorter than arcs by (h/R)^2/24: 4e-4 for segments of 10 mm, a sixteenth for a quarter of them."""
    for segments, within in ((24, 5e-4), (96, 3e-5)):
        flat = ring(segments=segments)
        (bent,) = flexed([flat], BEND)
        assert perimeter_m(bent) == pytest.approx(perimeter_m(flat), rel=within)
        assert bent.size_m == flat.size_m


def test_bending_less_and_less_is_nothing_in_the_end():
    flat = ring(centre_m=(0.02, 0.03, 0.0))
    (barely,) = flexed([flat], replace(BEND, radius_m=1e4))
    np.testing.assert_allclose(barely.vertices_m, flat.vertices_m, atol=1e-6)
    np.testing.assert_allclose(barely.normal, flat.normal, atol=1e-5)


def test_direction_of_the_axis_and_the_order_of_elements_do_not_matter():
    first, second = ring(), ring(centre_m=(0.07, 0.0, 1e-3))
    there = flexed([first, second], BEND)
    back = flexed([second, first], replace(BEND, axis=(0.0, -3.0, 0.0)))
    np.testing.assert_allclose(there[0].vertices_m, back[1].vertices_m, atol=1e-15)
    np.testing.assert_allclose(there[1].normal, back[0].normal, atol=1e-12)


def test_bend_about_a_tilted_axis_is_the_turned_bend():
    turn = np.array([[0.6, -0.8, 0], [0.8, 0.6, 0], [0, 0, 1.0]])
    (straight,) = flexed([ring()], BEND)
    start = replace(ring(), vertices_m=ring().vertices_m @ turn.T)
    (tilted,) = flexed([start], replace(BEND, axis=tuple(turn @ Y)))
    np.testing.assert_allclose(tilted.vertices_m, straight.vertices_m @ turn.T, atol=1e-15)


def test_stretch_changes_lengths_in_the_film_and_keeps_heights():
    flat = ring(centre_m=(0.03, 0.0, 2e-3))
    flex = Stretch(along=0.1, across=-0.02, direction=X, fixed_m=(0.01, 0.0, 0.0), normal=Z)
    (after,) = flexed([flat], flex)
    np.testing.assert_allclose(np.ptp(after.vertices_m, axis=0), np.ptp(flat.vertices_m, axis=0) * [1.1, 0.98, 1])
    np.testing.assert_allclose(after.centre_m, [0.01 + 1.1 * 0.02, 0, 2e-3])
    np.testing.assert_allclose(after.normal, Z, atol=1e-12)
    assert after.size_m == pytest.approx(0.08 * np.sqrt(1.1 * 0.98))
    assert (after.name, after.gap_nodes, after.layer) == (flat.name, flat.gap_nodes, flat.layer)


def test_sleeve_on_a_thicker_limb_lies_on_the_wider_cylinder():
    (bent,) = flexed([ring()], BEND)
    (after,) = flexed([bent], Girth(around=0.2, along=0.05, axis=Y, fixed_m=(0.0, 0.0, -0.1)))
    np.testing.assert_allclose(np.hypot(after.vertices_m[:, 0], after.vertices_m[:, 2] + 0.1), 0.12, rtol=1e-12)
    assert np.ptp(after.vertices_m[:, 1]) == pytest.approx(1.05 * np.ptp(bent.vertices_m[:, 1]))


def test_displacement_is_the_way_from_before_to_after():
    elements = [ring(), ring(centre_m=(0.07, 0.0, 1e-3), name="E02")]
    way = flex_displacement_m(elements, BEND)
    after = moved_elements(elements, way)
    for moved, bent in zip(after, flexed(elements, BEND), strict=True):
        np.testing.assert_allclose(moved.vertices_m, bent.vertices_m, atol=1e-15)


@pytest.mark.parametrize(
    "make",
    [
        lambda: replace(BEND, radius_m=0.0),
        lambda: replace(BEND, axis=Z),
        lambda: Stretch(along=-1.0, across=0.0, direction=X, fixed_m=ORIGIN, normal=Z),
        lambda: Girth(around=0.1, along=-1.2, axis=Y, fixed_m=ORIGIN),
    ],
)
def test_flexes_that_cannot_be_are_refused(make):
    with pytest.raises(OutsideModelError):
        make()


def test_placement_moves_shift_and_turn_one_element_each():
    elements = [ring(), ring(centre_m=(0.1, 0.0, 0.0), name="E02")]
    moves = placement_moves(elements)
    assert moves.displacement_m.shape == (8, 48, 3)
    assert moves.names[4:] == (
        "E02 along its first tangent", "E02 along its second tangent", "E02 along its normal", "E02 about its normal",
    )  # fmt: skip
    assert moves.unit == ("m", "m", "m", "rad") * 2
    assert moves.element.tolist() == [0] * 4 + [1] * 4
    assert np.all(moves.displacement_m[4:, :24] == 0)
    shifts = moves.displacement_m[4:7, 24]
    np.testing.assert_allclose(shifts @ shifts.T, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(shifts[2], Z)
    small = 1e-3
    _, turned = moved_elements(elements, small * moves.displacement_m[7])
    np.testing.assert_allclose(turned.centre_m, elements[1].centre_m, atol=1e-12)
    arms = [e.vertices_m[3] - np.asarray(e.centre_m) for e in (elements[1], turned)]
    assert np.cross(*arms)[2] / np.linalg.norm(arms[0]) ** 2 == pytest.approx(small, rel=1e-6)


def test_normal_of_a_tilted_element_tilts_with_it():
    element = ring()
    (tilted,) = moved_elements([element], np.cross([0.01, 0, 0], element.vertices_m))
    np.testing.assert_allclose(tilted.normal, [0, -0.01, 1], atol=1e-4)
