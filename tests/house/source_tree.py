"""The package as the house rules see it: files, functions, docstrings. Nothing is imported, only read."""

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

REPOSITORY = Path(__file__).parents[2]
PACKAGE = REPOSITORY / "src" / "loopwright"
STAGES_THAT_TOUCH_FILES = ("formats", "cli")


@dataclass(frozen=True, slots=True)
class Function:
    """A function or method, the class it belongs to, and where it stands."""

    path: Path
    node: ast.FunctionDef | ast.AsyncFunctionDef
    owner: ast.ClassDef | None

    @property
    def place(self):
        """Path, line and name, as an assertion prints them."""
        owner = f"{self.owner.name}." if self.owner else ""
        return f"{self.path.relative_to(REPOSITORY)}:{self.node.lineno}: {owner}{self.node.name}()"

    @property
    def public(self):
        """Whether somebody outside the module may call it."""
        names = [self.node.name] + ([self.owner.name] if self.owner else [])
        return not any(name.startswith("_") for name in names)

    @property
    def parameters(self):
        """Every parameter but self and cls."""
        a = self.node.args
        every = [*a.posonlyargs, *a.args, *a.kwonlyargs, *filter(None, (a.vararg, a.kwarg))]
        return [p for p in every if p.arg not in ("self", "cls")]

    @property
    def docstring(self):
        """Its own docstring and that of its class."""
        own = ast.get_docstring(self.node) or ""
        return own + "\n" + ((ast.get_docstring(self.owner) or "") if self.owner else "")

    @property
    def code_lines(self):
        """Lines of its body without the docstring."""
        body = self.node.body[1:] if ast.get_docstring(self.node) else self.node.body
        return body[-1].end_lineno - body[0].lineno + 1 if body else 0


@cache
def tree_of(path):
    """Syntax tree of a file."""
    return ast.parse(path.read_text("utf-8"), filename=str(path))


@cache
def sources():
    """Every Python file of the package."""
    return tuple(sorted(PACKAGE.rglob("*.py")))


@cache
def functions():
    """Every function and method at the top of a module or a class."""
    found = []
    for path in sources():
        for node in tree_of(path).body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                found.append(Function(path, node, None))
            elif isinstance(node, ast.ClassDef):
                found += [Function(path, n, node) for n in node.body if isinstance(n, ast.FunctionDef)]
    return tuple(found)


def stages():
    """Folders of the package that hold code."""
    return tuple(sorted(path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists()))


def texts():
    """Every text file of the repository that is ours to write."""
    skipped = {".git", ".venv", "__pycache__", "dist", "build"}
    for path in sorted(REPOSITORY.rglob("*")):
        parts = path.relative_to(REPOSITORY).parts
        ours = not any(p in skipped or p.endswith(("_cache", "-run", ".partial", ".egg-info")) for p in parts)
        if (
            ours
            and path.is_file()
            and path.suffix not in {".png", ".pyc", ".npz", ".nc"}
            and ".hypothesis" not in parts
        ):
            yield path
