"""docs/ARCHITECTURE.md, the folders on disk and the import contract tell the same story."""

import ast
import re
import tomllib

import pytest
from source_tree import PACKAGE, REPOSITORY, STAGES_THAT_TOUCH_FILES, sources, stages, tree_of

ARCHITECTURE = REPOSITORY / "docs" / "ARCHITECTURE.md"


def layers():
    with (REPOSITORY / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    return next(c for c in contracts if c["type"] == "layers")["layers"]


def table():
    """Names in the first column of the folder table, from the top of the job to its ground."""
    rows = re.findall(r"^\| `([a-z]+)(?:/|\.py)` \|", ARCHITECTURE.read_text("utf-8"), re.MULTILINE)
    assert rows, "no folder table found"
    return rows


def test_the_folder_table_names_the_folders_on_disk():
    modules = {path.stem for path in PACKAGE.glob("*.py") if path.stem != "__init__"}
    assert set(table()) == set(stages()) | modules


def test_the_folder_table_has_the_order_of_the_contract():
    assert table() == list(reversed(layers()))


def test_no_folder_is_empty():
    for stage in stages():
        assert len(list((PACKAGE / stage).rglob("*.py"))) > 1, stage


def test_the_job_is_short_enough_to_be_read_aloud():
    assert len((PACKAGE / "job.py").read_text("utf-8").splitlines()) <= 200


@pytest.mark.parametrize("stage", [s for s in stages() if s not in STAGES_THAT_TOUCH_FILES])
def test_a_stage_touches_no_file_no_clock_and_no_screen(stage):
    """Only formats and cli do; package tables are read through importlib.resources in ground."""
    calls = {"open", "print", "input", "exec", "eval"}
    modules = {"os", "time", "datetime", "pathlib", "tempfile", "shutil", "socket", "subprocess", "logging", "random"}
    found = []
    for path in sources():
        if path.relative_to(PACKAGE).parts[0] != stage:
            continue
        for name, line in _calls_and_imports(tree_of(path)):
            if name in calls | modules:
                found.append(f"{path.relative_to(REPOSITORY)}:{line}: {name}")
    assert not found


def _calls_and_imports(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            yield node.func.id, node.lineno
        elif isinstance(node, ast.Import):
            yield from ((alias.name.split(".")[0], node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module.split(".")[0], node.lineno


def test_no_function_reads_the_environment():
    for path in sources():
        assert not re.search(r"\bos\.environ|\bgetenv\(", path.read_text("utf-8")), path
