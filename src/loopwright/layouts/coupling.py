"""How strongly neighbours of a layout couple, as far as layouts have to know: somebody else works it out."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Integers = NDArray[np.int64]
Pairs = tuple[tuple[int, int], ...]


class Coupling(Protocol):
    """Anything that can tell coupling coefficients of outlines; the wires' loop mode does."""

    @property
    def includes(self) -> str:
        """What the coefficients hold, as the end of a sentence."""

    def __call__(self, outlines_m: Sequence[Real], pairs: Integers, *, elements: Integers) -> Real:
        """Coefficients with their signs (pairs,) for pairs (pairs, 2) of outlines (segments, 3) [m].

        ``elements`` (outlines,) says which element each outline belongs to: several may be variants of one.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class CouplingLeft:
    """Coupling coefficients between neighbours of a layout, and what they hold."""

    pairs: Pairs
    coefficients: tuple[float, ...]
    includes: str

    @property
    def largest(self) -> float:
        """Largest magnitude."""
        return max((abs(k) for k in self.coefficients), default=0.0)

    @property
    def rms(self) -> float:
        """Root of the mean square."""
        return sqrt(self.sum_of_squares / len(self.coefficients)) if self.coefficients else 0.0

    @property
    def sum_of_squares(self) -> float:
        """What a search for zero coupling makes small."""
        return sum(k * k for k in self.coefficients)

    def between(self, pairs: Pairs) -> tuple[float, ...]:
        """Coefficients of some of the pairs."""
        found = dict(zip(self.pairs, self.coefficients, strict=True))
        return tuple(found[pair] for pair in pairs)

    def without(self, pairs: Pairs) -> "CouplingLeft":
        """All but some of the pairs."""
        kept = [entry for entry in zip(self.pairs, self.coefficients, strict=True) if entry[0] not in pairs]
        return CouplingLeft(
            pairs=tuple(pair for pair, _ in kept), coefficients=tuple(k for _, k in kept), includes=self.includes
        )
