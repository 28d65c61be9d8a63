"""From the text of a brief to a tree of texts that remember their lines.

Every leaf stays text: YAML's own guesses about numbers, dates and truth values would come between the engineer and the
unit that was written. Anchors, aliases, tags and several documents are no part of a brief and are refused here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from loopwright.ground.errors import BriefError, Complaint

__all__ = ["Entry", "Mapping", "Node", "Scalar", "Sequence", "described", "tree_of"]

_DEEPEST = 16
_SYNTAX = "(syntax)"


@dataclass(frozen=True, slots=True)
class Scalar:
    """One piece of text."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: "tuple[Node, ...]"
    line: int


@dataclass(frozen=True, slots=True)
class Entry:
    """One key of a mapping and what stands behind it."""

    key: str
    line: int
    value: "Node"


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with their values, in the order written, repeated keys included."""

    entries: tuple[Entry, ...]
    line: int


Node = Scalar | Sequence | Mapping


class _NotABriefError(Exception):
    """Raised inside this module for what YAML allows and a brief does not."""

    def __init__(self, *, line: int, found: str, remedy: str) -> None:
        self.line, self.found, self.remedy = line, found, remedy
        super().__init__(found)


def described(node: Node) -> str:
    """Say what stands there, shortly enough for one line."""
    match node:
        case Scalar(text=text):
            return repr(text if len(text) <= 60 else f"{text[:57]}...") if text else "nothing"
        case Sequence(items=items):
            return f"a list of {len(items)}"
        case Mapping():
            return "a mapping of keys"


def tree_of(text: str, file_name: str) -> Node:
    """Parse YAML text into a tree of texts with lines.

    Parameters
    ----------
    text
        The text of a brief.
    file_name
        Name to be told in complaints.

    Returns
    -------
    Node
        The root of the tree.

    Raises
    ------
    BriefError
        If the text is no YAML, is empty, or uses what a brief does without.
    """
    try:
        # Reading stops at the first slip, so nothing after it is parsed: a tower of brackets costs nothing.
        return _document(iter(YAML(typ="safe", pure=True).parse(text)))
    except _NotABriefError as slip:
        raise _syntax_error(file_name, slip.line, slip.found, slip.remedy) from None
    except YAMLError as error:
        line = _line_of(error, text)
        problem = _problem_of(error)
        raise _syntax_error(file_name, line, problem, _remedy_for(problem, text, line)) from error
    except (ValueError, OverflowError) as error:  # what the parser lets slip through for "\UFFFFFFFF"
        remedy = "take backslash escapes out of the quoted texts"
        raise _syntax_error(file_name, 1, f"a character that cannot be ({error})", remedy) from error


def _document(events: Iterator[Any]) -> Node:
    """Build the one document of a stream."""
    next(events)  # start of the stream
    start = next(events)
    if not isinstance(start, DocumentStartEvent):
        raise _NotABriefError(line=1, found="nothing", remedy="`loopwright new DIR` writes a brief to start from")
    root = _node(next(events), events, depth=0)
    next(events)  # end of the document
    after = next(events)
    if isinstance(after, DocumentStartEvent):
        raise _NotABriefError(
            line=after.start_mark.line + 1,
            found="a second document",
            remedy="keep one brief in one file; take out '---'",
        )
    return root


def _node(event: Any, events: Iterator[Any], *, depth: int) -> Node:
    """Build the node that starts with this event."""
    line = event.start_mark.line + 1
    _refuse_extras(event, line)
    if depth > _DEEPEST:
        raise _NotABriefError(line=line, found=f"more than {_DEEPEST} levels", remedy="a brief needs five: unfold it")
    match event:
        case ScalarEvent():
            return Scalar(event.value.strip(), line)
        case SequenceStartEvent():
            return Sequence(tuple(_items(events, depth=depth + 1)), line)
        case _:
            return Mapping(tuple(_entries(events, depth=depth + 1)), line)


def _items(events: Iterator[Any], *, depth: int) -> Iterator[Node]:
    while not isinstance(event := next(events), SequenceEndEvent):
        yield _node(event, events, depth=depth)


def _entries(events: Iterator[Any], *, depth: int) -> Iterator[Entry]:
    while not isinstance(event := next(events), MappingEndEvent):
        key = _node(event, events, depth=depth)
        if not isinstance(key, Scalar):
            raise _NotABriefError(line=key.line, found=f"{described(key)} as a key", remedy="write a word before ':'")
        yield Entry(key.text, key.line, _node(next(events), events, depth=depth))


def _refuse_extras(event: Any, line: int) -> None:
    if isinstance(event, AliasEvent) or event.anchor is not None:
        raise _NotABriefError(
            line=line, found=f"the anchor or alias {event.anchor!r}", remedy="write the value out where it is needed"
        )
    if event.tag is not None:
        raise _NotABriefError(line=line, found=f"the tag {event.tag!r}", remedy="take out the word after '!'")


def _problem_of(error: Any) -> str:
    """Return the parser's own words, in one line."""
    problem = getattr(error, "problem", None) or str(error).splitlines()[0]
    return " ".join(problem.split())


def _line_of(error: Any, text: str) -> int:
    """Line of the slip; for a quote that never closes, the line where it opens."""
    unclosed = "quoted" in (getattr(error, "context", None) or "")
    mark = getattr(error, "context_mark" if unclosed else "problem_mark", None)
    if mark is not None:
        return int(mark.line) + 1
    position = getattr(error, "position", 0)
    return text.count("\n", 0, position) + 1


def _remedy_for(problem: str, text: str, line: int) -> str:
    lines = text.splitlines()
    written = lines[line - 1] if 0 < line <= len(lines) else ""
    if "\t" in written[: len(written) - len(written.lstrip())]:
        return "indent with spaces, not with tabs"
    if problem.startswith("mapping values"):
        return "put quotes round a text that holds ': ', and indent the keys of one level alike"
    return "look at this line and the one above: same indent for keys of one level, ': ' after a key, quotes closed"


def _syntax_error(file_name: str, line: int, found: str, remedy: str) -> BriefError:
    return BriefError(
        (Complaint(file=file_name, line=line, field=_SYNTAX, found=found, allowed="one YAML mapping", remedy=remedy),)
    )
