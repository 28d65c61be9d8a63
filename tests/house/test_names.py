"""Names say what a thing is, functions stay short, and no switch hides behind True or False."""

import ast

from source_tree import PACKAGE, REPOSITORY, functions, sources

#: Words that promise nothing; a file that needs one holds things that belong elsewhere.
EMPTY_WORDS = {
    "util", "utils", "helper", "helpers", "manager", "common", "misc", "data", "info", "process", "handle", "handler",
    "types", "models", "base", "core", "tools",
}  # fmt: skip

#: Longer than 300 lines, and why.
LONG_FILES = {
    "dossier/evidence.py": "records only, in the order of the dossier; nothing is computed in it",
    "dossier/network.py": "two sections that share their helpers: figures, tables and sentences, nothing computed",
    "fields/wires/kernel_numba.py": "one compiled loop with the integrals it calls, read side by side with its twin",
}

_DECLARATION = "one declaration, key after key in the order of the brief; nothing is computed in it"

#: More than 40 lines of code, and why.
LONG_FUNCTIONS = {
    "brief/topics/carrier.py:_film": _DECLARATION,
    "brief/topics/conductor_choice.py:conductor_choice_form": _DECLARATION,
    "brief/topics/level.py:level_form": _DECLARATION,
    "brief/topics/patient.py:patient_form": _DECLARATION,
    "brief/topics/region.py:region_form": _DECLARATION,
    "brief/topics/simultaneous_slices.py:simultaneous_form": _DECLARATION,
    "brief/topics/tiling.py:tiling_form": _DECLARATION,
    "brief/topics/transmit.py:transmit_form": _DECLARATION,
}


def test_no_file_has_a_name_that_promises_nothing():
    for path in sources():
        assert path.stem not in EMPTY_WORDS, path.relative_to(REPOSITORY)


def test_no_public_function_takes_a_bool():
    found = [
        f"{function.place} {parameter.arg}"
        for function in functions()
        if function.public
        for parameter in function.parameters
        if parameter.annotation is not None and "bool" in _names(parameter.annotation)
    ]
    assert not found, "an Enum, a variant type or two functions instead:\n" + "\n".join(found)


def _names(annotation):
    """Return the plain names in an annotation; arrays of booleans are no switches."""
    if isinstance(annotation, ast.Subscript) and "NDArray" in ast.unparse(annotation.value):
        return set()
    if isinstance(annotation, ast.BinOp):
        return _names(annotation.left) | _names(annotation.right)
    return {annotation.id} if isinstance(annotation, ast.Name) else set()


def test_every_public_function_and_class_has_a_docstring():
    found = [function.place for function in functions() if function.public and not ast.get_docstring(function.node)]
    assert not found


def test_long_files_have_a_reason():
    long = {
        str(path.relative_to(PACKAGE)): lines
        for path in sources()
        if (lines := len(path.read_text("utf-8").splitlines())) > 300
    }
    assert set(long) == set(LONG_FILES), long


def test_long_functions_have_a_reason():
    long = {
        f"{function.path.relative_to(PACKAGE)}:{function.node.name}": lines
        for function in functions()
        if (lines := function.code_lines) > 40
    }
    assert set(long) == set(LONG_FUNCTIONS), long


def test_most_functions_are_short():
    lines = sorted(function.code_lines for function in functions())
    assert lines[len(lines) // 2] <= 10
    assert lines[len(lines) * 9 // 10] <= 32
