"""The seam through which many pieces of work are carried out beside each other, wherever that is."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

__all__ = ["Done", "Executor", "InLine", "Lost"]

Task = TypeVar("Task")
Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True, kw_only=True)
class Done(Generic[Answer]):
    """A task that was carried out, by its place in the list, and its answer."""

    index: int
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """A task that could not be carried out, by its place in the list, and why: its worker died, or broke on it."""

    index: int
    reason: str


class Executor(Protocol):
    """Somebody who carries out independent tasks."""

    def carry_out(self, work: Callable[[Task], Answer], tasks: Sequence[Task]) -> Iterator[Done[Answer] | Lost]:
        """Carry out all tasks and yield each as it ends, in any order; leaving the iterator stops the rest.

        ``work`` and ``tasks`` may be sent to other processes, so they have to be picklable.
        """


class InLine:
    """Carries tasks out one after the other, here; one that breaks is lost, as in a process of its own."""

    def carry_out(self, work: Callable[[Task], Answer], tasks: Sequence[Task]) -> Iterator[Done[Answer] | Lost]:
        """Carry out all tasks in their order."""
        for index, task in enumerate(tasks):
            try:
                answer = work(task)
            except Exception as error:  # noqa: BLE001 - one broken task must not end the others
                yield Lost(index=index, reason=f"{type(error).__name__}: {error}")
            else:
                yield Done(index=index, answer=answer)
