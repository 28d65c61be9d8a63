"""Zero coupling: what a search finds on a plane, and how good it is on closed surfaces.

Zeros of mutual inductance of equal coplanar circles and squares, converged numerical integrals of this project
(quasi-static, wires stacked by h over the radius a or by e over the side w); the rules 0.75 and 0.90 are Roemer et al.,
Magn. Reson. Med. 16, 192 (1990), from memory.
"""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.bodies import place
from loopwright.brief.records import (
    ArrayRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    SlabRequest,
    SphereRequest,
    TilingRequest,
)
from loopwright.fields import LoopCoupling
from loopwright.fields.wires import loop_reactances_ohm
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Silent
from loopwright.layouts import arrange, covers, skin_of
from loopwright.layouts.cells import cells_of
from loopwright.layouts.cover_grounds import ClosedGround, random_directions
from loopwright.layouts.covers import (
    _Cover,
    cover_cost,
    cover_start,
    searched_cover,
    settled_cover,
)
from loopwright.layouts.decoupling import Drawing
from loopwright.layouts.spreads import spread_directions

GEL = ExplicitMaterial(name="gel", eps_r=60.0, sigma_s_per_m=0.6)
SLAB = place(SlabRequest(size_m=(1.0, 0.2, 1.0), voxel_m=0.05, material=GEL), frequency_hz=128e6)
SPHERE = place(SphereRequest(radius_m=0.09, voxel_m=0.02, material=GEL), frequency_hz=128e6)
STATIC = LoopCoupling(conductor_radius_m=1e-3, frequency_hz=1e3)
TILING = {
    "pattern": "hexagonal",
    "shape": "circle",
    "overlap": "zero coupling",
    "stand_off_m": 0.01,
    "gaps": 4,
    "span": "patch",
}


def _found(body, coupling=STATIC, **changes):
    return arrange(ArrayRequest(tiling=TilingRequest(**{**TILING, **changes})), body, coupling=coupling)


@pytest.mark.parametrize(
    ("shape", "size_m", "separation", "expected", "tolerance"),
    [
        ("circle", 0.08, 0.005, 0.7584, 0.005),
        ("circle", 0.08, 0.02, 0.7596, 0.005),
        ("circle", 0.08, 0.05, 0.7623, 0.005),
        ("circle", 0.08, 0.10, 0.7675, 0.005),
        ("square", 0.2, 0.001, 0.9188, 0.02),
        ("square", 0.2, 0.005, 0.9055, 0.02),
        ("square", 0.2, 0.01, 0.8979, 0.02),
        ("square", 0.2, 0.02, 0.8884, 0.02),
    ],
)
def test_two_elements_on_a_plane(shape, size_m, separation, expected, tolerance):
    scale = size_m / 2 if shape == "circle" else size_m
    layout = _found(SLAB, shape=shape, size_m=size_m, count=2, rows=1, crossing_separation_m=separation * scale)
    # The stated tolerance allows for real wires; polygons of 48 sides and this search are far closer.
    assert layout.overlaps[0] == pytest.approx(expected, abs=min(tolerance, 1.2e-3))
    assert layout.coupling_left.largest < 1e-6


@pytest.mark.parametrize("pattern", ["hexagonal", "rectangular"])
def test_a_patch_on_a_plane_leaves_only_what_layers_make_unequal(pattern):
    layout = _found(SLAB, size_m=0.08, count=12, rows=3, pattern=pattern)
    assert layout.overlaps == pytest.approx([0.762] * len(layout.overlaps), abs=0.005)
    # Rectangular patches need two layers, so every pair is equal; hexagonal ones mix distances of one to three.
    assert layout.coupling_left.rms < (1e-6 if pattern == "rectangular" else 1e-3)
    fixed = _found(SLAB, size_m=0.08, count=12, rows=3, pattern=pattern, overlap=0.75)
    assert layout.coupling_left.sum_of_squares < 0.1 * fixed.coupling_left.sum_of_squares


def test_rows_round_a_cylinder_choose_size_and_rise():
    body = place(
        EllipticCylinderRequest(semi_axes_m=(0.1, 0.1), height_m=0.4, voxel_m=0.02, material=GEL), frequency_hz=128e6
    )
    layout = _found(body, span="whole", count=12, rows=2)
    fixed = _found(body, span="whole", count=12, rows=2, overlap=0.76)
    assert layout.coupling_left.rms < 2.5e-3
    assert layout.coupling_left.sum_of_squares < 0.1 * fixed.coupling_left.sum_of_squares
    assert max(layout.overlaps) < 1


def test_the_body_moves_the_zero():
    # A hundredth of a loop's own reactance, which the wires have to undo.
    body_ohm = 0.01 * 2 * np.pi * 1e3 * 0.2e-6 * np.array([[0, 1], [1, 0]])
    loaded = LoopCoupling(conductor_radius_m=1e-3, frequency_hz=1e3, body_reactance_ohm=body_ohm)
    request = TilingRequest(**{**TILING, "size_m": 0.08, "count": 2, "rows": 1})
    layout = arrange(ArrayRequest(tiling=request), SLAB, coupling=loaded, segments_per_element=48)
    outlines = [element.vertices_m for element in layout.elements]
    pairs = np.array([[0, 1], [0, 0]])
    mutual_ohm, own_ohm = loop_reactances_ohm(outlines, pairs, conductor_radius_m=1e-3, frequency_hz=1e3)
    assert mutual_ohm == pytest.approx(-body_ohm[0, 1], abs=1e-6 * own_ohm)
    assert layout.overlaps[0] > _found(SLAB, size_m=0.08, count=2, rows=1).overlaps[0] + 0.002
    assert layout.coupling_left.largest < 1e-6
    assert "the body's part" in " ".join(layout.notes)


def test_what_is_left_belongs_to_the_outlines_that_are_solved():
    for overlap, sides in (("zero coupling", 48), (0.76, 24)):
        layout = _found(SLAB, overlap=overlap, size_m=0.08, count=6, rows=2)
        outlines = [element.vertices_m for element in layout.elements]
        assert {len(outline) for outline in outlines} == {sides}
        again = STATIC(outlines, np.array(layout.neighbours), elements=np.arange(6))
        assert layout.coupling_left.coefficients == pytest.approx(again, abs=1e-12)
        assert any("48 sides or more, not of 24" in note for note in layout.notes) == (sides == 48)


class _Listening:
    """Progress that remembers what it was told."""

    def __init__(self):
        self.begun, self.steps, self.notes = [], 0, []

    def begin(self, title, steps):
        self.begun.append((title, steps))

    def advance(self, steps=1):
        self.steps += steps

    def note(self, sentence):
        self.notes.append(sentence)


def test_a_search_tells_how_far_it_is_and_what_it_found(monkeypatch):
    for name, few in (("_STARTS", 0), ("_COLOURINGS", 20), ("_ORDERS", 1), ("_LAYER_ROUNDS", 1)):
        monkeypatch.setattr(covers, name, few)
    listening, request = _Listening(), TilingRequest(**{**TILING, "span": "whole", "count": 5})
    layout = arrange(ArrayRequest(tiling=request), SPHERE, coupling=STATIC, progress=listening)
    assert listening.begun == [("search for zero coupling", 2)]
    assert listening.steps == 2
    low, high = min(layout.overlaps), max(layout.overlaps)
    assert f"overlap {low:.3f} to {high:.3f}" in listening.notes[0]
    assert f"coefficient left {layout.coupling_left.largest:.4f}" in listening.notes[0]


def test_a_search_needs_somebody_to_tell_the_coupling():
    with pytest.raises(OutsideModelError, match="coupling"):
        _found(SLAB, None, size_m=0.08, count=2, rows=1)


class _Leaning:
    """Coupling that would vanish where centres are so far apart, and nowhere between the bounds of a search."""

    includes = "nothing"

    def __init__(self, goal_m):
        self.goal_m = goal_m

    def __call__(self, outlines_m, pairs, *, elements):  # noqa: ARG002 - as every coupling is called
        centres = np.array([outline.mean(axis=0) for outline in outlines_m])
        return (np.linalg.norm(centres[pairs[:, 0]] - centres[pairs[:, 1]], axis=1) - self.goal_m) / 0.08


@pytest.mark.parametrize(("goal_m", "told"), [(0.0, "less than 0.3 of their size apart"), (0.2, "no longer overlap")])
def test_a_search_that_ends_at_either_bound_is_refused(goal_m, told):
    with pytest.raises(OutsideModelError, match=told):
        _found(SLAB, _Leaning(goal_m), size_m=0.08, count=2, rows=1)


def _cover(count):
    request = TilingRequest(**{**TILING, "span": "whole", "count": count})
    coupling = LoopCoupling(conductor_radius_m=1.5e-3, frequency_hz=128e6)
    skin = skin_of(SPHERE.solid)
    return Drawing(skin=skin, request=request, coupling=coupling, layer_step_m=1e-3, ground=ClosedGround(skin=skin))


def test_neighbours_on_a_sphere_are_three_for_each_element_less_six():
    drawing = _cover(12)
    feet = drawing.skin.feet_towards(spread_directions(12, semi_axes_m=drawing.skin.semi_axes_m))
    assert len(cells_of(feet).pairs) == 30


def test_slopes_of_a_closed_cover_are_its_differences():
    drawing = _cover(6)
    start = cover_start(drawing, drawing.ground.even(6))
    # Too small, so that bare spots are in it as well.
    tiling, _ = settled_cover(drawing, start, np.arange(6))
    small = replace(tiling, sizes_m=0.72 * tiling.sizes_m)
    cover = _Cover(drawing=drawing, base=small, segments=24)
    step = 1e-4
    rough = [
        (cover.residuals(step * unit) - cover.residuals(cover.nothing_moved)) / step
        for unit in np.eye(len(cover.nothing_moved))
    ]
    assert cover.slopes(cover.nothing_moved) == pytest.approx(np.stack(rough, axis=1), abs=1e-6)
    assert cover_cost(drawing, small) > 10 * cover_cost(drawing, tiling)


def test_twelve_elements_on_a_sphere_lose_their_coupling():
    drawing = _cover(12)
    start = cover_start(drawing, drawing.ground.even(12))
    layers = drawing.layers(start.feet, start.sizes_m, np.arange(12))
    before = cover_cost(drawing, replace(start, pairs=cells_of(start.feet).pairs, layers=layers))
    tiling, left = settled_cover(drawing, start, np.arange(12))
    assert left < 0.01 * before
    assert min(abs(tiling.layers[i] - tiling.layers[j]) for i, j in tiling.pairs) >= 1


@pytest.mark.long
@pytest.mark.parametrize("count", [12, 16])
def test_no_search_from_a_random_start_does_better_on_a_sphere(count):
    drawing = _cover(count)
    _, chosen = searched_cover(drawing, progress=Silent())
    rng = np.random.default_rng(2026)
    left = []
    for attempt in range(20):
        start = random_directions(count, rng)
        if attempt % 2:  # every other one is evened out first, which makes it a far better start
            start = spread_directions(count, semi_axes_m=drawing.skin.semi_axes_m, start=start)
        left.append(
            settled_cover(drawing, cover_start(drawing, drawing.skin.feet_towards(start)), rng.permutation(count))[1]
        )
    assert min(left) > 0.95 * chosen
