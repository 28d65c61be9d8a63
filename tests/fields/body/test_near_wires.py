"""Points near wires, against the distance to many points along them."""

import numpy as np

from loopwright.fields.body.near_wires import near_polygon, near_wires
from wire_cases import mesh

RNG = np.random.default_rng(4)
POINTS = RNG.normal(size=(400, 3))


def distance(points, polygon):
    share = np.linspace(0, 1, 2001)[:, None]
    sides = zip(polygon, np.roll(polygon, -1, axis=0), strict=True)
    along = np.concatenate([a + share * (b - a) for a, b in sides])
    return np.array([np.linalg.norm(along - point, axis=1).min() for point in points])


def test_near_a_closed_polygon():
    polygon = RNG.normal(size=(5, 3))
    near = near_polygon(POINTS, polygon, 0.5)
    assert 20 < near.sum() < 200
    assert np.array_equal(near, distance(POINTS, polygon) < 0.5)


def test_near_any_of_several_wires():
    wires = [RNG.normal(size=(4, 3)), RNG.normal(size=(3, 3))]
    expected = np.minimum(*(distance(POINTS, wire) for wire in wires)) < 0.3
    assert expected.any()
    assert np.array_equal(near_wires(POINTS, mesh(wires, 1e-3), 0.3), expected)
