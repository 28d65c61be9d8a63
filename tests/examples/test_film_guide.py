"""The guide to films runs as printed, and prints what it says."""

import re
from pathlib import Path

import pytest

from loopwright.brief import read_brief

#: What the guide's array needs beside it.
REST = """\
title: The array of the guide
scanner: {field: 3 T}
body: {shape: limb, part: knee, age: 5 years, length: 250 mm, voxel: 5 mm}
conductor: {kind: flat strip, width: 3 mm, thickness: 20 um}
imaging: {voxel_volume: 8 mm^3}
"""
GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "films-on-bodies.md"


def test_the_array_of_the_guide_is_read():
    (array,) = re.findall(r"```yaml\n(.*?)```", GUIDE.read_text("utf-8"), re.DOTALL)
    brief = read_brief(REST + array, "guide.yaml")
    assert brief.array.film.gap_limit_m == pytest.approx(8e-3)
    assert brief.array.tiling.stand_off_m == pytest.approx(5.51e-3)


@pytest.mark.long
def test_the_guide_prints_what_it_says(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    code, printed = re.findall(
        r"```(?:python)?\n(.*?)```", GUIDE.read_text("utf-8").partition("## In Python")[2], re.DOTALL
    )
    exec(compile(code, str(GUIDE), "exec"), {})  # noqa: S102 - our own guide
    assert capsys.readouterr().out == printed
    assert sorted(path.name for path in tmp_path.iterdir()) == ["film.dxf", "film.svg", "film_gap.png"]
