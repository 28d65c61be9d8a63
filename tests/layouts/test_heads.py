"""Patches on the head: from the vertex over the circumference down towards the chin, and not into the neck."""

import numpy as np
import pytest

from loopwright.bodies import place
from loopwright.brief import read_brief
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import arrange

BRIEF = """title: a head
scanner: {{field: 3 T}}
body: {{shape: head, age: 5 years, voxel: 8 mm}}
array:
  tiling: {{pattern: hexagonal, shape: circle, count: {count}, rows: {rows}, size: 50 mm, overlap: 0.76, span: patch,
    facing: {facing}, stand_off: 9 mm, gaps: 4}}
conductor: {{kind: round wire, wire_diameter: 0.9 mm}}
imaging: {{voxel_volume: 8 mm^3}}
"""


def laid_on_a_head(count, rows, facing):
    brief = read_brief(BRIEF.format(count=count, rows=rows, facing=facing), "head.yaml")
    body = place(brief.body, frequency_hz=123e6)
    return body, arrange(brief.array, body, segments_per_element=24)


@pytest.mark.parametrize(("facing", "lowest_mm"), [("[0, 0, 1]", (-40, 0)), ("[0, -1, 0]", (-80, -40))])
def test_elements_follow_the_head_past_its_circumference(facing, lowest_mm):
    body, layout = laid_on_a_head(20, 4, facing)
    nodes = np.concatenate([element.vertices_m for element in layout.elements])
    off_mm = -1e3 * body.solid.depth_m(nodes)
    assert off_mm.min() == pytest.approx(9, abs=1e-6)
    assert off_mm.max() < 9 + 1.0 * 5
    assert lowest_mm[0] < 1e3 * nodes[:, 2].min() < lowest_mm[1]
    centres = np.array([element.centre_m for element in layout.elements])
    normals = np.array([element.normal for element in layout.elements])
    assert np.all(normals[centres[:, 2] < 0][:, 2] == 0)  # the side of the head is upright


def test_rows_below_the_chin_are_refused():
    with pytest.raises(OutsideModelError, match="chin"):
        laid_on_a_head(24, 8, "[0, -1, 0]")
