"""Every stage opens with the question it answers, and says what it offers."""

import ast
import importlib

import pytest
from source_tree import PACKAGE, stages, tree_of


def exported(stage):
    for node in tree_of(PACKAGE / stage / "__init__.py").body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        if isinstance(target, ast.Name) and target.id == "__all__":
            return [ast.literal_eval(entry) for entry in node.value.elts]
    return None


def sorting_key(name):
    """Constants, then classes, then functions, each by the alphabet: the order that the linter keeps too."""
    return (0 if name.isupper() else 1 if name[0].isupper() else 2, name)


@pytest.mark.parametrize("stage", stages())
def test_it_has_a_docstring(stage):
    docstring = ast.get_docstring(tree_of(PACKAGE / stage / "__init__.py"))
    assert docstring, stage
    assert docstring.splitlines()[0].endswith((".", "?")), stage


@pytest.mark.parametrize("stage", [s for s in stages() if s != "ground"])  # ground is imported file by file
def test_its_exports_are_named_sorted_and_there(stage):
    names = exported(stage)
    assert names is not None, f"{stage}/__init__.py has no __all__"
    assert names == sorted(names, key=sorting_key), stage
    module = importlib.import_module(f"loopwright.{stage}")
    for name in names:
        assert hasattr(module, name), f"{stage}.{name}"


@pytest.mark.parametrize("stage", stages())
def test_every_file_has_a_docstring(stage):
    for path in sorted((PACKAGE / stage).rglob("*.py")):
        assert ast.get_docstring(tree_of(path)), path.relative_to(PACKAGE)
