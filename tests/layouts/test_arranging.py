"""From the array of a brief to its elements on the body."""

import numpy as np
import pytest

from loopwright.bodies import place
from loopwright.brief.records import (
    ArrayRequest,
    ElementRequest,
    EllipsoidRequest,
    ExplicitMaterial,
    SphereRequest,
    TilingRequest,
    TrunkRequest,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import arrange

GEL = ExplicitMaterial(name="gel", eps_r=60.0, sigma_s_per_m=0.6)
SPHERE = place(SphereRequest(radius_m=0.09, voxel_m=0.02, material=GEL), frequency_hz=128e6)
HEAD = place(EllipsoidRequest(semi_axes_m=(0.075, 0.095, 0.085), voxel_m=0.02, material=GEL), frequency_hz=128e6)
TRUNK = place(TrunkRequest(age="5 years", voxel_m=0.02), frequency_hz=128e6)
TILING = {
    "pattern": "hexagonal",
    "shape": "circle",
    "count": 16,
    "overlap": 0.76,
    "stand_off_m": 0.01,
    "gaps": 4,
    "span": "whole",
}


def _tiled(body, **changes):
    return arrange(ArrayRequest(tiling=TilingRequest(**{**TILING, **changes})), body)


CASES = [
    (TRUNK, {"rows": 2}),
    (TRUNK, {"rows": 2, "pattern": "rectangular", "shape": "square", "overlap": 0.9}),
    (TRUNK, {"count": 9, "span": "patch", "size_m": 0.06}),
    (SPHERE, {"count": 32}),
    (SPHERE, {"count": 12, "span": "patch", "size_m": 0.06, "shape": "square"}),
    (HEAD, {"count": 24}),
]


@pytest.mark.parametrize(("body", "changes"), CASES)
def test_nodes_stand_off_by_their_layer_and_conductors_keep_apart(body, changes):
    layout = _tiled(body, **changes)
    height = {element.layer: -float(body.solid.depth_m(element.vertices_m[:1])[0]) for element in layout.elements}
    sag = 0.0
    for element in layout.elements:
        nodes = element.vertices_m
        assert body.solid.depth_m(nodes) == pytest.approx(np.full(len(nodes), -height[element.layer]), abs=1e-10)
        middle = (nodes + np.roll(nodes, -1, axis=0)) / 2
        sag = max(sag, float(np.max(body.solid.depth_m(middle) + height[element.layer])))
    # Straight segments sag between their nodes, as a polygon does; layers are further apart by it.
    assert height[0] == pytest.approx(0.01, abs=1e-10)
    assert height.get(1, 0.011 + sag) == pytest.approx(0.011 + 1.1 * sag, abs=0.1 * sag + 1e-9)
    assert layout.least_conductor_distance_m >= 1e-3 - 1e-6
    assert layout.least_skin_distance_m == pytest.approx(0.01 - sag, abs=0.3 * sag)
    assert 0 < sag < 0.5e-3


@pytest.mark.parametrize(("body", "changes"), CASES)
def test_the_overlap_told_is_the_overlap_measured(body, changes):
    layout = _tiled(body, **changes)
    expected = changes.get("overlap", 0.76)
    nearest = np.full(len(layout.elements), np.inf)
    for (i, j), overlap in zip(layout.neighbours, layout.overlaps, strict=True):
        nearest[[i, j]] = np.minimum(nearest[[i, j]], overlap)
    if changes.get("span") == "patch" and body is not TRUNK:
        assert nearest.max() <= expected * (1 + 1e-3)  # rows run together away from the middle of the patch
    else:
        assert nearest.mean() == pytest.approx(expected, rel=1e-9)
    mean = np.mean(layout.overlaps)
    assert any(f"mean {mean:.3f}" in note for note in layout.notes)


def test_rows_close_round_the_trunk_and_start_at_the_facing_direction():
    layout = _tiled(TRUNK, rows=2, facing=(0.0, -1.0, 0.0))
    first = layout.elements[0]
    assert first.normal == pytest.approx((0, -1, 0), abs=1e-9)
    assert len(layout.neighbours) == 32  # two in its row and two in the other, for each of sixteen
    assert np.ptp([element.centre_m[2] for element in layout.elements[:8]]) < 1e-12
    assert sum(element.centre_m[2] for element in layout.elements) == pytest.approx(0, abs=1e-12)


def test_size_given_makes_the_overlap_follow():
    layout = _tiled(TRUNK, rows=2, overlap=None, size_m=0.1)
    assert layout.elements[0].size_m == 0.1
    assert np.mean(layout.overlaps) == pytest.approx(TRUNK_PITCH_M / 0.1, rel=1e-6)


#: Perimeter of the ellipse 97 x 73.5 mm (Ramanujan's second formula) and 2 pi times the stand-off, by eight columns.
_H = ((97 - 73.5) / (97 + 73.5)) ** 2
TRUNK_PITCH_M = (np.pi * 0.1705 * (1 + 3 * _H / (10 + np.sqrt(4 - 3 * _H))) + 2 * np.pi * 0.01) / 8


def test_rows_are_chosen_to_fit_the_trunk():
    layout = _tiled(TRUNK)
    assert len({round(element.centre_m[2], 9) for element in layout.elements}) == 2
    assert max(np.abs(element.vertices_m[:, 2]).max() for element in layout.elements) < 0.204


def test_elements_past_the_cut_ends_are_told():
    layout = _tiled(TRUNK, rows=4)
    assert any("past the cut ends" in note for note in layout.notes)


def test_the_same_request_gives_the_same_layout():
    first, second = (_tiled(HEAD, count=20) for _ in range(2))
    for one, other in zip(first.elements, second.elements, strict=True):
        assert np.array_equal(one.vertices_m, other.vertices_m)


def test_explicit_elements_are_plane_and_where_they_were_asked_for():
    elements = (
        ElementRequest(name="front", shape="circle", size_m=0.08, centre_m=(0, -0.11, 0), normal=(0, -1, 0), gaps=4),
        ElementRequest(name="top", shape="square", size_m=0.06, centre_m=(0, 0, 0.12), normal=(0, 0, 1), gaps=2),
    )
    layout = arrange(ArrayRequest(elements=elements), SPHERE)
    front, top = layout.elements
    assert front.vertices_m[:, 1] == pytest.approx(np.full(24, -0.11), abs=1e-15)
    assert front.vertices_m.mean(axis=0) == pytest.approx([0, -0.11, 0], abs=1e-15)
    assert front.vertices_m[0] == pytest.approx([0, -0.11, front.vertices_m[:, 2].max()], abs=1e-15)
    assert np.ptp(top.vertices_m, axis=0) == pytest.approx([0.06, 0.06, 0], abs=1e-15)
    assert layout.neighbours == ((0, 1),)
    assert layout.neighbour_distance_m[0] == pytest.approx(np.hypot(0.11, 0.12))
    assert layout.least_skin_distance_m == pytest.approx(np.hypot(0.11, 0.04) - 0.09, abs=1e-4)
    for element in layout.elements:
        v = element.vertices_m - element.centre_m
        assert np.sum(np.cross(v, np.roll(v, -1, axis=0)), axis=0) @ element.normal > 0


def _circle(name, **changes):
    given = {"shape": "circle", "size_m": 0.08, "centre_m": (0, -0.11, 0), "normal": (0, -1, 0), "gaps": 4}
    return ElementRequest(name=name, **{**given, **changes})


def test_a_conductor_in_the_body_is_refused_by_name():
    with pytest.raises(OutsideModelError, match="enter the body: sunk"):
        arrange(ArrayRequest(elements=(_circle("dry"), _circle("sunk", centre_m=(0, -0.07, 0)))), SPHERE)


def test_conductors_that_meet_are_refused_by_name():
    with pytest.raises(OutsideModelError, match="of a and b meet"):
        arrange(ArrayRequest(elements=(_circle("a"), _circle("b", centre_m=(0.05, -0.11, 0)))), SPHERE)


@pytest.mark.parametrize(
    ("body", "changes", "words"),
    [
        (TRUNK, {"span": "patch"}, "both size and overlap"),
        (TRUNK, {"rows": 3}, "do not fill 3 equal rows"),
        (TRUNK, {"size_m": 0.1}, "either size or overlap"),
        (TRUNK, {"overlap": None}, "either size or overlap"),
        (TRUNK, {"facing": (0.0, 0.0, 1.0)}, "facing points along z"),
        (TRUNK, {"count": 1, "rows": 1}, "meet itself"),
        (TRUNK, {"count": 20, "rows": 1, "span": "patch", "size_m": 0.06}, "room for 601 mm"),
        (SPHERE, {"rows": 2}, "without rows"),
        (SPHERE, {"count": 1}, "no neighbour to overlap"),
        (SPHERE, {"count": 30, "rows": 1, "span": "patch", "size_m": 0.06}, "there is room"),
    ],
)
def test_what_does_not_go_together_is_refused_in_words(body, changes, words):
    with pytest.raises(OutsideModelError, match=words):
        _tiled(body, **changes)
