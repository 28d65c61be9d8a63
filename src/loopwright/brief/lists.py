"""Keys that hold lists."""

from dataclasses import dataclass
from itertools import pairwise

from loopwright.brief.keys import Count, Key, Unfit, plain_number
from loopwright.brief.quantities import Quantity, part_of_one
from loopwright.brief.tree import Node, Scalar, described
from loopwright.ground.units import quantity_name

__all__ = ["CountList", "Direction", "NumberList", "QuantityList", "WordOrWords", "WordsList"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _ListKey(Key):
    """A list of one of several lengths."""

    lengths: tuple[int, ...]
    sample: str

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def counted_items_of(self, node: Node) -> tuple[Node, ...]:
        """Items of a list that is as long as it may be."""
        items = self.items_of(node)
        if len(items) not in self.lengths:
            raise self.unfit(described(node))
        return items


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityList(_ListKey):
    """A list of quantities with one unit each; ``lengths`` holds the numbers of items that are allowed."""

    unit: str
    low: str
    high: str

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} from {self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """List of what."""
        return f"list of {quantity_name(self.unit)}s"

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read all items in the SI unit."""
        items = self.items_of(node)
        if len(items) not in self.lengths:
            raise self.unfit(described(node), _if_split_at_a_comma(items))
        one = Quantity(name=self.name, meaning=self.meaning, unit=self.unit, low=self.low, high=self.high)
        try:
            return tuple(one.value_of(item) for item in items)
        except Unfit as error:
            found = f"[..., {error.found}]" if len(items) > 1 else f"[{error.found}]"
            raise self.unfit(found, _if_split_at_a_comma(items)) from error


def _if_split_at_a_comma(items: tuple[Node, ...]) -> str:
    """Remedy for what a decimal comma makes of a list, [0,8 cm], or a unit that stands behind the last item only."""
    texts = [item.text if isinstance(item, Scalar) else "" for item in items]
    split = any(before.lstrip("+-").isdigit() and after[:1].isdigit() for before, after in pairwise(texts))
    return (
        "give every item its unit, and write a decimal point where you meant one: a comma ends an item" if split else ""
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberList(_ListKey):
    """A list of numbers without units."""

    low: float
    high: float

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} from {self.low:g} to {self.high:g}"

    @property
    def kind(self) -> str:
        """List of numbers."""
        return "list of numbers"

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read all items."""
        items = self.counted_items_of(node)
        numbers = [plain_number(item.text) if isinstance(item, Scalar) else None for item in items]
        fitting = [number for number in numbers if number is not None and self.low <= number <= self.high]
        if len(fitting) < len(items):
            raise self.unfit("[" + ", ".join(described(item) for item in items) + "]")
        return tuple(fitting)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountList(_ListKey):
    """A list of whole numbers."""

    low: int
    high: int

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} whole numbers from {self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """List of whole numbers."""
        return "list of whole numbers"

    def value_of(self, node: Node) -> tuple[int, ...]:
        """Read all items."""
        items = self.counted_items_of(node)
        one = Count(name=self.name, meaning=self.meaning, low=self.low, high=self.high)
        try:
            return tuple(one.value_of(item) for item in items)
        except Unfit as error:
            raise self.unfit(f"[..., {error.found}]" if len(items) > 1 else f"[{error.found}]") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsList(_ListKey):
    """A list of words out of a few, none of them twice."""

    options: tuple[str, ...]

    @property
    def allowed(self) -> str:
        """Words and length of the list."""
        return f"{_how_many(self.lengths)} out of {', '.join(self.options)}, none twice"

    @property
    def kind(self) -> str:
        """List of words."""
        return "list of words"

    def value_of(self, node: Node) -> tuple[str, ...]:
        """Read all words."""
        items = self.items_of(node)
        words = tuple(item.text for item in items if isinstance(item, Scalar) and item.text in self.options)
        if len(words) < len(items) or len(words) not in self.lengths or len(set(words)) < len(words):
            raise self.unfit("[" + ", ".join(described(item) for item in items[:8]) + "]")
        return words


@dataclass(frozen=True, slots=True, kw_only=True)
class WordOrWords(Key):
    """A name, or a list of names, none of them twice."""

    most: int
    sample: str

    @property
    def allowed(self) -> str:
        """One or several."""
        return f"a name, or a list of 1 to {self.most} names, none twice"

    @property
    def kind(self) -> str:
        """Name or names."""
        return "name, or list of names"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[str, ...]:
        """Read the names as written."""
        items = (node,) if isinstance(node, Scalar) else self.items_of(node)
        names = tuple(item.text for item in items if isinstance(item, Scalar) and item.text.isprintable() and item.text)
        distinct = {name.casefold() for name in names}
        if len(names) < len(items) or not 1 <= len(names) <= self.most or len(distinct) < len(names):
            raise self.unfit("[" + ", ".join(described(item) for item in items[:8]) + "]")
        return names


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction(Key):
    """Three numbers that point somewhere; their length does not matter."""

    @property
    def allowed(self) -> str:
        """Three numbers."""
        return "a list of 3 numbers, not all zero, in the body frame (x to the left, y to posterior, z to the head)"

    @property
    def kind(self) -> str:
        """Direction."""
        return "direction"

    @property
    def example(self) -> str:
        """Return the front of the body."""
        return "[0, -1, 0]"

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read the vector as written; the record makes it one long."""
        three = NumberList(name=self.name, meaning=self.meaning, low=-1e6, high=1e6, lengths=(3,), sample=self.example)
        try:
            vector = three.value_of(node)
        except Unfit as error:
            raise self.unfit(error.found) from error
        if max(abs(component) for component in vector) < 1e-6:
            raise self.unfit("[" + ", ".join(f"{component:g}" for component in vector) + "], which points nowhere")
        return vector


def _how_many(lengths: tuple[int, ...]) -> str:
    if len(lengths) > 2 and lengths == tuple(range(lengths[0], lengths[-1] + 1)):
        return f"a list of {lengths[0]} to {lengths[-1]}"
    return f"a list of {' or '.join(str(length) for length in lengths)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PerCentList(Key):
    """A list of relative changes, each in per cent or as a part of one."""

    low: float
    high: float
    lengths: tuple[int, ...]
    sample: str

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"a list of {self.lengths[0]} to {self.lengths[-1]} from {100 * self.low:g} % to {100 * self.high:g} %"

    @property
    def kind(self) -> str:
        """List of per cent."""
        return "list of per cent"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read the parts of one."""
        items = self.items_of(node)
        parts = [part_of_one(item.text) if isinstance(item, Scalar) else None for item in items]
        fitting = tuple(part for part in parts if part is not None and self.low <= part <= self.high)
        if len(fitting) < len(items) or len(items) not in self.lengths:
            raise self.unfit("[" + ", ".join(described(item) for item in items[:8]) + "]")
        return fitting
