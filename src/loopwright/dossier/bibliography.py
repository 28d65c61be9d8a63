"""A reader of the small part of BibTeX that ``references.bib`` is written in, and the form in which it is printed.

One field to a line, ``name = {value},``; entries end with a closing brace on a line of its own. A test reads the same
file with a full BibTeX reader and compares.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Reference", "parse_bibliography"]

_ENTRY = re.compile(r"^@(?P<kind>\w+)\{(?P<key>[^,\s]+),\s*\n(?P<body>.*?)^\}", re.MULTILINE | re.DOTALL)
_FIELD = re.compile(r"^\s*(?P<name>\w+)\s*=\s*\{(?P<value>.*?)\},?[ \t]*$", re.MULTILINE)
_BRACES = re.compile(r"[{}]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A published source; ``fields`` as they stand in the file."""

    key: str
    kind: str
    fields: Mapping[str, str]

    def field(self, name: str) -> str:
        """Return a field without braces, or nothing."""
        return _BRACES.sub("", self.fields.get(name, "")).replace("--", "–").replace("~", " ")

    @property
    def text(self) -> str:
        """One line, as a list of references prints it, and how far it was checked."""
        authors = ", ".join(_initials_first(a) for a in self.field("author").split(" and ") if a)
        where = self.field("journal") or self.field("institution") or self.field("publisher")
        volume = " ".join(part for part in (where, self.field("volume")) if part)
        number = ", ".join(part for part in (volume, self.field("pages"), self.field("number")) if part)
        pieces = [authors, self.field("title"), number, self.field("year")]
        line = ". ".join(piece.rstrip(".") for piece in pieces if piece)
        address = f" doi {self.field('doi')}." if self.field("doi") else ""
        remark = f" ({self.field('note')})" if self.field("note") else ""
        return f"{line}.{address}{remark}"


def parse_bibliography(text: str) -> dict[str, Reference]:
    """Read entries from the text of a bibliography.

    Raises
    ------
    ValueError
        If two entries have the same key.
    """
    found: dict[str, Reference] = {}
    for entry in _ENTRY.finditer(text):
        key = entry["key"]
        if key in found:
            raise ValueError(f"two references are called {key!r}")
        fields = {field["name"].lower(): field["value"].strip() for field in _FIELD.finditer(entry["body"])}
        found[key] = Reference(key=key, kind=entry["kind"].lower(), fields=fields)
    return found


def _initials_first(author: str) -> str:
    family, _, given = author.strip().partition(", ")
    if family == "others":
        return "and others"
    return f"{given} {family}" if given else family
