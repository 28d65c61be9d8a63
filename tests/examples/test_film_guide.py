"""The guide to films runs as printed, and prints what it says."""

import re
from pathlib import Path

import pytest

GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "films-on-bodies.md"


@pytest.mark.long
def test_the_guide_prints_what_it_says(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    code, printed = re.findall(r"```(?:python)?\n(.*?)```", GUIDE.read_text("utf-8"), re.DOTALL)
    exec(compile(code, str(GUIDE), "exec"), {})  # noqa: S102 - our own guide
    assert capsys.readouterr().out == printed
    assert sorted(path.name for path in tmp_path.iterdir()) == ["film.dxf", "film.svg", "film_gap.png"]
