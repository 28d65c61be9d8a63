"""Whoever takes a quantity says its unit, in the name and in the docstring; docs/nomenclature.md lists the endings."""

import ast
import re

import pytest
from source_tree import REPOSITORY, functions

from loopwright.brief.told import SUFFIX_UNITS

NOMENCLATURE = REPOSITORY / "docs" / "nomenclature.md"


def endings():
    """Return the units that each ending may be written as, the longest endings first."""
    text = NOMENCLATURE.read_text("utf-8")
    rows = re.findall(r"^\| `(_[a-z0-9_]+)` \| ([^|]+) \|", text, re.MULTILINE)
    assert len(rows) > 20, "the table of endings was not found"
    found = {suffix: tuple(unit.strip() for unit in units.split(" or ")) for suffix, units in rows}
    return dict(sorted(found.items(), key=lambda item: -len(item[0])))


ENDINGS = endings()


def units_of(name):
    return next((units for suffix, units in ENDINGS.items() if name.endswith(suffix)), ())


def offenders():
    for function in functions():
        if not function.public:
            continue
        bracketed = {
            part.strip() for found in re.findall(r"\[([^\]]+)\]", function.docstring) for part in found.split(",")
        }
        for parameter in function.parameters:
            units = units_of(parameter.arg)
            if units and not bracketed & set(units):
                yield f"{function.place} takes {parameter.arg} but its docstring never says [{units[0]}]"


def test_every_dimensioned_parameter_has_its_unit_in_the_docstring():
    found = list(offenders())
    assert not found, "\n" + "\n".join(found)


def test_the_rule_bites(monkeypatch):
    """A function without its unit is found; otherwise the test above would pass on anything."""
    import source_tree  # noqa: PLC0415 - only here

    node = ast.parse('def area(radius_m):\n    """Area of a circle."""').body[0]
    function = source_tree.Function(REPOSITORY / "src" / "invented.py", node, None)
    monkeypatch.setitem(globals(), "functions", lambda: (function,))
    assert [line.partition(" takes ")[2] for line in offenders()] == ["radius_m but its docstring never says [m]"]


@pytest.mark.parametrize(
    ("name", "unit"),
    [("radius_m", "m"), ("conductivity_s_per_m", "S/m"), ("volume_m3", "m^3"), ("frequency_hz", "Hz"), ("count", None)],
)
def test_the_longest_ending_counts(name, unit):
    assert units_of(name)[:1] == ((unit,) if unit else ())


def test_a_brief_told_back_knows_the_same_units():
    for suffix, unit in SUFFIX_UNITS.items():
        assert unit in ENDINGS[suffix], suffix
