"""The kinds of values that have a unit or several parts, and how each is read."""

from dataclasses import dataclass

from loopwright.brief.keys import Count, Key, Unfit, plain_number
from loopwright.brief.tree import Node, Scalar, described
from loopwright.ground.units import UnitTextError, quantity_name, si_value

__all__ = ["CountList", "Depth", "Direction", "NumberList", "Quantity", "QuantityList", "WordsList"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Key):
    """A number with a unit, between two bounds that are written with their units too."""

    unit: str
    low: str
    high: str
    sample: str = ""

    @property
    def allowed(self) -> str:
        """Range with units."""
        return f"{self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """Name of the quantity."""
        return quantity_name(self.unit)

    @property
    def example(self) -> str:
        """Return the sample, else the default, else the lower bound."""
        return self.sample or (self.default.value if self.default else self.low)

    def value_of(self, node: Node) -> float:
        """Read the quantity in its SI unit."""
        text = self.text_of(node)
        try:
            value = si_value(text, self.unit, example=self.example)
        except UnitTextError as error:
            raise self.unfit(error.found, error.remedy) from error
        if not si_value(self.low, self.unit) <= value <= si_value(self.high, self.unit):
            raise self.unfit(described(node), f"write a {self.kind} in that range, such as '{self.example}'")
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth(Key):
    """A length, or a number of voxels of the body's grid."""

    voxel_m: float
    most_voxels: float = 50.0

    @property
    def allowed(self) -> str:
        """Range in either unit."""
        return f"0 mm to 100 mm, or 0 voxels to {self.most_voxels:g} voxels"

    @property
    def kind(self) -> str:
        """Length or voxels."""
        return "length, or number of voxels"

    @property
    def example(self) -> str:
        """Return two voxels."""
        return "2 voxels"

    def value_of(self, node: Node) -> float:
        """Read the depth. [m]"""
        text = self.text_of(node)
        counted = text.removesuffix("voxels").removesuffix("voxel")
        if counted != text:
            number = plain_number(counted.strip())
            if number is None or not 0 <= number <= self.most_voxels:
                raise self.unfit(described(node))
            return number * self.voxel_m
        length = Quantity(name=self.name, meaning=self.meaning, unit="m", low="0 mm", high="100 mm")
        try:
            return length.value_of(node)
        except Unfit as error:
            raise self.unfit(error.found, error.remedy) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityList(Key):
    """A list of quantities with one unit each; ``lengths`` holds the numbers of items that are allowed."""

    unit: str
    low: str
    high: str
    lengths: tuple[int, ...]
    sample: str

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} from {self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """List of what."""
        return f"list of {quantity_name(self.unit)}s"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read all items in the SI unit."""
        items = self.items_of(node)
        if len(items) not in self.lengths:
            raise self.unfit(described(node))
        one = Quantity(name=self.name, meaning=self.meaning, unit=self.unit, low=self.low, high=self.high)
        try:
            return tuple(one.value_of(item) for item in items)
        except Unfit as error:
            raise self.unfit(f"[..., {error.found}]" if len(items) > 1 else f"[{error.found}]") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberList(Key):
    """A list of numbers without units."""

    low: float
    high: float
    lengths: tuple[int, ...]
    sample: str

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} from {self.low:g} to {self.high:g}"

    @property
    def kind(self) -> str:
        """List of numbers."""
        return "list of numbers"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[float, ...]:
        """Read all items."""
        items = self.items_of(node)
        if len(items) not in self.lengths:
            raise self.unfit(described(node))
        numbers = [plain_number(item.text) if isinstance(item, Scalar) else None for item in items]
        fitting = [number for number in numbers if number is not None and self.low <= number <= self.high]
        if len(fitting) < len(items):
            raise self.unfit("[" + ", ".join(described(item) for item in items) + "]")
        return tuple(fitting)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountList(Key):
    """A list of whole numbers."""

    low: int
    high: int
    lengths: tuple[int, ...]
    sample: str

    @property
    def allowed(self) -> str:
        """Length of the list and range of its items."""
        return f"{_how_many(self.lengths)} whole numbers from {self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """List of whole numbers."""
        return "list of whole numbers"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[int, ...]:
        """Read all items."""
        items = self.items_of(node)
        if len(items) not in self.lengths:
            raise self.unfit(described(node))
        one = Count(name=self.name, meaning=self.meaning, low=self.low, high=self.high)
        try:
            return tuple(one.value_of(item) for item in items)
        except Unfit as error:
            raise self.unfit(f"[..., {error.found}]" if len(items) > 1 else f"[{error.found}]") from error


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


@dataclass(frozen=True, slots=True, kw_only=True)
class WordsList(Key):
    """A list of words out of a few, none of them twice."""

    options: tuple[str, ...]
    lengths: tuple[int, ...]
    sample: str

    @property
    def allowed(self) -> str:
        """Words and length of the list."""
        return f"{_how_many(self.lengths)} out of {', '.join(self.options)}, none twice"

    @property
    def kind(self) -> str:
        """List of words."""
        return "list of words"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[str, ...]:
        """Read all words."""
        items = self.items_of(node)
        words = tuple(item.text for item in items if isinstance(item, Scalar) and item.text in self.options)
        if len(words) < len(items) or len(words) not in self.lengths or len(set(words)) < len(words):
            raise self.unfit("[" + ", ".join(described(item) for item in items[:8]) + "]")
        return words


def _how_many(lengths: tuple[int, ...]) -> str:
    if len(lengths) > 4:
        return f"a list of {lengths[0]} to {lengths[-1]}"
    return f"a list of {' or '.join(str(length) for length in lengths)}"
