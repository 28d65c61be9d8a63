"""A limit, and what a value makes of it. Nobody is told that anything is without danger."""

from dataclasses import dataclass
from enum import Enum

from loopwright.ground.sources import Source

__all__ = ["Assessment", "Limit", "LimitKind", "Verdict"]


class LimitKind(Enum):
    """On which side of the limit values have to stay."""

    AT_MOST = "at most"
    AT_LEAST = "at least"


class Verdict(Enum):
    """What a value makes of a limit."""

    MET = "met"
    NOT_MET = "not met"
    NOT_ASSESSED = "not assessed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit of a set.

    Attributes
    ----------
    name : str
        By which the brief and the findings name it.
    quantity : str
        Of what, in words.
    kind : LimitKind
    value : float
        In ``unit``, as the rule prints it.
    unit : str
    edition : str
        Document and edition, or the words "common practice".
    source : Source
        Where it was read, or that it is from memory.
    note : str
        For whom and when it holds; empty where nothing is to be said.
    """

    name: str
    quantity: str
    kind: LimitKind
    value: float
    unit: str
    edition: str
    source: Source
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """A value held against a limit.

    Attributes
    ----------
    limit : Limit
    value : float or None
        In the unit of the limit; None where nothing was computed.
    uncertainty : float or None
        Of the value, one half-width in the same unit; None where it has none.
    verdict : Verdict
        Met or not met only where the limit lies outside the uncertainty.
    why : str
        One sentence: in which state the value was found, or why there is none.
    """

    limit: Limit
    value: float | None
    uncertainty: float | None
    verdict: Verdict
    why: str
