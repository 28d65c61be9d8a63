"""Bodies from files, from the brief to the shares on the grid, against the same bodies given by formulas."""

import numpy as np
import pytest
from base_brief import BASE, text_of

from geometry_files import ball, binary_stl, nifti
from loopwright.bodies import layered_sphere, place, voxel_fractions
from loopwright.bodies.voxels import face_fractions
from loopwright.brief import read_brief
from loopwright.formats.geometry import FolderGeometry

FREQUENCY_HZ = 127.74e6
FAT = "Fat (Not Infiltrated)"
LAYERS = [{"thickness": "2 mm", "material": "Skin (Dry)"}, {"thickness": "5 mm", "material": FAT}]


def placed(folder, body):
    brief = read_brief(text_of({**BASE, "body": body}), "brief.yaml", geometry=FolderGeometry(folder))
    return place(brief.body, frequency_hz=FREQUENCY_HZ)


def fine_ball():
    """A ball of 84 mm whose triangles hold the volume of the sphere, so that shares can be compared."""
    corners = ball(84.0, halvings=5)
    volume = np.sum(corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])) / 6
    return corners * (4 / 3 * np.pi * 84.0**3 / volume) ** (1 / 3)


def test_a_sphere_of_triangles_fills_the_grid_as_the_sphere_does(tmp_path):
    (tmp_path / "ball.stl").write_bytes(binary_stl(fine_ball()))
    body = placed(tmp_path, {"shape": "surface", "file": "ball.stl", "unit": "mm", "voxel": "5 mm",
                             "material": "Muscle", "layers": LAYERS})  # fmt: skip
    names = ("Skin (Dry)", FAT, "Muscle")
    exact = layered_sphere(84e-3, tissue_names=names, thicknesses_m=(2e-3, 5e-3))
    assert body.solid.tissue_names == names
    shares = voxel_fractions(exact, body.grid)
    total = shares.sum(axis=(1, 2, 3)) * body.grid.voxel_volume_m3
    assert body.voxel_fraction.sum(axis=(1, 2, 3)) * body.grid.voxel_volume_m3 == pytest.approx(total, rel=1e-3)
    assert body.voxel_cover().sum() * body.grid.voxel_volume_m3 == pytest.approx(total.sum(), rel=2e-6)
    # Triangles of 3 mm lie up to 15 um inside the sphere or outside it: 0.3 % of a voxel's side.
    assert np.abs(body.voxel_fraction - shares).max() < 6e-3
    for found, wanted in zip(body.face_fraction, face_fractions(exact, body.grid), strict=True):
        assert found.sum() == pytest.approx(wanted.sum(), rel=1e-3)
    centres = body.grid.centre_points_m().reshape(-1, 3)
    depth = 84e-3 - np.linalg.norm(centres, axis=-1)
    assert np.abs(body.solid.depth_m(centres) - depth).max() < 30e-6


def test_an_image_of_a_block_has_exactly_its_volume(tmp_path):
    labels = np.zeros((30, 26, 40), dtype=np.uint8)
    labels[4:26, 3:23, 5:35] = 4
    labels[10:20, 9:17, 12:28] = 9
    (tmp_path / "block.nii").write_bytes(nifti(labels, np.diag([-3.0, 4.0, 2.5, 1])))
    body = placed(tmp_path, {"shape": "labels", "file": "block.nii", "voxel": "3.3 mm",
                             "tissues": {"4": FAT, "9": "Muscle"}})  # fmt: skip
    core = 10 * 8 * 16 * 30e-9
    found = body.voxel_fraction.astype(float).sum(axis=(1, 2, 3)) * body.grid.voxel_volume_m3
    assert found == pytest.approx([22 * 20 * 30 * 30e-9 - core, core], rel=1e-6)
    assert body.solid.volumes_m3 == pytest.approx([22 * 20 * 30 * 30e-9 - core, core], rel=1e-12)
    assert [tissue.name for tissue in body.tissues] == [FAT, "Muscle"]


def test_labels_of_one_material_are_one_tissue(tmp_path):
    labels = np.ones((30, 30, 30), dtype=np.uint8)
    labels[10:20] = 2
    labels[20:] = 3
    (tmp_path / "three.nii").write_bytes(nifti(labels, np.diag([3.0, 3.0, 3.0, 1])))
    saline = {"name": "saline", "permittivity": "78", "conductivity": "0.6 S/m"}
    body = placed(tmp_path, {"shape": "labels", "file": "three.nii", "voxel": "3 mm",
                             "tissues": {"1": "Muscle", "2": saline, "3": "Muscle"}})  # fmt: skip
    assert [tissue.name for tissue in body.tissues] == ["Muscle", "saline"]
    assert body.solid.volumes_m3 == pytest.approx([2 * 243e-6, 243e-6], rel=1e-9)
    assert body.voxel_cover() == pytest.approx(np.ones(body.grid.shape), abs=1e-6)
