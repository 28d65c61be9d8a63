"""Covers of surfaces of triangles: even, inside the part that is asked for, off the cuts, and searched for."""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from meshes_of_shapes import ellipsoid_surface, sphere_surface

from loopwright.bodies import MeshShape, Solid
from loopwright.bodies.solids import nested
from loopwright.brief.records import ArrayRequest, CoverRequest, OpeningRequest, TilingRequest
from loopwright.fields.wires.neighbour_coupling import LoopCoupling
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import arrange, skin_of
from loopwright.layouts.cover_grounds import MeshGround, cover_ground
from loopwright.layouts.covers import _Cover, cover_cost, cover_start, settled_cover
from loopwright.layouts.decoupling import Drawing
from loopwright.layouts.mesh_skin import mesh_skin

TILING = {"pattern": "hexagonal", "shape": "circle", "stand_off_m": 0.01, "gaps": 2, "span": "whole"}
COUPLING = LoopCoupling(conductor_radius_m=1.5e-3, frequency_hz=128e6)
INF = np.inf
AXES = (0.075, 0.095, 0.085)


@cache
def sphere():
    return mesh_skin(sphere_surface(0.09, edge_m=0.01), reach_m=0.015)


@cache
def head():
    """An ellipsoid of a head's size, cut 50 mm below its middle."""
    surface = ellipsoid_surface(AXES, edge_m=0.01)
    shape = MeshShape(surface=surface, lower_m=(-INF, -INF, -0.05), upper_m=(INF, INF, INF))
    return Solid(name="cut ellipsoid", regions=nested([shape]), tissue_names=("Muscle",))


def laid_on(solid):
    """All that a layout asks of a body."""
    return SimpleNamespace(solid=solid)


def tiling(**changes):
    return TilingRequest(**{**TILING, **changes})


def test_twelve_centres_on_a_sphere_are_the_corners_of_an_icosahedron():
    """Neighbours at 63.43 degrees, five each; their cells close."""
    ground = cover_ground(sphere(), tiling(count=12, overlap=0.75))
    feet = ground.even(12)
    cells = ground.cells(feet)
    assert len(cells.pairs) == 30
    assert len(cells.triangles) == 20
    i, j = np.array(cells.pairs).T
    turn = np.degrees(np.arccos(np.sum(feet.normal[i] * feet.normal[j], axis=1)))
    assert turn == pytest.approx(np.full(30, 63.43), abs=1.0)
    again = cover_ground(sphere(), tiling(count=12, overlap=0.75)).even(12)
    assert np.array_equal(again.points_m, feet.points_m)


def test_pieces_of_a_whole_sphere_have_its_area():
    ground = cover_ground(sphere(), tiling(count=12, overlap=0.75))
    assert ground.pieces.areas_m2.sum() == pytest.approx(4 * np.pi * 0.1**2, rel=3e-3)


def test_elements_keep_to_the_part_that_is_asked_for():
    cover = CoverRequest(lowest_m=(-0.01, -0.04), free=(OpeningRequest(towards=(0.0, -1.0, 0.0), radius_m=0.05),))
    found = arrange(ArrayRequest(tiling=tiling(count=10, overlap=0.75, cover=cover)), laid_on(head()))
    centres = np.array([element.centre_m for element in found.elements])
    plane = -0.025 - 0.015 * centres[:, 1] / 0.095
    assert np.all(centres[:, 2] > plane)
    middle = skin_of(head()).feet_towards(np.array([[0.0, -1.0, 0.0]]))
    assert np.all(np.linalg.norm(centres - middle.points_m - 0.01 * middle.normal, axis=1) > 0.05)
    nearest = np.linalg.norm(centres[:, None] - centres[None], axis=2) + np.eye(10)
    assert np.ptp(nearest.min(axis=1)) < 0.25 * nearest.min()


def test_whole_covers_keep_off_the_cuts_and_tell_how_they_fit():
    found = arrange(ArrayRequest(tiling=tiling(count=16, overlap=0.75)), laid_on(head()))
    assert min(element.vertices_m[:, 2].min() for element in found.elements) > -0.05
    (told,) = [note for note in found.notes if note.startswith("Nodes of the conductors stand")]
    assert "10.0 mm to" in told
    assert found.least_skin_distance_m == pytest.approx(0.01, abs=0.5e-3)


def test_too_many_elements_for_the_part_are_refused():
    cover = CoverRequest(lowest_m=(0.09, 0.09))
    with pytest.raises(OutsideModelError, match=r"cm\^2 of the surface are left for 60 elements"):
        cover_ground(skin_of(head()), tiling(count=60, overlap=0.75, cover=cover))


def test_a_patch_lies_about_its_facing_and_may_not_meet_itself():
    patch = {"span": "patch", "rows": 2, "size_m": 0.06, "overlap": 0.75, "facing": (0.0, 1.0, 0.0)}
    found = arrange(ArrayRequest(tiling=tiling(count=6, **patch)), laid_on(head()))
    centres = np.array([element.centre_m for element in found.elements])
    assert np.all(centres[:, 1] > 0.05)
    assert found.overlaps == pytest.approx(np.full(len(found.overlaps), 0.74), abs=0.025)
    with pytest.raises(OutsideModelError, match="Use fewer or smaller elements"):
        arrange(ArrayRequest(tiling=tiling(count=36, **patch)), laid_on(head()))


def drawing_of(skin, request):
    ground = cover_ground(skin, request)
    assert isinstance(ground, MeshGround)
    return Drawing(skin=skin, request=request, coupling=COUPLING, layer_step_m=1e-3, ground=ground)


def test_a_search_on_a_sphere_of_triangles_finds_zeros():
    drawing = drawing_of(sphere(), tiling(count=6, overlap="zero coupling"))
    start = cover_start(drawing, drawing.ground.even(6))
    layers = drawing.layers(start.feet, start.sizes_m, np.arange(6))
    before = cover_cost(drawing, replace(start, pairs=drawing.ground.cells(start.feet).pairs, layers=layers))
    found, left = settled_cover(drawing, start, np.arange(6))
    assert left < 0.05 * before
    assert len(found.pairs) == 12


def test_slopes_of_a_cover_with_a_cut_are_its_differences():
    """Elements too large, so that some reach past the cut and the weights on it are in the slopes."""
    drawing = drawing_of(skin_of(head()), tiling(count=6, overlap="zero coupling"))
    start = cover_start(drawing, drawing.ground.even(6))
    large = replace(
        start,
        sizes_m=1.35 * start.sizes_m,
        pairs=drawing.ground.cells(start.feet).pairs,
        layers=drawing.layers(start.feet, start.sizes_m, np.arange(6)),
    )
    cover = _Cover(drawing=drawing, base=large, segments=24)
    assert drawing.ground.past_m(drawing.outlines_m(large.feet, large.sizes_m, large.layers, segments=24)).max() > 0
    step = 1e-4
    rough = [
        (cover.residuals(step * unit) - cover.residuals(cover.nothing_moved)) / step
        for unit in np.eye(len(cover.nothing_moved))
    ]
    assert cover.slopes(cover.nothing_moved) == pytest.approx(np.stack(rough, axis=1), abs=1e-6)
