"""Work on a Dask cluster that somebody else keeps running."""

from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from typing import Any, TypeVar

from loopwright.ground.errors import DeviceError
from loopwright.ground.executing import Done, Lost

__all__ = ["Cluster"]

Task = TypeVar("Task")
Answer = TypeVar("Answer")

_PATIENCE_S = 30


class Cluster:
    """Carries tasks out on the workers of a Dask scheduler; it sends what a dead worker had to another one.

    Parameters
    ----------
    address : str
        That of the scheduler, such as ``tcp://host:8786``.

    Raises
    ------
    DeviceError
        If `distributed` is not installed, or nobody answers there.
    """

    def __init__(self, address: str) -> None:
        try:
            distributed: Any = import_module("distributed")  # heavy, and an extra
        except ImportError as missing:
            raise DeviceError("a cluster needs the extra: pip install loopwright[cluster]") from missing
        self._as_completed = distributed.as_completed
        try:
            self._client = distributed.Client(address, timeout=_PATIENCE_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise DeviceError(f"no scheduler answers at {address}: {error}") from error

    def carry_out(self, work: Callable[[Task], Answer], tasks: Sequence[Task]) -> Iterator[Done[Answer] | Lost]:
        """Carry out all tasks and yield each as it ends; leaving the iterator cancels the rest."""
        futures = [self._client.submit(work, task, pure=False) for task in tasks]
        index_of = {future.key: index for index, future in enumerate(futures)}
        try:
            for future in self._as_completed(futures, loop=self._client.loop):
                index, error = index_of[future.key], future.exception()
                if error is None:
                    yield Done(index=index, answer=future.result())
                else:
                    yield Lost(index=index, reason=f"{type(error).__name__}: {error}")
        finally:
            self._client.cancel(futures)
            self._client.close()
