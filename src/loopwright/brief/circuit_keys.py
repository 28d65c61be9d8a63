"""Values that only circuits have: decibels, tolerances, values to be found, and the two nodes of a part."""

from dataclasses import dataclass

from loopwright.brief.keys import Key, Unfit, plain_number
from loopwright.brief.quantities import Quantity
from loopwright.brief.tree import Node, Scalar, described

__all__ = ["Decibels", "FreeOrQuantity", "NodePair", "PerCentList", "Tolerance"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decibels(Key):
    """A number of decibels; ``unit`` is dB or dB/m."""

    low: float
    high: float
    unit: str = "dB"

    @property
    def allowed(self) -> str:
        """Range."""
        return f"{self.low:g} {self.unit} to {self.high:g} {self.unit}"

    @property
    def kind(self) -> str:
        """Decibels."""
        return "decibels" if self.unit == "dB" else "decibels per metre"

    @property
    def example(self) -> str:
        """Return the default, else the upper bound."""
        return self.default.value if self.default else f"{self.high:g} {self.unit}"

    def value_of(self, node: Node) -> float:
        """Read the number. [dB]"""
        text = self.text_of(node)
        number = plain_number(text.removesuffix(self.unit).strip()) if text.endswith(self.unit) else None
        if number is None or not self.low <= number <= self.high:
            raise self.unfit(described(node))
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance(Key):
    """How far a value may be off, in per cent or as a part of one."""

    @property
    def allowed(self) -> str:
        """Range."""
        return "0.01 % to 50 %"

    @property
    def kind(self) -> str:
        """Per cent."""
        return "per cent"

    @property
    def example(self) -> str:
        """Return two per cent."""
        return "2 %"

    def value_of(self, node: Node) -> float:
        """Read the part of one."""
        part = _part_of_one(self.text_of(node))
        if part is None or not 1e-4 <= part <= 0.5:
            raise self.unfit(described(node))
        return part


def _part_of_one(text: str) -> float | None:
    number = plain_number(text.removesuffix("%").strip())
    return None if number is None else float(f"{number / 100 if text.endswith('%') else number:.12g}")


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
        parts = [_part_of_one(item.text) if isinstance(item, Scalar) else None for item in items]
        fitting = tuple(part for part in parts if part is not None and self.low <= part <= self.high)
        if len(fitting) < len(items) or len(items) not in self.lengths:
            raise self.unfit("[" + ", ".join(described(item) for item in items[:8]) + "]")
        return fitting


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeOrQuantity(Key):
    """A quantity, or ``free`` for a value that the tool shall find."""

    unit: str
    low: str
    high: str
    sample: str

    @property
    def allowed(self) -> str:
        """Range with units, or the word."""
        return f"{self.low} to {self.high}, or `free`"

    @property
    def kind(self) -> str:
        """Name of the quantity, or the word."""
        return f"{self._quantity.kind}, or `free`"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    @property
    def _quantity(self) -> Quantity:
        return Quantity(
            name=self.name, meaning=self.meaning, unit=self.unit, low=self.low, high=self.high, sample=self.sample
        )

    def value_of(self, node: Node) -> float | str:
        """Read the quantity in its SI unit, or the word."""
        if self.text_of(node) == "free":
            return "free"
        try:
            return self._quantity.value_of(node)
        except Unfit as error:
            raise self.unfit(error.found, f"{error.remedy}, or `free` where it is to be found") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class NodePair(Key):
    """Two nodes by name."""

    sample: str = "[gap 1, return 1]"

    @property
    def allowed(self) -> str:
        """Two names."""
        return "a list of 2 nodes: `gap k` and `return k` for the two sides of gap k, or names of your own"

    @property
    def kind(self) -> str:
        """Two nodes."""
        return "two nodes"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> tuple[str, str]:
        """Read the two names."""
        items = self.items_of(node)
        names = [item.text for item in items if isinstance(item, Scalar) and item.text and item.text.isprintable()]
        if len(items) != 2 or len(names) != 2 or any(len(name) > 40 for name in names):
            raise self.unfit(described(node))
        return names[0], names[1]
