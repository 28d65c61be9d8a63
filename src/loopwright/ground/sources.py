"""Where a number comes from, and how far it was checked."""

from dataclasses import dataclass
from enum import Enum


class Flag(Enum):
    """How a value came to be known."""

    READ = "read in the source named"
    MEMORY = "from memory, unverified"
    COMPUTED = "computed here"
    COMMON_PRACTICE = "common practice"
    STANDARD = "defined by a standard"
    ASKED = "asked for"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A place where a number or a method was found.

    ``key`` is an entry of ``docs/references.bib``, or empty where there is none.
    """

    key: str
    where: str
    flag: Flag

    def __str__(self) -> str:
        """Say it in one line, as the dossier prints it."""
        named = f"[{self.key}] {self.where}" if self.key else self.where
        return named if self.flag is Flag.ASKED else f"{named} ({self.flag.value})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """A number, its unit, and where it was found."""

    value: float
    unit: str
    source: Source
