"""What a brief makes of a file of geometry: where it lies, which way it looks, and what stands for it."""

import numpy as np
import pytest
from base_brief import BASE, text_of

from geometry_files import ascii_stl, ball, binary_stl, block, labelled_block, nifti, obj, ply, quads, zipped
from loopwright.brief import read_brief
from loopwright.brief.told import told
from loopwright.formats.geometry import FolderGeometry

FAT = "Fat (Not Infiltrated)"
SURFACE = {"shape": "surface", "unit": "mm", "voxel": "5 mm", "material": "Muscle"}
LABELS = {"shape": "labels", "voxel": "4 mm", "tissues": {"1": FAT, "2": "Muscle"}}
#: A block whose three sizes and whose place tell every axis: x 60, y 100, z 140 mm.
BOX = block((60.0, 100.0, 140.0)) + np.array([7.0, 11.0, 13.0])


def brief_of(folder, body, **files):
    for name, content in files.items():
        (folder / name.replace("__", ".")).write_bytes(content)
    return read_brief(text_of({**BASE, "body": body}), "brief.yaml", geometry=FolderGeometry(folder))


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.stl", binary_stl(BOX)),
        ("b.stl", ascii_stl(BOX)),
        ("c.obj", obj(BOX)),
        ("d.ply", ply(BOX)),
        ("e.ply", ply(BOX, "binary_little_endian")),
        ("f.ply", ply(BOX, "binary_big_endian")),
        ("g.PLY", ply(BOX)),
    ],
)
def test_every_format_brings_the_same_surface(name, content, tmp_path):
    body = brief_of(tmp_path, {**SURFACE, "file": name, "origin": "as in file"}, **{name: content}).body
    lower, upper = body.surface.box_m
    assert lower == pytest.approx([-23e-3, -39e-3, -57e-3], abs=1e-8)
    assert upper == pytest.approx([37e-3, 61e-3, 83e-3], abs=1e-8)
    assert body.surface.volume_m3 == pytest.approx(60e-3 * 100e-3 * 140e-3, rel=1e-6)
    assert len(body.surface.vertices_m) == 8


def test_an_obj_of_quads_is_split_into_triangles(tmp_path):
    body = brief_of(tmp_path, {**SURFACE, "file": "q.obj"}, q__obj=quads()).body
    assert len(body.surface.triangles) == 12
    assert body.surface.volume_m3 == pytest.approx(0.96e-3, rel=1e-12)


@pytest.mark.parametrize(
    ("axes", "lower_mm"),
    [
        (["left", "posterior", "head"], [-23, -39, -57]),
        (["right", "anterior", "head"], [-37, -61, -57]),
        (["left", "head", "anterior"], [-23, -83, -39]),
        (["posterior", "head", "left"], [-57, -23, -39]),
    ],
)
def test_axes_of_a_surface_turn_it_without_turning_it_inside_out(axes, lower_mm, tmp_path):
    body = brief_of(
        tmp_path, {**SURFACE, "file": "a.stl", "axes": axes, "origin": "as in file"}, a__stl=binary_stl(BOX)
    ).body
    assert body.surface.box_m[0] * 1e3 == pytest.approx(lower_mm, abs=1e-5)
    assert body.surface.volume_m3 == pytest.approx(0.84e-3, rel=1e-6)


def test_the_middle_of_the_box_becomes_the_origin(tmp_path):
    lower, upper = brief_of(tmp_path, {**SURFACE, "file": "a.stl"}, a__stl=binary_stl(BOX)).body.surface.box_m
    assert lower + upper == pytest.approx(np.zeros(3), abs=1e-9)


def test_corners_that_differ_by_rounding_become_one_vertex(tmp_path):
    loose = ball(halvings=2) + np.random.default_rng(1).uniform(-1e-5, 1e-5, (320, 3, 3))
    body = brief_of(tmp_path, {**SURFACE, "file": "a.stl"}, a__stl=binary_stl(loose)).body
    assert len(body.surface.vertices_m) == 162


def test_triangles_without_area_are_left_out_and_told(tmp_path):
    flat = np.concatenate([BOX, BOX[:1, [0, 1, 1]]])
    body = brief_of(tmp_path, {**SURFACE, "file": "a.stl"}, a__stl=binary_stl(flat)).body
    assert len(body.surface.triangles) == 12
    assert body.notes == ("1 triangles of a.stl without area, two corners being one, were left out.",)


def test_the_largest_part_or_all_of_them(tmp_path):
    two = np.concatenate([ball(30.0, centre=(130.0, 0, 0)), ball(80.0)])
    of_one, of_two = 2_126_174e-9, (2_126_174 + 2_126_174 * (3 / 8) ** 3) * 1e-9
    largest = brief_of(tmp_path, {**SURFACE, "file": "a.stl", "parts": "largest"}, a__stl=binary_stl(two)).body
    assert largest.surface.volume_m3 == pytest.approx(of_one, rel=1e-6)
    assert "1 others were left out" in largest.notes[0]
    both = brief_of(tmp_path, {**SURFACE, "file": "a.stl", "parts": "all"}).body
    assert both.surface.volume_m3 == pytest.approx(of_two, rel=1e-6)


def test_a_hollow_is_taken_out_of_the_volume(tmp_path):
    hollow = np.concatenate([ball(80.0), ball(40.0)[:, ::-1]])
    body = brief_of(tmp_path, {**SURFACE, "file": "a.stl", "parts": "all"}, a__stl=binary_stl(hollow)).body
    assert body.surface.volume_m3 == pytest.approx(2_126_174e-9 * 7 / 8, rel=1e-6)


def test_the_bytes_stand_for_the_file_and_not_its_name(tmp_path):
    content = binary_stl(BOX)
    first = brief_of(tmp_path, {**SURFACE, "file": "a.stl"}, a__stl=content)
    again = brief_of(tmp_path, {**SURFACE, "file": "b.stl"}, b__stl=content)
    moved = brief_of(tmp_path, {**SURFACE, "file": "c.stl"}, c__stl=binary_stl(BOX + 1))
    assert first.canonical() == again.canonical()
    assert first.canonical() != moved.canonical()
    assert first.body.sha256 in first.canonical()
    assert "vertices" not in first.canonical()
    assert {one.field: one.value for one in told(first)}["body.file"] == "a.stl"


LOPSIDED = np.zeros((12, 15, 20), dtype=np.uint8)
LOPSIDED[2:9, 3:11, 4:16] = 1
LOPSIDED[2:5, 3:7, 4:9] = 2  # a core in one corner: towards right, anterior and feet in the body frame


def corner_of_2(body):
    """Which end of the box label 2 lies at, -1 or 1 along x, y and z."""
    at = np.argwhere(body.volume.labels == 2).mean(axis=0)
    return np.sign(at - (np.array(body.volume.labels.shape) - 1) / 2).tolist()


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 0, 2), (2, 1, 0), (1, 2, 0), (2, 0, 1), (0, 2, 1)])
@pytest.mark.parametrize("flips", [(), (0,), (1,), (2,), (0, 1), (0, 1, 2)])
def test_an_image_kept_in_any_order_is_the_same_body(order, flips, tmp_path):
    affine = np.array([[-15.0, 0, 0, 40], [0, -10, 0, 50], [0, 0, 12.5, -120], [0, 0, 0, 1]])  # left, posterior, head
    labels = np.flip(np.transpose(LOPSIDED, order), flips)
    kept = affine.copy()
    kept[:3, :3] = affine[:3, order]
    for axis in flips:
        kept[:3, 3] += kept[:3, axis] * (labels.shape[axis] - 1)
        kept[:3, axis] *= -1
    body = brief_of(tmp_path, {**LABELS, "file": "a.nii", "origin": "as in file"}, a__nii=nifti(labels, kept)).body
    assert np.array_equal(body.volume.labels, LOPSIDED[2:9, 3:11, 4:16])
    assert body.volume.spacing_m == pytest.approx((15e-3, 10e-3, 12.5e-3), rel=1e-9)
    # The outer corner of the first voxel: half a voxel before its middle. World to left and posterior is -x and -y.
    assert body.volume.origin_m == pytest.approx((-17.5e-3, -25e-3, -76.25e-3), abs=1e-9)
    assert corner_of_2(body) == [-1, -1, -1]


def test_nifti_counts_towards_right_and_anterior(tmp_path):
    body = brief_of(
        tmp_path, {**LABELS, "file": "a.nii.gz"}, **{"a.nii.gz": zipped(nifti(LOPSIDED, np.diag([11.0, 12, 13, 1])))}
    ).body
    assert body.axes == ("right", "anterior", "head")
    assert corner_of_2(body) == [1, 1, -1]
    assert np.add(*body.volume.box_m) == pytest.approx(np.zeros(3), abs=1e-12)


def test_axes_take_a_rotated_image_as_it_lies(tmp_path):
    c, s = np.cos(0.3), np.sin(0.3)
    affine = np.eye(4)
    affine[:3, :3] = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.diag([12.0, 13, 14])
    body = brief_of(
        tmp_path, {**LABELS, "file": "a.nii", "axes": ["right", "anterior", "head"]}, a__nii=nifti(LOPSIDED, affine)
    ).body
    assert body.volume.spacing_m == pytest.approx((12e-3, 13e-3, 14e-3), rel=1e-6)
    assert "taken as they lie" in body.notes[-1]


def test_the_unit_of_the_header_counts_and_a_written_one_overrides_it(tmp_path):
    metres = nifti(labelled_block(), np.diag([2e-3, 2e-3, 2e-3, 1]), unit="meter")
    assert brief_of(tmp_path, {**LABELS, "file": "a.nii"}, a__nii=metres).body.volume.spacing_m[0] == pytest.approx(
        2e-3
    )
    wrong = nifti(labelled_block(), unit="meter")
    body = brief_of(tmp_path, {**LABELS, "file": "b.nii", "unit": "mm"}, b__nii=wrong).body
    assert body.volume.spacing_m[0] == pytest.approx(2e-3)
    unknown = nifti(labelled_block(), unit="unknown")
    assert "names no unit" in brief_of(tmp_path, {**LABELS, "file": "c.nii"}, c__nii=unknown).body.notes[0]


def test_a_label_that_is_air_is_cut_away_and_one_that_is_absent_is_told(tmp_path):
    tissues = {"1": "air", "2": "Muscle", "9": FAT}
    body = brief_of(tmp_path, {**LABELS, "file": "a.nii", "tissues": tissues}, a__nii=nifti(labelled_block())).body
    assert body.volume.labels.shape == (20, 30, 40)
    assert "do not occur in a.nii: 9" in body.notes[0]


def test_whole_numbers_kept_as_floats_are_labels(tmp_path):
    body = brief_of(tmp_path, {**LABELS, "file": "a.nii"}, a__nii=nifti(labelled_block(), dtype=np.float32)).body
    assert np.array_equal(np.unique(body.volume.labels), [1, 2])


def test_cutting_air_away_leaves_the_body_where_the_file_has_it(tmp_path):
    labels = np.zeros((20, 20, 20), dtype=np.uint8)
    labels[2:4], labels[4:18] = 1, 2
    affine = np.array([[-5.0, 0, 0, 40], [0, -5, 0, 50], [0, 0, 5, -50], [0, 0, 0, 1]])  # to left, posterior, head
    table = {"tissues": {"1": "air", "2": "Muscle"}, "origin": "as in file"}
    body = brief_of(tmp_path, {**LABELS, **table, "file": "a.nii"}, a__nii=nifti(labels, affine)).body
    assert body.volume.origin_m == pytest.approx((-22.5e-3, -52.5e-3, -52.5e-3), abs=1e-9)
    assert body.volume.labels.shape == (14, 20, 20)
