"""How a part of a brief is declared: the keys it has, what has to hold between them, and the record they make."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from loopwright.brief.defaults import Default
from loopwright.brief.keys import Absent, Choice, Key
from loopwright.brief.notebook import Place
from loopwright.brief.tree import Node

__all__ = ["NOTHING", "Draft", "Form", "Outcome", "Piece", "Rule", "Trouble", "Variants"]

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
    """Several forms, told apart by one word; ``default`` is the word that is taken when none is written."""

    title: str
    by: str
    meaning: str
    forms: Mapping[str, Form]
    default: Default | None = None

    @property
    def choice(self) -> Choice:
        """Return the key that tells the forms apart."""
        return Choice(name=self.by, meaning=self.meaning, options=tuple(self.forms), default=self.default)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """The record, or None when something was wrong; and the draft in either case."""

    record: Any
    draft: Draft

    @staticmethod
    def of_nothing() -> "Outcome":
        """Return what comes of something that could not be read at all."""
        return Outcome(record=None, draft=Draft())
