"""Area of a carrier within the outline of its conductors, against flat, round and tubular ones."""

from math import cos, pi, sin

import numpy as np
import pytest

from loopwright.layouts import Element
from loopwright.layouts.outline_area import outline_area_m2


def ring(centre, normal, *, radius_m, nodes=48):
    """A flat circle."""
    normal = np.asarray(normal, float)
    along = np.cross(normal, [0.0, 0.0, 1.0] if abs(normal[2]) < 0.9 else [1.0, 0.0, 0.0])
    along /= np.linalg.norm(along)
    turn = 2 * pi * np.arange(nodes)[:, None] / nodes
    points = np.asarray(centre) + radius_m * (np.cos(turn) * along + np.sin(turn) * np.cross(normal, along))
    return Element(
        name="E",
        shape="circle",
        size_m=2 * radius_m,
        vertices_m=points,
        gap_nodes=(0,),
        centre_m=tuple(centre),
        normal=tuple(normal.tolist()),
    )


def on_tube(angle, z, *, tube_m, radius_m):
    """A circle bent round a tube."""
    flat = ring((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), radius_m=radius_m)
    turned = angle + flat.vertices_m[:, 1] / tube_m
    points = np.stack([tube_m * np.cos(turned), tube_m * np.sin(turned), z + flat.vertices_m[:, 2]], axis=1)
    normal = (cos(angle), sin(angle), 0.0)
    return Element(
        name="E",
        shape="circle",
        size_m=2 * radius_m,
        vertices_m=points,
        gap_nodes=(0,),
        centre_m=tuple(tube_m * np.array(normal)),
        normal=normal,
    )


def test_flat_circles_that_overlap_count_once_and_what_lies_between_counts():
    apart_m, radius_m = 0.06, 0.04
    pair = [ring((x, 0.0, 0.0), (0.0, 0.0, 1.0), radius_m=radius_m) for x in (0.0, apart_m)]
    assert outline_area_m2(pair) == pytest.approx(pi * radius_m**2 + 2 * radius_m * apart_m, rel=5e-3)
    assert outline_area_m2(pair[:1]) == pytest.approx(pi * radius_m**2, rel=5e-3)


def test_of_a_tube_the_ends_do_not_count():
    """Eight loops in two rows round a tube: the side, where rows of circles reach."""
    tube_m, radius_m = 0.1, 0.045
    loops = [on_tube(2 * pi * k / 8, z, tube_m=tube_m, radius_m=radius_m) for k in range(8) for z in (0.0, 0.07)]
    side_m2 = 2 * pi * tube_m * (0.07 + 2 * radius_m)
    assert 0.85 * side_m2 < outline_area_m2(loops) < side_m2


def test_where_a_tube_is_open_nothing_counts():
    tube_m, radius_m = 0.1, 0.045
    whole = [on_tube(2 * pi * k / 8, 0.0, tube_m=tube_m, radius_m=radius_m) for k in range(8)]
    # Five of eight loops reach over a little less than five and a quarter eighths of the way round.
    some = outline_area_m2(whole[:5]) / outline_area_m2(whole)
    assert 0.5 < some < 0.7


def test_the_side_towards_the_body_does_not_count():
    """Loops on a half ball: between its curved face and the flat one across."""
    ball_m, radius_m = 0.1, 0.04
    directions = [(0.0, 0.0, 1.0)] + [
        (sin(t) * cos(a), sin(t) * sin(a), cos(t)) for t in (0.7,) for a in np.arange(6) * pi / 3
    ]
    loops = [ring(np.multiply(ball_m, d), d, radius_m=radius_m) for d in directions]
    reach = 0.7 + np.arctan(radius_m / ball_m)
    cap_m2 = 2 * pi * ball_m**2 * (1 - cos(reach))
    assert outline_area_m2(loops) == pytest.approx(cap_m2, rel=0.2)
