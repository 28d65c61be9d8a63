"""What a carrier is stretched and squeezed by, against developable surfaces and the sphere's exact formula.

On a cylinder at 0.2 mm between the wires, spacing along the developed surface: circles 0.7500 and 0.7345 at 100 mm and
60 mm radius round it, 0.7579 and 0.7574 along it; squares 0.9082, 0.9011 and 0.9118 (filaments, Neumann's integral).
"""

import numpy as np
import pytest
from meshes_of_shapes import column_skin, cone_skin, sphere_surface
from scipy.optimize import brentq

from loopwright.fields.wires.neighbour_coupling import LoopCoupling
from loopwright.layouts import FlatSkin, circle_outline_m, disc_strain, neighbours_bent, square_outline_m
from loopwright.layouts.mesh_skin import mesh_skin

FRONT = np.array([[0.3, -1.0, 0.1]])
COUPLING = LoopCoupling(conductor_radius_m=0.05e-3, frequency_hz=1e6)


@pytest.mark.parametrize("radius_m", [0.06, 0.1])
def test_on_a_sphere_of_triangles_the_rim_is_squeezed_by_what_the_circle_shortens(radius_m):
    skin = mesh_skin(sphere_surface(radius_m - 0.01, edge_m=0.005), reach_m=0.012)
    found = disc_strain(skin, skin.feet_towards(FRONT), radius_m=0.05, stand_off_m=0.01)
    assert found.compression.max() == pytest.approx(1 - np.sinc(0.05 / radius_m / np.pi), rel=0.02)
    assert found.principal[:, 1].max() < 1e-3  # along the lines lengths hold


@pytest.mark.parametrize("skin", [column_skin(0.06), cone_skin()], ids=["cylinder", "cone"])
def test_on_cylinder_and_cone_of_triangles_nothing_is_strained(skin):
    assert disc_strain(skin, skin.feet_towards(FRONT), radius_m=0.07, stand_off_m=0.01).largest < 1e-3


@pytest.mark.parametrize("draw", [circle_outline_m, square_outline_m])
@pytest.mark.parametrize("way", [0, 1])
@pytest.mark.parametrize("radius_m", [0.06, 0.1])
def test_bent_pairs_have_their_zero_where_the_cylinder_puts_it(draw, way, radius_m):
    squares = {(0.06, 0): 0.9011, (0.1, 0): 0.9082, (0.06, 1): 0.9118, (0.1, 1): 0.9118}
    circles = {(0.06, 0): 0.7345, (0.1, 0): 0.7500, (0.06, 1): 0.7574, (0.1, 1): 0.7579}
    expected = (circles if draw is circle_outline_m else squares)[radius_m, way]
    skin, flat = column_skin(radius_m), draw(0.08, segments=96)
    middle = skin.feet_towards(np.array([[0.0, -1.0, 0.1]]))

    def coefficient(overlap):
        there = np.array([[0.0, 0.0], overlap * 0.08 * np.eye(2)[way]])
        feet = skin.walked(middle, there, stand_off_m=0.01)
        laid = skin.wrapped_m(feet, flat, stand_off_m=np.array([0.01, 0.0102]))
        return COUPLING(tuple(laid), np.array([[0, 1]]), elements=np.arange(2))[0]

    assert brentq(coefficient, 0.7, 0.95, xtol=1e-5) == pytest.approx(expected, abs=3e-3)


def test_neighbours_at_the_flat_zero_couple_when_bent():
    """On the flat skin nothing changes; round 60 mm the pair at the flat zero sits too far apart, so k is negative."""
    flat = np.broadcast_to(circle_outline_m(0.08, segments=48), (2, 48, 2))
    centres = np.array([[0.0, 0.0], [0.7583 * 0.08, 0.0]])
    found = {}
    for name, skin in (
        ("flat", FlatSkin(middle_m=(0.0, -0.06, 0.0), normal=(0.0, -1.0, 0.0))),
        ("bent", column_skin(0.06)),
    ):
        middle = skin.feet_towards(np.array([[0.0, -1.0, 0.0]]))
        (found[name],) = neighbours_bent(
            skin,
            skin.walked(middle, centres, stand_off_m=0.01),
            flat,
            np.full(2, 0.08),
            np.array([[0, 1]]),
            centres_flat_m=centres,
            stand_offs_m=np.array([0.01, 0.0102]),
            coupling=COUPLING,
        )
    assert found["flat"].coefficient == pytest.approx(found["flat"].flat_coefficient, abs=1e-9)
    assert found["bent"].overlap == pytest.approx(0.7583, abs=1e-3)
    assert found["bent"].flat_overlap == pytest.approx(0.7583, abs=1e-12)
    assert abs(found["bent"].flat_coefficient) < 1e-3
    assert found["bent"].coefficient < -5e-3
