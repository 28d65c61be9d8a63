"""Every source that is cited can be found."""

import re

from source_tree import PACKAGE, REPOSITORY, sources

from loopwright.formats.bibliography import load_bibliography

KEY = re.compile(r"[a-z]+\d{4}[a-z]*")


def test_the_copy_for_readers_is_the_file_that_is_shipped():
    shipped = (PACKAGE / "dossier" / "references.bib").read_text("utf-8")
    assert (REPOSITORY / "docs" / "references.bib").read_text("utf-8") == shipped


def test_every_key_in_the_code_is_in_the_bibliography():
    known = load_bibliography()
    missing = [
        f"{path.relative_to(REPOSITORY)}: {key}"
        for path in sources()
        for key in re.findall(r"\bkey=\"(\w+)\"|\[(?=[a-z]+\d{4}[a-z]*\])(\w+)\]", path.read_text("utf-8"))
        for key in filter(KEY.fullmatch, key)
        if key not in known
    ]
    assert not missing, "\n".join(missing)


def test_every_key_in_the_docs_is_in_the_bibliography():
    known = load_bibliography()
    missing = [
        f"{path.relative_to(REPOSITORY)}: {key}"
        for path in sorted((REPOSITORY / "docs").rglob("*.md"))
        for key in re.findall(r"\[([a-z]+\d{4}[a-z]*)\]", path.read_text("utf-8"))
        if key not in known
    ]
    assert not missing, "\n".join(missing)
