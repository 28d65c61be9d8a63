"""What a dossier is made of: findings, tables, answers and sections."""

from dataclasses import dataclass, field

from loopwright.dossier.numbers import (
    display_unit,
    is_beyond,
    printed,
    printed_as_given,
    printed_beyond,
    printed_to,
    printed_with_uncertainty,
)
from loopwright.ground.sources import Source

__all__ = [
    "CHOSEN",
    "Answer",
    "Cell",
    "Column",
    "Dossier",
    "Finding",
    "FindingValue",
    "Section",
    "Table",
    "asked_for",
    "computed",
]

#: Why a given number has no uncertainty; such a figure is printed as it was given.
CHOSEN = "a choice or a constant"

Cell = float | int | str
"""One field of a table: a number in the SI unit of its column, or words."""

FindingValue = float | str | tuple[float, ...] | tuple[str, ...] | tuple[tuple[float, ...], ...]
"""A figure, a name, one figure per element, or a matrix element by element."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One figure of the dossier, with all that a reader needs in order to trust or doubt it.

    ``value`` and ``uncertainty`` are in ``unit`` (SI); the unit on paper is chosen where it is printed. A finding
    either has an uncertainty or says why it has none.
    """

    key: str
    label: str
    value: FindingValue
    unit: str
    how: str
    source: Source | str
    uncertainty: float | tuple[float, ...] | None = None
    no_uncertainty_because: str | None = None

    def __post_init__(self) -> None:
        """Refuse a figure that hides how well it is known."""
        if (self.uncertainty is None) == (self.no_uncertainty_because is None):
            raise ValueError(f"finding {self.key!r}: give either an uncertainty or the reason why there is none")

    @property
    def text(self) -> str:
        """Value, uncertainty and unit as the dossier prints them; a matrix is printed elsewhere."""
        if isinstance(self.value, str):
            return self.value
        if isinstance(self.value, tuple):
            return "see its table"
        if isinstance(self.uncertainty, float):
            return printed_with_uncertainty(self.value, self.uncertainty, self.unit)
        if self.no_uncertainty_because == CHOSEN or isinstance(self.value, int):
            return printed_as_given(self.value, self.unit)
        return printed(self.value, self.unit)


def computed(key: str, label: str, value: FindingValue, unit: str, *, how: str, because: str) -> Finding:
    """Put a figure of this run, without an uncertainty because of something, into a finding; ``unit`` is SI."""
    return Finding(
        key=key, label=label, value=value, unit=unit, how=how, source="computed here", no_uncertainty_because=because
    )


def asked_for(key: str, label: str, value: FindingValue, unit: str, *, how: str) -> Finding:
    """Put a choice of the brief into a finding; ``unit`` is SI."""
    return Finding(
        key=key, label=label, value=value, unit=unit, how=how, source="the brief", no_uncertainty_because=CHOSEN
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: what it holds, the SI unit of its numbers, and how many digits are honest.

    ``decimals`` prints coordinates to the same place instead, where a number near zero means nothing.
    """

    title: str
    unit: str = ""
    digits: int = 3
    decimals: int | None = None

    @property
    def heading(self) -> str:
        """Title and unit on paper, as the header row prints them."""
        symbol = display_unit(self.unit).symbol
        return f"{self.title} [{symbol}]" if symbol else self.title

    def on_paper(self, cell: Cell) -> Cell:
        """Return a number in the unit on paper, and words as they are."""
        return cell if isinstance(cell, str | int) else cell * display_unit(self.unit).per_si

    def text(self, cell: Cell) -> str:
        """Return the cell as the page prints it."""
        if isinstance(cell, str | int):
            return str(cell)
        if is_beyond(cell, self.unit):
            return printed_beyond(self.unit).removesuffix(f" {display_unit(self.unit).symbol}")
        on_paper = cell * display_unit(self.unit).per_si
        return printed(on_paper, digits=self.digits) if self.decimals is None else printed_to(on_paper, self.decimals)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows under named columns; ``name`` is the stem of its CSV file, which always has all of them."""

    name: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    rows_on_page: int = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A question that the engineer asks every week, its answer, and the section that holds the detail."""

    question: str
    answer: str
    section: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One numbered section of the dossier."""

    anchor: str
    title: str
    prose: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    answers: tuple[Answer, ...] = ()
    findings: tuple[Finding, ...] = ()
    tables: tuple[Table, ...] = ()
    pictures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier:
    """Everything that one run tells, ready to be written in any form; ``subject`` says what it is about."""

    title: str
    tool_version: str
    element_names: tuple[str, ...]
    sections: tuple[Section, ...]
    methods: tuple[str, ...] = field(default=())
    subject: str = "Dossier of a receive array."

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings in the order of the page."""
        return tuple(finding for section in self.sections for finding in section.findings)

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All answers in the order of the page."""
        return tuple(answer for section in self.sections for answer in section.answers)

    @property
    def tables(self) -> tuple[Table, ...]:
        """All tables in the order of the page."""
        return tuple(table for section in self.sections for table in section.tables)
