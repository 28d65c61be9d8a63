"""How a part of a brief is read: the keys it has, what has to hold between them, and the record they make.

Nothing stops at the first slip. Whatever was read well goes into a draft, the rules look at the draft, and every
complaint lands in the notebook with its line.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Protocol

from loopwright.brief.defaults import Default
from loopwright.brief.keys import Absent, Choice, Key, Unfit, did_you_mean
from loopwright.brief.notebook import Place
from loopwright.brief.tree import Entry, Node, Scalar, described, tree_of
from loopwright.brief.tree import Mapping as MappingNode
from loopwright.brief.tree import Sequence as SequenceNode

__all__ = [
    "NOTHING",
    "Draft",
    "Form",
    "Outcome",
    "Part",
    "Parts",
    "Piece",
    "Rule",
    "Trouble",
    "Variants",
    "complain_about_names",
    "read",
    "take",
    "written",
]

NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """Something that a rule found, at one key of its form."""

    key: str
    found: str
    allowed: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What could be read of a part: values by key, defaults included, and the keys that were written."""

    values: Mapping[str, Any] = field(default_factory=dict)
    written: frozenset[str] = frozenset()

    def get(self, key: str) -> Any:
        """Value of a key; None when it was left out or could not be read."""
        return self.values.get(key)


Rule = Callable[[Draft], Iterator[Trouble]]


class Piece(Protocol):
    """A key behind which more than one value stands."""

    @property
    def name(self) -> str:
        """Name of the key."""

    @property
    def meaning(self) -> str:
        """What it is."""

    @property
    def field(self) -> str:
        """Name of the record's field, where it differs from the key."""

    @property
    def default(self) -> Default | None:
        """What is taken when it is absent."""

    @property
    def absent(self) -> Absent:
        """What it means when there is no default."""

    @property
    def allowed(self) -> str:
        """What may stand there."""

    @property
    def kind(self) -> str:
        """What sort of thing stands there, for the reference page."""

    def read_at(self, node: Node, place: "Place") -> Any:
        """Read it, and complain at this place; None when anything was wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """The keys of one mapping and the record they make.

    ``strangers`` are keys that one might expect here, each with the remedy.
    """

    title: str
    keys: tuple[Key | Piece, ...]
    build: Callable[..., Any]
    rules: tuple[Rule, ...] = ()
    strangers: Mapping[str, str] = field(default_factory=dict)
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variants:
    """Several forms, told apart by one word."""

    title: str
    by: str
    meaning: str
    forms: Mapping[str, Form]

    @property
    def choice(self) -> Choice:
        """Return the key that tells the forms apart."""
        return Choice(name=self.by, meaning=self.meaning, options=tuple(self.forms))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The record, or None when something was wrong; and the draft in either case."""

    record: Any
    draft: Draft

    @staticmethod
    def of_nothing() -> "Outcome":
        """Return what comes of something that could not be read at all."""
        return Outcome(record=None, draft=Draft())


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A key behind which a mapping stands."""

    name: str
    meaning: str
    of: Form | Variants
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED

    @property
    def allowed(self) -> str:
        """A mapping."""
        return "a mapping of keys"

    @property
    def kind(self) -> str:
        """Keys."""
        return "keys"

    def read_at(self, node: Node, place: Place) -> Any:
        """Read the mapping."""
        return read(self.of, node, place).record


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """A key behind which a list of mappings stands; ``unique`` is the key that has to differ between them."""

    name: str
    meaning: str
    of: Form | Variants
    most: int
    unique: str = ""
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED

    @property
    def allowed(self) -> str:
        """A list of mappings."""
        return f"a list of at most {self.most} mappings of keys"

    @property
    def kind(self) -> str:
        """List of keys."""
        return "list of keys"

    def read_at(self, node: Node, place: Place) -> tuple[Any, ...] | None:
        """Read all mappings, and complain about all of them; None when anything was wrong."""
        if not isinstance(node, SequenceNode) or len(node.items) > self.most:
            place.complain(found=described(node), allowed=self.allowed, remedy="start every item with '- '")
            return None
        places = [
            Place(notebook=place.notebook, path=f"{place.path}[{number}]", line=item.line)
            for number, item in enumerate(node.items, start=1)
        ]
        records = [read(self.of, item, there).record for item, there in zip(node.items, places, strict=True)]
        alike = [_complain_about_repeat(self.unique, node.items, places, at) for at in range(len(places))]
        return None if any(alike) or any(record is None for record in records) else tuple(records)


def _complain_about_repeat(key: str, items: tuple[Node, ...], places: list[Place], at: int) -> bool:
    """Complain when an item shares with an earlier one what has to differ, even where it is wrong otherwise."""
    texts = [_text_behind(key, item) for item in items[: at + 1]]
    if texts[at] is None or texts[at] not in texts[:at]:
        return False
    entry = written(items[at])[key]
    places[at].inside(key, entry.line).complain(
        found=f"{described(entry.value)}, as in {places[texts.index(texts[at])].path}",
        allowed=f"a {key} of its own for every item: results go by it",
        remedy="write another",
    )
    return True


def _text_behind(key: str, node: Node) -> str | None:
    entry = written(node).get(key)
    return entry.value.text or None if entry is not None and isinstance(entry.value, Scalar) else None


def read(part: Form | Variants, node: Node, place: Place) -> Outcome:
    """Read one mapping as this form, or as the variant that it names.

    Parameters
    ----------
    part
        What may stand there.
    node
        What stands there.
    place
        Where it stands, and the notebook for complaints and defaults.

    Returns
    -------
    Outcome
        The record, or None after complaints, and the draft.
    """
    if node == Scalar("", node.line):
        node = MappingNode((), node.line)  # a key with nothing behind it: all of its own keys are left out
    if not isinstance(node, MappingNode):
        place.complain(
            found=described(node), allowed="a mapping of keys", remedy="write its keys indented below it, one a line"
        )
        return Outcome.of_nothing()
    if isinstance(part, Form):
        return _read_form(part, node, place)
    word = take(part.choice, written(node).get(part.by), place)
    if word is None:
        return Outcome.of_nothing()
    outcome = _read_form(part.forms[word], node, place, told_apart_by=part.by)
    draft = Draft(values={**outcome.draft.values, part.by: word}, written=outcome.draft.written | {part.by})
    return Outcome(record=outcome.record, draft=draft)


def _read_form(form: Form, node: MappingNode, place: Place, *, told_apart_by: str = "") -> Outcome:
    """Read the keys of one form, apply its rules and build its record when nothing was wrong."""
    before = len(place.notebook.complaints)
    names = tuple(key.name for key in form.keys) + ((told_apart_by,) if told_apart_by else ())
    complain_about_names(form, node, place, names)
    entries = written(node)
    taken = {key.name: take(key, entries.get(key.name), place) for key in form.keys if not _replaced(key, entries)}
    values = {name: value for name, value in taken.items() if value is not None}
    draft = Draft(values=values, written=frozenset(entries))
    for rule in form.rules:
        for trouble in rule(draft):
            line = entries[trouble.key].line if trouble.key in entries else place.line
            place.inside(trouble.key, line).complain(
                found=trouble.found, allowed=trouble.allowed, remedy=trouble.remedy
            )
    if len(place.notebook.complaints) > before:
        return Outcome(record=None, draft=draft)
    fields = {key.field or key.name: values[key.name] for key in form.keys if key.name in values}
    return Outcome(record=form.build(**fields), draft=draft)


def take(key: Key | Piece, entry: Entry | None, place: Place) -> Any:
    """Read one key, or its default; None when it is absent or wrong."""
    if entry is not None:
        return _value(key, entry.value, place.inside(key.name, entry.line))
    here = place.inside(key.name, place.line)
    if key.default is not None:
        here.note_default(key.default)
        return _value(key, _default_node(key.default.value), here)
    if key.absent is Absent.REFUSED:
        here.complain(found=NOTHING, allowed=key.allowed, remedy=f"add `{key.name}`, for example `{_line_for(key)}`")
    return None


def _replaced(key: Key | Piece, written: Mapping[str, Entry]) -> bool:
    """Tell whether another key that is written stands in for this one, which is not."""
    return isinstance(key, Key) and key.unless in written and key.name not in written


def _line_for(key: Key | Piece) -> str:
    return f"{key.name}: {key.example}" if isinstance(key, Key) else f"{key.name}:"


def _value(key: Key | Piece, node: Node, place: Place) -> Any:
    if not isinstance(key, Key):
        return key.read_at(node, place)
    try:
        return key.value_of(node)
    except Unfit as unfit:
        place.complain(found=unfit.found, allowed=unfit.allowed, remedy=unfit.remedy)
        return None


def complain_about_names(form: Form, node: MappingNode, place: Place, names: tuple[str, ...]) -> None:
    """Complain about keys that this form does not have, and about keys that stand there twice."""
    seen: dict[str, int] = {}
    for entry in node.entries:
        if entry.key in seen:
            place.inside(_shown(entry.key), entry.line).complain(
                found="the same key again", allowed=f"once (it stands in line {seen[entry.key]})", remedy="keep one"
            )
        elif entry.key not in names:
            place.inside(_shown(entry.key), entry.line).complain(
                found="an unknown key", allowed=", ".join(names), remedy=_remedy_for_stranger(form, entry.key, names)
            )
        seen.setdefault(entry.key, entry.line)


def _shown(name: str) -> str:
    """Name of a key as it may stand in a complaint, however odd it is."""
    return name if name.isprintable() and 0 < len(name) <= 40 else described(Scalar(name, 0))


def _remedy_for_stranger(form: Form, name: str, names: tuple[str, ...]) -> str:
    if name in form.strangers:
        return form.strangers[name]
    return did_you_mean(name, names, otherwise="take it out, or choose one of those above")


def written(node: Node) -> dict[str, Entry]:
    """Entries of a mapping by key; the first counts. Anything else has none."""
    return {entry.key: entry for entry in reversed(node.entries)} if isinstance(node, MappingNode) else {}


@cache
def _default_node(text: str) -> Node:
    """Parse a default as if it stood in the brief."""
    return tree_of(text, "defaults") if text else Scalar("", 1)
