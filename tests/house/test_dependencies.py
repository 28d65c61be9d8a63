"""What the package brings in when it runs is what it asks to be installed."""

import ast
import sys
import tomllib
from importlib.metadata import packages_distributions

from source_tree import REPOSITORY

PROJECT = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))["project"]


def named(requirements):
    return {line.partition(">")[0].lower() for line in requirements}


def brought_in():
    for path in sorted((REPOSITORY / "src").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            match node:
                case ast.Import(names=names):
                    yield from (name.name.partition(".")[0] for name in names)
                case ast.ImportFrom(module=str(module), level=0):
                    yield module.partition(".")[0]


def test_every_library_that_is_brought_in_is_a_dependency():
    others = set(brought_in()) - set(sys.stdlib_module_names) - {"loopwright"}
    assert len(others) > 10
    extras = PROJECT["optional-dependencies"]
    asked = named(PROJECT["dependencies"]) | named(extras["cluster"]) | {"cupy"}
    distributions = packages_distributions()
    missing = {
        other for other in others if not asked & {name.lower() for name in (other, *distributions.get(other, ()))}
    }
    assert not missing
