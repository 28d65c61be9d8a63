"""Whether something would be noticed, and by what."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

__all__ = ["Finding", "Told", "surest"]


class Told(Enum):
    """What can be said; what counts most first, where several ways lead to an answer."""

    NOTICED = "noticed"
    UNKNOWN = "cannot be told"
    NOT_NOTICED = "not noticed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What can be said of one way to notice a fault, and why, in words."""

    told: Told
    words: str


def surest(found: Sequence[Finding]) -> Finding:
    """Return what counts: noticed by any, else not to be told by any, else not noticed."""
    return next(one for told in Told for one in found if one.told is told)
