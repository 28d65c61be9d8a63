"""What a brief may not say, rule by rule; and that everything is said at once."""

import re
from pathlib import Path

import pytest

from brief.base_brief import CYLINDER, ELEMENT, TRUNK, brief_with
from brief.renew import MALFORMED, complaints_of
from loopwright.brief import read_brief
from loopwright.ground.errors import BriefError

MALFORMED_BRIEFS = sorted(MALFORMED.glob("*.yaml"))


def complaints(**changes):
    with pytest.raises(BriefError) as refusal:
        brief_with(**changes)
    return {complaint.field: complaint for complaint in refusal.value.complaints}


@pytest.mark.parametrize("path", MALFORMED_BRIEFS, ids=lambda path: path.stem)
def test_complaints_are_the_committed_ones(path):
    """Renew with `python tests/brief/renew.py`, and read the difference."""
    assert complaints_of(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", MALFORMED_BRIEFS, ids=lambda path: path.stem)
def test_every_complaint_has_a_line_of_the_file_and_a_remedy(path):
    text = path.read_text(encoding="utf-8")
    with pytest.raises(BriefError) as refusal:
        read_brief(text, path.name)
    for complaint in refusal.value.complaints:
        assert 1 <= complaint.line <= text.count("\n") + 1
        assert complaint.file == path.name
        assert complaint.found
        assert complaint.allowed
        assert complaint.remedy


def test_there_are_at_least_fifteen():
    assert len(MALFORMED_BRIEFS) >= 15
    assert {path.stem for path in MALFORMED.glob("*.txt")} == {path.stem for path in MALFORMED_BRIEFS}


def test_everything_is_told_at_once():
    found = complaints(
        scanner__field="3",
        body__radius="8 kg",
        array__tiling__gaps="2.5",
        array__tiling__rows="2",
        conductor__width="90 mm",
        imaging__voxel_volume=None,
        computation__frequencies="4",
        colour="red",
    )
    assert set(found) == {
        "scanner.field",
        "body.radius",
        "array.tiling.gaps",
        "array.tiling.rows",
        "conductor.width",
        "imaging.voxel_volume",
        "computation.frequencies",
        "colour",
    }


@pytest.mark.parametrize("count", ["1", "2", "4", "23"])
def test_the_band_has_three_frequencies_or_more_and_one_in_the_middle(count):
    assert set(complaints(computation__frequencies=count)) == {"computation.frequencies"}


def test_lines_are_those_of_the_keys():
    text = "title: x\nscanner:\n\n  # comment\n  field: 3 kg\nbody:\n  shape: sphere\n  radius: 1 mm\n"
    with pytest.raises(BriefError) as refusal:
        read_brief(text, "lines.yaml")
    lines = {complaint.field: complaint.line for complaint in refusal.value.complaints}
    assert lines["scanner.field"] == 5
    assert lines["body.radius"] == 8
    assert lines["body.voxel"] == 6  # absent: the line of the part it belongs to


def test_no_complaint_twice():
    with pytest.raises(BriefError) as refusal:
        read_brief("scanner: {field: 3 T, field: 3 T, field: 3 T}\n", "thrice.yaml")
    told = [complaint for complaint in refusal.value.complaints if complaint.field == "scanner.field"]
    assert [complaint.found for complaint in told] == ["the same key again"]


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"scanner__field": None}, "scanner.field", "proton_frequency"),
        ({"scanner__proton_frequency": "123.2 MHz"}, "scanner.proton_frequency", "0.1 %"),
        ({"scanner__proton_frequency": "127.9 MHz"}, "scanner.proton_frequency", "0.1 %"),
        ({"scanner__nucleus": "1h2"}, "scanner.nucleus", "1H"),
        ({"body__material": "Muscel"}, "body.material", "Muscle"),
        ({"body__layers": [{"thickness": "84 mm", "material": "Muscle"}]}, "body.layers", "84 mm"),
        ({"body__voxel": "17 mm"}, "body.voxel", "16.8 mm"),
        ({"array": {"elements": []}}, "array.elements", "one element"),
        ({"array__tiling__overlap": None}, "array.tiling.overlap", "neither"),
        ({"array__tiling__size": "80 mm"}, "array.tiling.overlap", "both"),
        ({"array__tiling__span": "patch"}, "array.tiling.size", "`size` and `overlap`"),
        ({"body": TRUNK}, "array.tiling.rows", "count / rows"),
        ({"body": TRUNK, "array__tiling__rows": "5"}, "array.tiling.rows", "divides 16"),
        ({"body": TRUNK, "array__tiling__rows": "8"}, "array.tiling.count", "24 or more"),
        ({"array__tiling__overlap": None, "array__tiling__size": "20 mm"}, "array.tiling.size", "overlap"),
        ({"array__tiling__count": "257"}, "array.tiling.count", "256"),
        ({"array__tiling__facing": ["0", "0", "0"]}, "array.tiling.facing", "nowhere"),
        ({"body": TRUNK, "array__tiling__facing": ["0", "0", "1"]}, "array.tiling.facing", "along z"),
        ({"array": {"elements": [ELEMENT, ELEMENT]}}, "array.elements[2].name", "A1"),
        ({"conductor__thickness": "2 mm", "conductor__width": "1 mm"}, "conductor.thickness", "width"),
        ({"conductor__width": "30 mm", "array__tiling__count": "40"}, "conductor.width", "quarter"),
        (
            {
                "conductor": {"kind": "round wire", "wire_diameter": "1 mm"},
                "array__tiling__crossing_separation": "1 mm",
            },
            "conductor.wire_diameter",
            "crossing",
        ),
        ({"imaging__region": {"kind": "whole body", "least_depth": "84 mm"}}, "imaging.region.least_depth", "84 mm"),
        ({"imaging__slices": [{"plane": "axial", "at": "84 mm"}]}, "imaging.slices[1].at", "84 mm"),
        ({"computation__segments_per_element": "26"}, "computation.segments_per_element", "multiple of 4"),
        ({"array__tiling__gaps": "16"}, "computation.segments_per_element", "32 or more"),
        ({"title": "two\nlines"}, "title", "one line"),
        ({"title": ""}, "title", "nothing"),
    ],
)
def test_rule(changes, field, says):
    assert says in str(complaints(**changes)[field])


@pytest.mark.parametrize(
    ("factors", "directions", "views", "key"),
    [
        (["2", "2"], ["x"], ["200 mm"], "factors"),
        (["2"], ["x", "y"], ["200 mm"], "factors"),
        (["2"], ["x"], ["200 mm", "200 mm"], "factors"),
        (["2", "2"], ["x", "x"], ["200 mm", "200 mm"], "directions"),
        (["2"], ["w"], ["200 mm"], "directions"),
        (["0.5"], ["x"], ["200 mm"], "factors"),
        (["5", "4"], ["x", "y"], ["200 mm", "200 mm"], "factors"),  # 20 with 16 elements
        (["2"], ["x"], ["160 mm"], "field_of_view"),  # the sphere is 168 mm wide
        (["2"], ["x"], None, "field_of_view"),
    ],
)
def test_rules_of_accelerations(factors, directions, views, key):
    acceleration = {"name": "R", "factors": factors, "directions": directions, "field_of_view": views}
    kept = {name: value for name, value in acceleration.items() if value is not None}
    assert f"imaging.accelerations[1].{key}" in complaints(imaging__accelerations=[kept])


def test_bounds_are_inside():
    assert brief_with(body__voxel="16.8 mm", imaging__region={"kind": "whole body", "least_depth": "10 mm"})
    assert brief_with(imaging__accelerations=[_along_x("168 mm")])


def _along_x(view):
    return {"name": "2 x", "factors": ["2"], "directions": ["x"], "field_of_view": [view]}


def test_rows_that_leave_the_body_are_refused():
    tall = {"body": CYLINDER, "array__tiling__count": "48", "array__tiling__rows": "6"}
    assert "array.tiling.rows" in complaints(**tall)
    assert brief_with(**{**tall, "array__tiling__count": "64", "array__tiling__rows": "4"})


def test_a_broken_body_does_not_hide_the_rest():
    found = complaints(body={"shape": "sphere", "radius": "84"}, array__tiling__rows="2", imaging__bandwidth="1 s")
    assert {"body.radius", "body.voxel", "body.material", "array.tiling.rows", "imaging.bandwidth"} <= set(found)


def test_key_of_another_shape_gets_its_own_remedy():
    assert "one `radius`" in complaints(body__semi_axes=["1 mm"])["body.semi_axes"].remedy
    assert (
        "`diameter`" in complaints(array={"elements": [{**ELEMENT, "side": "8 cm"}]})["array.elements[1].side"].remedy
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n# nothing\n",
        "---\n",
        "...",
        "just words",
        "- a\n- b\n",
        "{",
        "[" * 3000,
        "{a: " * 3000,
        "a: &x [*x]\n",
        "<<: {title: x}\n",
        '"\\UFFFFFFFF": 1',
        "? [a, b]\n: c\n",
        "%YAML 3.0\n---\na: 1\n",
        "a: \x00",
        "a: \ud800",
        "title: !!binary x",
        "a: |\n b\n c: [",
    ],
)
def test_odd_texts_are_refused_and_nothing_else_is_raised(text):
    with pytest.raises(BriefError):
        read_brief(text, "odd.yaml")


def test_a_tower_of_brackets_is_refused_at_once():
    with pytest.raises(BriefError, match="levels"):
        read_brief("title: " + "[" * 200_000, "tower.yaml")


def test_snapshots_name_no_path_of_a_machine():
    for path in MALFORMED.glob("*.txt"):
        assert not re.search(r"(^|\s)/\w+/", path.read_text(encoding="utf-8"))
    assert Path(MALFORMED).is_dir()
