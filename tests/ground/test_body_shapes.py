from importlib import resources

import numpy as np
import pytest

from loopwright.ground.body_shapes import body_shapes
from loopwright.ground.surface import Surface

WHOLE = [f"{sex} {age}" for sex in ("female", "male") for age in ("baby", "child", "young")]


def test_every_edge_lies_between_two_triangles_that_agree_on_outside():
    triangles = body_shapes().triangles
    edges = np.concatenate([triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    forward = np.unique(edges, axis=0)
    assert len(forward) == len(edges)
    np.testing.assert_array_equal(forward, np.unique(edges[:, ::-1], axis=0))


def test_skin_is_one_closed_sheet_without_handles():
    shapes = body_shapes()
    vertices, triangles = len(shapes.part_weights), len(shapes.triangles)
    assert vertices - 3 * triangles / 2 + triangles == 2
    assert np.array_equal(np.unique(shapes.triangles), np.arange(vertices))


@pytest.mark.parametrize("name", WHOLE)
def test_shapes_are_of_human_size_and_stand_upright(name):
    shapes = body_shapes()
    vertices = shapes.shapes_m[name][: len(shapes.part_weights)]
    surface = Surface(vertices_m=vertices, triangles=shapes.triangles)
    length_m = np.ptp(vertices[:, 2])
    assert 0.55 < length_m < 1.85
    # A body has about a tenth of the cross-section times its length that a cube of its length would have.
    assert 0.010 < surface.volume_m3 / length_m**3 < 0.025
    left_hand, nose = shapes.part_weights[:, shapes.part_names.index("left hand")] > 0.5, shapes.marks["nose tip"]
    assert np.all(vertices[left_hand, 0] > 0)
    assert vertices[nose, 1] < vertices[:, 1].mean()
    assert vertices[nose, 2] > 0.8 * length_m + vertices[:, 2].min()


def test_weights_of_parts_add_up_and_left_mirrors_right():
    shapes = body_shapes()
    assert shapes.part_weights.sum(axis=1) == pytest.approx(np.ones(len(shapes.part_weights)))
    left, right = (shapes.part_weights[:, shapes.part_names.index(f"{side} thigh")].sum() for side in ("left", "right"))
    assert left == pytest.approx(right, rel=0.01)
    knee = [
        shapes.shapes_m["male young"][len(shapes.ears) + shapes.joint_names.index(f"{s} knee")]
        for s in ("left", "right")
    ]
    assert knee[0] * [-1, 1, 1] == pytest.approx(knee[1], abs=1e-4)


def test_the_notice_travels_with_the_shapes():
    notice = (resources.files("loopwright.ground") / "data" / "body_shapes.notice.md").read_text("utf-8")
    for needed in (
        "CC0 1.0 Universal",
        "Data Collection AB",
        "Joel Palmius",
        "Jonas Hauquier",
        "No trademark or patent",
    ):
        assert needed in notice


def test_shared_arrays_cannot_be_changed():
    shapes = body_shapes()
    with pytest.raises(ValueError, match="read-only"):
        shapes.shapes_m["male young"][0] = 0
