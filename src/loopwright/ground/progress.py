"""Seams through which a stage reports progress and saves finished pieces without touching a file."""

from collections.abc import Mapping
from typing import Protocol

import numpy as np
from numpy.typing import NDArray


class Progress(Protocol):
    """Somebody who wants to know how far the work has come."""

    def begin(self, title: str, steps: int) -> None:
        """Say that a piece of work of so many steps starts."""

    def advance(self, steps: int = 1) -> None:
        """Say that so many steps of the current work are done."""

    def note(self, sentence: str) -> None:
        """Say one sentence about what was found."""


class Silent:
    """Progress that nobody watches."""

    def begin(self, title: str, steps: int) -> None:
        """Ignore the start."""

    def advance(self, steps: int = 1) -> None:
        """Ignore the step."""

    def note(self, sentence: str) -> None:
        """Ignore the sentence."""


class PieceStore(Protocol):
    """A place where finished pieces of a computation are kept, by the key of their canonical inputs."""

    def load(self, key: str) -> dict[str, NDArray[np.generic]] | None:
        """Return the arrays kept under this key, or None when there are none."""

    def save(self, key: str, arrays: Mapping[str, NDArray[np.generic]]) -> None:
        """Keep these arrays under this key."""


class Forgetful:
    """A store that keeps nothing."""

    def load(self, key: str) -> dict[str, NDArray[np.generic]] | None:  # noqa: ARG002 - the Protocol names it
        """Find nothing."""
        return None

    def save(self, key: str, arrays: Mapping[str, NDArray[np.generic]]) -> None:
        """Keep nothing."""
