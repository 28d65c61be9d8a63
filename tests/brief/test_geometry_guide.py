"""The briefs of the guide are read as they stand."""

import re
from pathlib import Path

import numpy as np
from base_brief import BASE, text_of
from ruamel.yaml import YAML

from geometry_files import ball, binary_stl, nifti, zipped
from loopwright.brief import read_brief
from loopwright.formats.geometry import FolderGeometry

GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "own-geometry.md"


def test_the_bodies_of_the_guide_are_read(tmp_path):
    (tmp_path / "head.stl").write_bytes(binary_stl(ball(84.0)))
    labels = np.zeros((50, 50, 50), dtype=np.uint8)
    for depth, label in enumerate((9, 1, 2, 3, 4)):
        inside = slice(2 + 2 * depth, -2 - 2 * depth)
        labels[inside, inside, inside] = label
    (tmp_path / "head.nii.gz").write_bytes(zipped(nifti(labels, np.diag([3.0, 3, 3, 1]))))
    read = []
    for block in re.findall(r"```yaml\n(.*?)```", GUIDE.read_text("utf-8"), re.DOTALL):
        body = YAML(typ="safe", pure=True).load(block)["body"]
        brief = read_brief(text_of({**BASE, "body": body}), "brief.yaml", geometry=FolderGeometry(tmp_path))
        read.append(brief.body)
    surface, image = read
    assert [layer.thickness_m for layer in surface.layers] == [2e-3, 4e-3]
    assert image.volume.labels.shape == (42, 42, 42)  # what is air is cut away
    assert [one.label for one in image.tissues] == [1, 2, 3, 4, 9]
