"""Bodies from files, through the commands: a wrong file is told on one page of text, a good one is read."""

import pytest

from geometry_files import ball, binary_stl
from loopwright.cli import main
from malformed_geometry import CASES

BRIEF = """\
title: Two elements on a scan
scanner: {{field: 3 T}}
body:
{body}
array:
  elements:
    - {{name: A1, shape: circle, diameter: 60 mm, centre: [0 mm, -92 mm, 0 mm], normal: [0, -1, 0], gaps: 4}}
conductor: {{kind: flat strip, width: 5 mm, thickness: 35 um}}
imaging: {{voxel_volume: 8 mm^3}}
"""


def written(folder, body):
    lines = []
    for key, value in body.items():
        inner = ", ".join(f"{one}: {other}" for one, other in value.items()) if isinstance(value, dict) else ""
        lines.append(f"  {key}: {{{inner}}}" if inner else f"  {key}: {value}")
    path = folder / "scan.yaml"
    path.write_text(BRIEF.format(body="\n".join(lines)), "utf-8")
    return path


@pytest.fixture
def call(capsys):
    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main([str(word) for word in words])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


@pytest.mark.parametrize("name", CASES)
def test_the_command_tells_what_is_wrong_with_a_file(name, tmp_path, call):
    content, key, words, body = CASES[name]
    (tmp_path / name).write_bytes(content)
    brief = written(tmp_path, {**body, "file": name})
    code, out, told = call("run", brief, "--out", tmp_path / "run")
    assert code == 2
    assert out == ""
    assert words in told
    assert f"body.{key}" in told
    assert "scan.yaml" in told
    assert "remedy:" in told
    assert "Traceback" not in told
    assert not (tmp_path / "run").exists()


@pytest.mark.parametrize("command", ["cite", "compare-designs"])
def test_other_commands_read_the_file_too(command, tmp_path, call):
    (tmp_path / "ball.stl").write_bytes(binary_stl(ball()))
    body = {"shape": "surface", "file": "ball.stl", "unit": "mm", "voxel": "8 mm", "material": "Muscle"}
    code, out, told = call(command, written(tmp_path, body))
    if command == "cite":
        assert code == 0
        assert "gabriel" in out.lower()
    else:  # the body is read; what is missing is told
        assert code == 2
        assert "designs = nothing" in told
        assert "body" not in told
