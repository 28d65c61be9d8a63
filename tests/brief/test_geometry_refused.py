"""Files of geometry that cannot be used: each is told with its name, the line of the brief, and a remedy."""

import gzip

import nibabel
import numpy as np
import pytest
from base_brief import BASE, text_of

from geometry_files import binary_stl, nifti
from loopwright.brief import read_brief
from loopwright.formats.geometry import FolderGeometry
from loopwright.ground.errors import BriefError
from malformed_geometry import BLOCK, CASES, FAT, LABELLED, LABELS, SURFACE, WITHIN


def complaints(folder, body):
    text = text_of({**BASE, "body": body})
    with pytest.raises(BriefError) as caught:
        read_brief(text, "brief.yaml", geometry=FolderGeometry(folder))
    return text, caught.value.complaints


@pytest.mark.parametrize("name", CASES)
def test_a_wrong_file_is_told_with_line_name_and_remedy(name, tmp_path):
    content, key, words, body = CASES[name]
    (tmp_path / name).write_bytes(content)
    text, found = complaints(tmp_path, {**body, "file": name})
    assert len(found) == 1, [str(one) for one in found]
    complaint = found[0]
    assert words in complaint.found
    assert complaint.field == f"body.{key}"
    assert complaint.file == "brief.yaml"
    line = text.splitlines()[complaint.line - 1]
    assert line.strip().startswith((f"{key}:", "body:"))
    assert name in complaint.found or key in ("unit", "file")
    assert complaint.allowed
    assert len(complaint.remedy) > 10


def test_a_missing_file_is_looked_for_beside_the_brief(tmp_path):
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "nowhere.stl"})
    assert "nowhere.stl: No such file" in complaint.found
    assert "folder of the brief" in complaint.remedy


def test_without_a_folder_a_file_is_refused():
    with pytest.raises(BriefError) as caught:
        read_brief(text_of({**BASE, "body": {**SURFACE, "file": "head.stl"}}), "brief.yaml")
    assert "where no files are read" in str(caught.value)


def test_a_part_within_another_cannot_be_taken_with_it(tmp_path):
    (tmp_path / "within.stl").write_bytes(binary_stl(WITHIN))
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "within.stl", "parts": "all"})
    assert "part 2 of 2 lies inside another one" in complaint.found


@pytest.mark.parametrize("unit", ["m", "um"])
def test_the_unit_that_would_fit_is_told(unit, tmp_path):
    (tmp_path / "block.stl").write_bytes(binary_stl(BLOCK))
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "block.stl", "unit": unit})
    assert "mm (120 mm)" in complaint.remedy


def test_axes_that_mirror_the_body_are_refused(tmp_path):
    (tmp_path / "block.stl").write_bytes(binary_stl(BLOCK))
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "block.stl", "axes": ["right", "posterior", "head"]})
    assert "swaps left and right" in complaint.found


def test_axes_along_one_line_are_refused(tmp_path):
    (tmp_path / "block.stl").write_bytes(binary_stl(BLOCK))
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "block.stl", "axes": ["left", "right", "head"]})
    assert "one of posterior and anterior" in complaint.allowed


@pytest.mark.parametrize(
    ("tissues", "words"),
    [
        ({"0": FAT, "1": FAT, "2": "Muscle"}, "0, which is air"),
        ({"one": FAT, "2": "Muscle"}, "'one'"),
        ({"1": "Fatt", "2": "Muscle"}, "which is no tissue of the table"),
        ({"1": "air", "2": "air"}, "with air alone"),
        ({"7": FAT}, "no tissue for 2 labels"),
        ("Muscle", "'Muscle'"),
    ],
)
def test_tables_that_do_not_fit_are_refused(tissues, words, tmp_path):
    (tmp_path / "block.nii").write_bytes(nifti(LABELLED))
    _, found = complaints(tmp_path, {**LABELS, "file": "block.nii", "tissues": tissues})
    assert any(words in one.found for one in found), [str(one) for one in found]


@pytest.mark.parametrize(
    "axes", [["left", "posterior", "head"], ["right", "anterior", "feet"]], ids=["turned", "upside down"]
)
def test_the_origin_of_an_image_is_refused_along_other_axes_than_its_own(axes, tmp_path):
    (tmp_path / "a.nii").write_bytes(nifti(LABELLED))
    _, found = complaints(tmp_path, {**LABELS, "file": "a.nii", "axes": axes, "origin": "as in file"})
    told = {complaint.field: complaint.found for complaint in found}  # slices may lie beside such a body as well
    assert "other axes than those of a.nii" in told["body.origin"]


def ascii_ply(count, corner):
    header = f"ply\nformat ascii 1.0\nelement vertex {count}\nproperty float x\nproperty float y\nproperty float z\n"
    faces = "element face 1\nproperty list uchar int vertex_indices\nend_header\n"
    return f"{header}{faces}0 0 0\n1 0 0\n0 1 0\n3 0 1 {corner}\n".encode()


@pytest.mark.parametrize(
    ("count", "corner", "words"),
    [(3, 10**25, "a line of `face`"), ("9" * 5000, 2, "'element vertex 999")],
    ids=["corner", "count"],
)
def test_numbers_larger_than_any_count_are_no_accident_of_the_program(count, corner, words, tmp_path):
    (tmp_path / "a.ply").write_bytes(ascii_ply(count, corner))
    _, (complaint,) = complaints(tmp_path, {**SURFACE, "file": "a.ply"})
    assert words in complaint.found


def test_an_image_without_voxels_is_refused(tmp_path):
    content = bytearray(nifti(LABELLED))
    content[42:44] = (0).to_bytes(2, "little")  # first size of the header
    (tmp_path / "a.nii").write_bytes(bytes(content))
    _, (complaint,) = complaints(tmp_path, {**LABELS, "file": "a.nii"})
    assert "a size of 0 x" in complaint.found


def test_a_small_file_that_unpacks_to_more_than_an_image_may_hold_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("loopwright.formats.geometry.nifti._MOST_BYTES", 1_000_000)
    (tmp_path / "a.nii.gz").write_bytes(gzip.compress(nifti(LABELLED) + bytes(2_000_000)))
    _, (complaint,) = complaints(tmp_path, {**LABELS, "file": "a.nii.gz"})
    assert "more than 1 MB when it is unpacked" in complaint.found


def read_loads(folder, body, diameter):
    sphere = {"name": "ball", "body": BASE["body"]}
    loads = {"stand_off": "5 mm", "patients": [sphere], "phantoms": [{"name": "block", "body": body}]}
    text = text_of({**BASE, "loading_equivalence": {**loads, "diameter": diameter}})
    return read_brief(text, "brief.yaml", geometry=FolderGeometry(folder)).loading_equivalence


def test_a_surface_can_be_a_load_and_has_its_width_looked_at(tmp_path):
    (tmp_path / "b.stl").write_bytes(binary_stl(BLOCK))
    body = {**SURFACE, "file": "b.stl"}
    assert read_loads(tmp_path, body, "20 mm").phantoms[0].body.file == "b.stl"
    with pytest.raises(BriefError, match=r"block, 90 mm wide at the stand-off"):
        read_loads(tmp_path, body, "95 mm")


def test_labels_are_refused_as_a_load_before_anything_is_solved(tmp_path):
    (tmp_path / "b.nii").write_bytes(nifti(LABELLED))
    with pytest.raises(BriefError, match="labels, on which no element can be laid"):
        read_loads(tmp_path, {**LABELS, "file": "b.nii"}, "20 mm")


def test_two_orientations_in_one_header_are_not_chosen_between(tmp_path):
    image = nibabel.Nifti1Image(LABELLED, np.diag([2.0, 2, 2, 1]))
    image.header.set_xyzt_units("mm")
    image.set_sform(np.diag([2.0, 2, 2, 1]), 1)
    image.set_qform(np.diag([-2.0, 2, 2, 1]), 1)
    (tmp_path / "a.nii").write_bytes(image.to_bytes())
    _, (complaint,) = complaints(tmp_path, {**LABELS, "file": "a.nii"})
    assert complaint.field == "body.axes"
    assert "or tells two" in complaint.found
