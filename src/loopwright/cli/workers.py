"""A pool of worker processes that outlives the death of any of them."""

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, TypeVar

import numba

from loopwright.ground.executing import Done, Lost

__all__ = ["WorkerPool"]

Task = TypeVar("Task")
Answer = TypeVar("Answer")

#: A task that kills its worker so many times is given up.
_MOST_DEATHS = 3
_SPAWN = multiprocessing.get_context("spawn")


@dataclass(slots=True, kw_only=True)
class _Worker:
    """A process, the line to it, and the place of the task that it is at."""

    process: BaseProcess
    line: Connection
    index: int | None = None


class WorkerPool:
    """Carries tasks out in processes of its own, each with one thread; a killed one costs its task a retry.

    Parameters
    ----------
    workers : int
        Number of processes.
    note : callable
        Called with one sentence when a worker dies.
    """

    def __init__(self, workers: int, *, note: Callable[[str], None]) -> None:
        self._workers = workers
        self._note = note

    def carry_out(self, work: Callable[[Task], Answer], tasks: Sequence[Task]) -> Iterator[Done[Answer] | Lost]:
        """Carry out all tasks and yield each as it ends; leaving the iterator ends the processes."""
        waiting, deaths = deque(range(len(tasks))), [0] * len(tasks)
        crew = [_started(work) for _ in range(min(self._workers, len(tasks)))]
        try:
            while waiting or any(worker.index is not None for worker in crew):
                for place, worker in enumerate(crew):
                    if worker.index is None and waiting:
                        crew[place] = _given(worker, waiting.popleft(), tasks, work)
                for place in _ended(crew):
                    index = crew[place].index
                    finished = _answer_of(crew[place])
                    if finished is not None:
                        yield finished
                        continue
                    _end(crew[place])
                    crew[place] = _started(work)
                    if index is None:
                        continue
                    deaths[index] += 1
                    self._note(f"a worker died at task {index + 1}, for the {_COUNTED[deaths[index]]} time")
                    if deaths[index] < _MOST_DEATHS:
                        waiting.appendleft(index)
                    else:
                        yield Lost(
                            index=index, reason=f"its worker died {_MOST_DEATHS} times (killed, or out of memory)"
                        )
        finally:
            for worker in crew:
                _end(worker)


_COUNTED = {1: "first", 2: "second", 3: "third"}


def _started(work: Callable[[Any], Any]) -> _Worker:
    """Start a process that waits for tasks."""
    ours, theirs = _SPAWN.Pipe()
    process = _SPAWN.Process(target=_serve, args=(theirs, work), daemon=True)
    process.start()
    theirs.close()
    return _Worker(process=process, line=ours)


def _given(worker: _Worker, index: int, tasks: Sequence[Any], work: Callable[[Any], Any]) -> _Worker:
    """Give a worker a task; a worker that has died while idle is replaced first."""
    try:
        worker.line.send((index, tasks[index]))
    except OSError:
        _end(worker)
        worker = _started(work)
        worker.line.send((index, tasks[index]))
    worker.index = index
    return worker


def _ended(crew: list[_Worker]) -> list[int]:
    """Wait until workers answer or die; their places among the crew."""
    busy = {worker.line: place for place, worker in enumerate(crew) if worker.index is not None}
    return [busy[line] for line in wait(list(busy))]  # type: ignore[index]


def _answer_of(worker: _Worker) -> Done[Any] | Lost | None:
    """What a worker answers; None where it died."""
    try:
        index, answer, reason = worker.line.recv()
    except (EOFError, OSError):
        return None
    worker.index = None
    return Lost(index=index, reason=reason) if reason else Done(index=index, answer=answer)


def _end(worker: _Worker) -> None:
    with suppress(OSError):
        worker.line.close()
    worker.process.terminate()
    worker.process.join(timeout=5)
    if worker.process.is_alive():
        worker.process.kill()
        worker.process.join()
    worker.process.close()


def _serve(line: Connection, work: Callable[[Any], Any]) -> None:
    """Carry out what comes down the line, until it closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the user's Ctrl-C reaches all processes; the first one ends the rest
    numba.set_num_threads(1)  # or every process would start as many threads as there are cores
    with suppress(EOFError, OSError):
        while True:
            index, task = line.recv()
            try:
                line.send((index, work(task), ""))
            except Exception as error:  # noqa: BLE001 - one broken case must not end the others
                line.send((index, None, f"{type(error).__name__}: {error}"))
