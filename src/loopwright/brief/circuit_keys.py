"""Values that only circuits have: those to be found, and the two nodes of a part."""

from dataclasses import dataclass

from loopwright.brief.keys import Key, Unfit
from loopwright.brief.quantities import Quantity
from loopwright.brief.tree import Node, Scalar, described

__all__ = ["FreeOrQuantity", "NodePair"]


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
