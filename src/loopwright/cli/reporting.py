"""How a run is watched: bars where somebody looks on, lines where nobody does, and a log in either case."""

import logging
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from time import monotonic
from typing import TextIO

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TaskID,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)

__all__ = ["BarReporter", "LineReporter", "reporting"]


class LineReporter:
    """Tell the progress in plain lines, for pipes and logs."""

    def __init__(self, log: logging.Logger, stream: TextIO) -> None:
        self._log = log
        self._stream = stream
        self._title, self._steps, self._done, self._since = "", 0, 0, monotonic()

    def begin(self, title: str, steps: int) -> None:
        """Name the work that starts."""
        self._title, self._steps, self._done, self._since = title, steps, 0, monotonic()
        self._tell(f"{title} ({steps})")

    def advance(self, steps: int = 1) -> None:
        """Count steps, and tell when the last one is done."""
        before, self._done = self._done, self._done + steps
        if before < self._steps <= self._done:
            self._tell(f"{self._title}: done in {monotonic() - self._since:.1f} s")

    def note(self, sentence: str) -> None:
        """Tell a sentence."""
        self._tell(sentence)

    def _tell(self, sentence: str) -> None:
        self._log.info(sentence)
        with suppress(OSError):  # nobody may be listening any more, or to a file on a full disk
            print(sentence, file=self._stream, flush=True)


class BarReporter:
    """Draw the progress as bars on a terminal."""

    def __init__(self, log: logging.Logger, bars: Progress) -> None:
        self._log = log
        self._bars = bars
        self._task: TaskID | None = None
        self._title, self._steps, self._done, self._since = "", 0, 0, monotonic()

    def begin(self, title: str, steps: int) -> None:
        """Draw a new bar."""
        self._title, self._steps, self._done, self._since = title, steps, 0, monotonic()
        self._log.info("%s (%d)", title, steps)
        self._task = self._bars.add_task(title, total=steps)

    def advance(self, steps: int = 1) -> None:
        """Move the newest bar on."""
        before, self._done = self._done, self._done + steps
        if self._task is not None:
            self._bars.advance(self._task, steps)
        if before < self._steps <= self._done:
            self._log.info("%s: done in %.1f s", self._title, monotonic() - self._since)

    def note(self, sentence: str) -> None:
        """Print a sentence above the bars."""
        self._log.info(sentence)
        self._bars.console.print(sentence, markup=False, highlight=False)


class _LogFile(logging.FileHandler):
    """A log that a full disk silences: what is lost there is on the screen, and the results tell their own failure."""

    def handleError(self, record: logging.LogRecord) -> None:
        """Lose the line."""

    def close(self) -> None:
        """Close the file, whatever of it the disk could not take."""
        with suppress(OSError):
            super().close()


@contextmanager
def reporting(log_file: Path) -> Iterator[BarReporter | LineReporter]:
    """Watch a run: everything into the log, and on standard error bars or lines.

    Whatever ends the run early is written to the log before it goes on its way.
    """
    handler = _LogFile(log_file, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s  %(message)s"))
    log = logging.Logger("loopwright", level=logging.INFO)  # noqa: LOG001 - its own, so that no two runs share one
    log.addHandler(handler)
    try:
        if sys.stderr.isatty():
            with _bars() as bars:
                yield BarReporter(log, bars)
        else:
            yield LineReporter(log, sys.stderr)
    except KeyboardInterrupt:
        log.info("cancelled")
        raise
    except BaseException:
        log.exception("stopped")
        raise
    finally:
        handler.close()


def _bars() -> Progress:
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=32),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
        console=Console(stderr=True),
    )
