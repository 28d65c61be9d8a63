"""Seams, graded sizes, slabs, and arrays of several pieces."""

import numpy as np
import pytest

from loopwright.bodies import place
from loopwright.brief.records import (
    ArrayRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    PieceRequest,
    SeamRequest,
    SlabRequest,
    SphereRequest,
    TilingRequest,
    TrunkRequest,
)
from loopwright.fields import LoopCoupling
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import arrange, plate_of, skin_of

GEL = ExplicitMaterial(name="gel", eps_r=60.0, sigma_s_per_m=0.6)
SLAB = place(SlabRequest(size_m=(0.5, 0.2, 0.4), voxel_m=0.05, material=GEL), frequency_hz=128e6)
SPHERE = place(SphereRequest(radius_m=0.09, voxel_m=0.02, material=GEL), frequency_hz=128e6)
TRUNK = place(TrunkRequest(age="5 years", voxel_m=0.02), frequency_hz=128e6)
COUPLING = LoopCoupling(conductor_radius_m=1e-3, frequency_hz=128e6)
TILING = {
    "pattern": "hexagonal",
    "shape": "circle",
    "count": 6,
    "rows": 2,
    "overlap": 0.76,
    "stand_off_m": 0.01,
    "gaps": 4,
    "span": "patch",
}


def _tiling(**changes):
    return TilingRequest(**{**TILING, **changes})


def _tiled(body, **changes):
    return arrange(ArrayRequest(tiling=_tiling(**changes)), body, coupling=COUPLING)


def test_a_patch_lies_on_the_front_face_of_a_slab():
    layout = _tiled(SLAB, size_m=0.08)
    for element in layout.elements:
        assert element.normal == pytest.approx((0, -1, 0), abs=1e-12)
        assert element.vertices_m[:, 1] == pytest.approx(-0.11 - 1e-3 * element.layer, abs=1e-12)
    assert layout.overlaps == pytest.approx([0.76] * 9, rel=1e-9)
    assert layout.least_conductor_distance_m == pytest.approx(1e-3, rel=1e-9)  # on a plane no chord sags


def test_a_patch_beyond_the_face_of_a_slab_is_refused():
    with pytest.raises(OutsideModelError, match="room"):
        _tiled(SLAB, size_m=0.2, count=12)
    with pytest.raises(OutsideModelError, match="flat surface"):
        _tiled(SLAB, size_m=0.08, facing=(0.0, 1.0, 0.0))


def test_rows_of_graded_sizes_keep_their_overlap():
    sizes = (0.06, 0.07, 0.08)
    layout = _tiled(SLAB, count=9, rows=3, sizes_m=sizes)
    assert [element.size_m for element in layout.elements] == pytest.approx(np.repeat(sizes, 3))
    centres = np.array([element.centre_m for element in layout.elements])
    for row, size in enumerate(sizes):
        steps = np.diff(centres[3 * row : 3 * row + 3, 0])
        assert steps == pytest.approx([0.76 * size] * 2)
    rises = np.diff(centres[::3, 2])
    assert rises == pytest.approx([0.76 * np.sqrt(3) / 2 * 0.065, 0.76 * np.sqrt(3) / 2 * 0.075])
    assert layout.overlaps == pytest.approx([0.76] * len(layout.overlaps), abs=0.08)  # rows fan out


def test_a_search_with_graded_sizes_leaves_less_than_one_overlap_does():
    sizes = (0.06, 0.07, 0.08)
    found = _tiled(SLAB, count=9, rows=3, sizes_m=sizes, overlap="zero coupling").coupling_left
    fixed = _tiled(SLAB, count=9, rows=3, sizes_m=sizes).coupling_left
    assert found.sum_of_squares < 0.8 * fixed.sum_of_squares


@pytest.mark.parametrize("gap_m", [0.006, 0.02])
@pytest.mark.parametrize("changes", [{"overlap": 0.76}, {"overlap": None, "size_m": 0.09, "shape": "square"}])
def test_centre_lines_keep_the_gap_of_a_seam_exactly(changes, gap_m):
    """Elements next to the seam on both sides, in one row: half the gap each, along the ellipse at the stand-off."""
    seam = SeamRequest(towards=(0.0, 1.0, 0.0), gap_m=gap_m)
    layout = _tiled(TRUNK, count=8, rows=1, span="whole", seam=seam, **changes)
    nodes = np.concatenate([element.vertices_m for element in layout.elements if element.layer == 0])
    behind = nodes[nodes[:, 1] > 0]
    assert np.abs(behind[:, 0]).min() == pytest.approx(gap_m / 2, abs=2e-5)
    assert any(f"{gap_m * 1e3:.1f} mm between centre-lines" in note for note in layout.notes)


@pytest.mark.parametrize("changes", [{"overlap": 0.76}, {"overlap": None, "size_m": 0.1}, {"overlap": "zero coupling"}])
def test_no_conductor_comes_nearer_to_a_seam_than_half_its_gap(changes):
    seam = SeamRequest(towards=(0.0, 1.0, 0.0), gap_m=0.02)
    layout = _tiled(TRUNK, count=14, span="whole", seam=seam, **changes)
    # Behind the back, the cut runs along x = 0; there the surface is all but flat over half of the gap.
    behind = [element.vertices_m[element.vertices_m[:, 1] > 0] for element in layout.elements]
    nearest = min(np.abs(nodes[:, 0]).min() for nodes in behind if len(nodes))
    assert nearest == pytest.approx(0.01, abs=4e-4)
    across = [(0, 6), (7, 13)]
    assert set(across) <= set(layout.neighbours)
    distances = dict(zip(layout.neighbours, layout.neighbour_distance_m, strict=True))
    assert all(distances[pair] > layout.elements[0].size_m + 0.02 for pair in across)
    assert any("across the seam" in note and "Coupling" in note for note in layout.notes)
    assert max(abs(k) for k in layout.coupling_left.between(tuple(across))) < 0.03


def _two_pieces(**posterior):
    return ArrayRequest(
        pieces=(
            PieceRequest(
                name="posterior",
                lies_on="plane",
                tiling=_tiling(**{"size_m": 0.08, "facing": (0.0, 1.0, 0.0), "stand_off_m": 0.02, **posterior}),
            ),
            PieceRequest(name="anterior", lies_on="body", tiling=_tiling(count=9, rows=3, size_m=0.07)),
        )
    )


def test_a_rigid_plate_behind_and_a_flexible_patch_in_front():
    layout = arrange(_two_pieces(), TRUNK, coupling=COUPLING)
    behind, before = layout.elements[:6], layout.elements[6:]
    assert [element.name for element in behind] == [f"posterior-{k:02d}" for k in range(1, 7)]
    assert [element.name for element in before] == [f"anterior-{k:02d}" for k in range(1, 10)]
    for element in behind:  # the trunk of five years is 73.5 mm deep
        assert element.vertices_m[:, 1] == pytest.approx(0.0735 + 0.02 + 1e-3 * element.layer, abs=1e-9)
    assert layout.least_skin_distance_m > 0.0095
    assert len(layout.coupling_left.coefficients) == len(layout.neighbours)
    assert any(note.startswith("posterior: ") for note in layout.notes)


def test_neighbours_are_found_across_pieces():
    # Round this trunk a quarter is 150 mm at the stand-off; columns 78 mm apart leave 72 mm between the two pieces.
    beside = [
        PieceRequest(
            name=name,
            lies_on="body",
            tiling=_tiling(count=4, pattern="rectangular", size_m=0.065, overlap=1.2, facing=facing),
        )
        for name, facing in (("front", (0.0, -1.0, 0.0)), ("left", (1.0, 0.0, 0.0)))
    ]
    layout = arrange(ArrayRequest(pieces=tuple(beside)), TRUNK, coupling=COUPLING)
    across = [pair for pair in layout.neighbours if pair[0] < 4 <= pair[1]]
    assert across == [(1, 4), (3, 6)]
    assert any("different pieces: 2, largest coupling" in note for note in layout.notes)


def test_pieces_that_collide_are_named():
    with pytest.raises(OutsideModelError, match=r"posterior and anterior collide: posterior-\d\d and anterior-\d\d"):
        arrange(_two_pieces(facing=(0.0, -1.0, 0.0), stand_off_m=0.012), TRUNK)


def test_a_plate_touches_the_body_from_outside():
    direction = np.array([0.6, 0.8, 0.0])
    plate = plate_of(SPHERE.solid, tuple(direction))
    assert plate.middle_m == pytest.approx(0.09 * direction)
    corner = plate_of(SLAB.solid, tuple(direction))
    assert np.dot(corner.middle_m, direction) == pytest.approx(0.25 * 0.6 + 0.1 * 0.8)


@pytest.mark.parametrize("segments", [24, 64])
def test_solved_segments_keep_the_crossing_separation(segments):
    layout = arrange(ArrayRequest(tiling=_tiling(count=16, span="whole")), TRUNK, segments_per_element=segments)
    assert 1e-3 - 2e-6 < layout.least_conductor_distance_m < 1.2e-3
    assert any("sag of straight segments" in note for note in layout.notes)


def test_squares_on_a_tight_ring_cross_whatever_their_segments():
    """Judged on 24 segments their corners lie 1.014 mm apart and share a layer, on 96 they meet."""
    body = place(
        EllipticCylinderRequest(semi_axes_m=(0.09, 0.09), height_m=0.8, voxel_m=0.02, material=GEL),
        frequency_hz=128e6,
    )
    tiling = _tiling(count=12, rows=3, overlap=0.9, shape="square", span="whole", pattern="rectangular")
    for segments in (24, 96):
        layout = arrange(ArrayRequest(tiling=tiling), body, segments_per_element=segments)
        assert layout.least_conductor_distance_m > 1e-3 - 2e-6


@pytest.mark.parametrize("seam", [None, SeamRequest(towards=(0.0, 1.0, 0.0), gap_m=0.02)])
def test_rows_round_a_body_stand_as_far_apart_as_asked(seam):
    asked = {"count": 16, "rows": 4, "span": "whole", "overlap": 0.76, "seam": seam}
    own, near = _tiled(TRUNK, **asked), _tiled(TRUNK, row_pitch_m=0.06, **asked)
    rows = np.array([element.centre_m[2] for element in near.elements]).reshape(4, 4)
    assert rows == pytest.approx(np.repeat([[-0.09], [-0.03], [0.03], [0.09]], 4, axis=1), abs=1e-12)
    assert [element.size_m for element in near.elements] == pytest.approx([element.size_m for element in own.elements])
    reach = np.ptp(near.elements[0].vertices_m[:, 2])
    assert near.height_m == pytest.approx(0.18 + reach, rel=1e-9)
    assert own.height_m > near.height_m + 0.1
    assert {(0, 1), (1, 2), (2, 3)} <= set(near.neighbours)  # further apart than the rows, and told all the same
    assert near.centres_past_ends == 0


def test_centres_beside_the_ends_of_a_column_are_counted():
    patch = {"count": 3, "rows": 3, "size_m": 0.11, "overlap": 2.0, "pattern": "rectangular"}
    half = skin_of(TRUNK.solid).height_m / 2
    layout = _tiled(TRUNK, **patch)
    assert layout.centres_past_ends == sum(abs(element.centre_m[2]) > half for element in layout.elements) == 2
    assert _tiled(SLAB, **{**patch, "overlap": 0.8, "size_m": 0.08}).centres_past_ends == 0
