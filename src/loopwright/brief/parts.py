"""Keys behind which a mapping or a list of mappings stands."""

from dataclasses import dataclass
from typing import Any

from loopwright.brief.defaults import Default
from loopwright.brief.filling import read, written
from loopwright.brief.forms import Form, Variants
from loopwright.brief.keys import Absent
from loopwright.brief.notebook import Place
from loopwright.brief.tree import Node, Scalar, described
from loopwright.brief.tree import Sequence as SequenceNode

__all__ = ["Part", "Parts"]


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
