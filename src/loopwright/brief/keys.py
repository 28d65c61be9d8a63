"""The kinds of values that stand behind the keys of a brief, and how each is read.

A key knows its name, what it means, what is allowed and what is taken when it is absent. The same declarations feed the
reader and the reference page, so the two cannot disagree.
"""

from abc import ABC, abstractmethod
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum
from typing import Any

from loopwright.brief.defaults import Default
from loopwright.brief.tree import Node, Scalar, Sequence, described

__all__ = ["Absent", "Choice", "Count", "Key", "Number", "Unfit", "Words", "did_you_mean", "nearest", "plain_number"]


class Unfit(Exception):  # noqa: N818 - no error of the program: the sentence that the engineer will read
    """What stands there does not fit the key."""

    def __init__(self, *, found: str, allowed: str, remedy: str) -> None:
        self.found, self.allowed, self.remedy = found, allowed, remedy
        super().__init__(found)


class Absent(Enum):
    """What it means when a key without default is not written."""

    REFUSED = "required"
    ALLOWED = "may be left out"


def nearest(word: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the known words that were most likely meant: a misspelt one, else those that hold the word."""
    folded = {candidate.casefold(): candidate for candidate in known}
    misspelt = get_close_matches(word.casefold(), folded, n=1, cutoff=0.8)
    holding = [candidate for candidate in known if len(word) >= 3 and word.casefold() in candidate.casefold()]
    if misspelt or holding:
        return (folded[misspelt[0]],) if misspelt else tuple(holding[:4])
    return tuple(folded[close] for close in get_close_matches(word.casefold(), folded, n=1, cutoff=0.6))


def did_you_mean(word: str, known: tuple[str, ...], *, otherwise: str) -> str:
    """Ask for the nearest known words, or give the other remedy where none is near."""
    meant = nearest(word[:80], known)
    return f"did you mean {' or '.join(repr(candidate) for candidate in meant)}?" if meant else otherwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Key(ABC):
    """One key of a brief.

    ``field`` is the name of the record's field where that differs from the key, usually by its unit. ``unless`` names
    another key that, when written, stands in for this one, so that no default is taken.
    """

    name: str
    meaning: str
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED
    unless: str = ""

    @property
    @abstractmethod
    def allowed(self) -> str:
        """What may stand there, as one phrase."""

    @property
    @abstractmethod
    def kind(self) -> str:
        """What sort of thing stands there, for the reference page."""

    @property
    @abstractmethod
    def example(self) -> str:
        """Something that would fit."""

    @abstractmethod
    def value_of(self, node: Node) -> Any:
        """Read the value in SI units, or raise Unfit."""

    def unfit(self, found: str, remedy: str = "") -> Unfit:
        """Refuse what was found, with an example as the remedy where no better is known."""
        return Unfit(found=found, allowed=self.allowed, remedy=remedy or f"write for example `{self.example}`")

    def text_of(self, node: Node) -> str:
        """Return the one piece of text that has to stand there."""
        if not isinstance(node, Scalar) or not node.text:
            raise self.unfit(described(node))
        return node.text

    def items_of(self, node: Node) -> tuple[Node, ...]:
        """Return the items of the list that has to stand there."""
        if not isinstance(node, Sequence):
            raise self.unfit(described(node))
        return node.items


@dataclass(frozen=True, slots=True, kw_only=True)
class Words(Key):
    """Free text of one line."""

    longest: int = 120
    sample: str = "A1"

    @property
    def allowed(self) -> str:
        """Length of the text."""
        return f"text of 1 to {self.longest} characters on one line"

    @property
    def kind(self) -> str:
        """Text."""
        return "text"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> str:
        """Read the text."""
        text = self.text_of(node)
        if len(text) > self.longest or not text.isprintable():
            raise self.unfit(described(node), "shorten it to one line of plain text")
        return text


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice(Key):
    """One of a few words, in upper or lower case."""

    options: tuple[str, ...]

    @property
    def allowed(self) -> str:
        """Return the words."""
        return ", ".join(self.options)

    @property
    def kind(self) -> str:
        """One of."""
        return "one of"

    @property
    def example(self) -> str:
        """Return the first word."""
        return self.options[0]

    def value_of(self, node: Node) -> str:
        """Read the word, or say which was probably meant."""
        text = self.text_of(node)
        for option in self.options:
            if option.casefold() == text.casefold():
                return option
        raise self.unfit(described(node), did_you_mean(text, self.options, otherwise="choose one of those above"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Count(Key):
    """A whole number; ``step`` asks for multiples, ``offset`` shifts them (step 2, offset 1: odd numbers)."""

    low: int
    high: int
    step: int = 1
    offset: int = 0
    why_step: str = ""
    sample: str = ""

    @property
    def allowed(self) -> str:
        """Range and step."""
        whole = f"a whole number from {self.low} to {self.high}"
        return f"{whole}, {self.why_step}" if self.why_step else whole

    @property
    def kind(self) -> str:
        """Whole number."""
        return "whole number"

    @property
    def example(self) -> str:
        """Return the sample, else the default, else the lower bound."""
        return self.sample or (self.default.value if self.default else str(self.low))

    def value_of(self, node: Node) -> int:
        """Read the number."""
        text = self.text_of(node)
        if not (text.isascii() and text.isdigit() and len(text) < 10):
            raise self.unfit(described(node), f"write a whole number without unit, such as {self.example}")
        number = int(text)
        if not self.low <= number <= self.high or (number - self.offset) % self.step:
            raise self.unfit(described(node), f"write a whole number without unit, such as {self.example}")
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Key):
    """A number without unit."""

    low: float
    high: float
    sample: str = "1.0"

    @property
    def allowed(self) -> str:
        """Range."""
        return f"a number from {self.low:g} to {self.high:g}"

    @property
    def kind(self) -> str:
        """Number."""
        return "number"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> float:
        """Read the number."""
        number = plain_number(self.text_of(node))
        if number is None or not self.low <= number <= self.high:
            raise self.unfit(described(node), f"write a number without unit, such as {self.example}")
        return number


def plain_number(text: str) -> float | None:
    """Read a decimal number; None for anything else, and for what is not finite."""
    try:
        number = float(text) if text.isascii() and not text.count("_") else float("nan")
    except ValueError:
        return None
    return number if abs(number) < float("inf") else None
