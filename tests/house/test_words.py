"""Words that must not stand in any file of the repository."""

import re
from pathlib import Path

import pytest
from source_tree import REPOSITORY, texts

HERE = Path(__file__)


def forbidden(*parts):
    """Put a word together from parts, so that this file does not hold it."""
    return "".join(parts)


#: Where the work was done, and where packages came from: of no use to anybody else.
PLACES = re.compile(
    "|".join(
        (
            forbidden(r"(?<![\w.])/wo", r"rk(/|\b)"),
            forbidden(r"(?<![\w.])/ro", r"ot(/|\b)"),
            forbidden("/t", "mp/pl", "an"),
            forbidden(r"py", r"pi\.org"),
            forbidden("pythonhos", r"ted\.org"),
            forbidden("--index", "-url"),
            forbidden("--extra-index", "-url"),
        )
    )
)

#: No page, message or comment may pass judgement on harm to persons.
VERDICT = re.compile(
    forbidden(r"\b(is|are|be|as|it's|deemed|considered|declared|verdict:?) sa", r"fe\b"), re.IGNORECASE
)


@pytest.mark.parametrize("rule", [PLACES, VERDICT], ids=["places", "verdict"])
def test_no_file_holds_them(rule):
    found = [
        f"{path.relative_to(REPOSITORY)}:{number}: {line.strip()[:100]}"
        for path in texts()
        if path != HERE
        for number, line in enumerate(path.read_text("utf-8", errors="replace").splitlines(), start=1)
        if rule.search(line)
    ]
    assert not found, "\n" + "\n".join(found)


def test_the_rules_bite():
    assert PLACES.search(forbidden("see /wo", "rk/main"))
    assert not PLACES.search("paperwork/framework")
    assert VERDICT.search(forbidden("this coil is sa", "fe"))
    assert not VERDICT.search("fail-safe, safer, safety")
