"""A study over patients, from its file to the directory of its results."""

import os
import platform
from functools import partial
from pathlib import Path
from time import monotonic

from loopwright import __version__
from loopwright.brief import CohortSet, read_cohort
from loopwright.cli.app import Pieces
from loopwright.cli.carry import growing_here, kept_in
from loopwright.cli.case_work import worked
from loopwright.cli.cluster import Cluster
from loopwright.cli.reading import geometry_beside, text_of
from loopwright.cli.reporting import BarReporter, reporting
from loopwright.cli.run import destination_of
from loopwright.cli.store import store_folder
from loopwright.cli.workers import WorkerPool
from loopwright.cohort import Asked
from loopwright.fields import array_library
from loopwright.formats.case_database import write_cohort
from loopwright.formats.run_directory import LOG, finish
from loopwright.ground.device import Device
from loopwright.ground.executing import Executor, InLine
from loopwright.ground.progress import Progress
from loopwright.study import carry_out_study

__all__ = ["cohort_brief"]

#: Who looks on without a bar is told how long it takes no more often than this.
_TOLD_EVERY_S = 10.0


def cohort_brief(
    brief_path: Path,
    *,
    asked: Asked,
    out: Path | None,
    store: Path | None,
    pieces: Pieces,
    device: Device,
    workers: int,
    cluster: str,
) -> Path:
    """Carry a study out and return the directory.

    Raises
    ------
    BriefError, DeviceError
        If the study is wrong, none of its cases can be, or the device or cluster is not there; nothing has been
        touched then.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    text = text_of(brief_path)
    wanted = read_cohort(text, str(brief_path), geometry=geometry_beside(brief_path))
    destination = destination_of(brief_path, out, ending="cohort")
    on_cluster = Cluster(cluster) if cluster else None
    if on_cluster is None:
        array_library(device)
    with growing_here(destination) as partial_run:
        with reporting(partial_run / LOG) as progress:
            progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {wanted.title}")
            executor = on_cluster or _here(workers, device, wanted, progress)
            work = partial(
                worked, folder=store_folder(store), pieces=pieces, device=device, title=wanted.title,
                tool_version=__version__,
            )  # fmt: skip
            outcome = carry_out_study(
                wanted,
                asked,
                executor=executor,
                work=work,
                store=kept_in(store, pieces, wanted.title, progress),
                progress=progress if isinstance(progress, BarReporter) else _TimeLeft(progress),
            )
            progress.note(f"writing {destination}")
            write_cohort(
                partial_run, brief_text=text, cohort=outcome.cohort, dossier=outcome.dossier, note=progress.note
            )
            for answer in outcome.dossier.answers:
                progress.note(f"{answer.question} {answer.answer}")
        return finish(partial_run, destination)


def _here(workers: int, device: Device, wanted: CohortSet, progress: Progress) -> Executor:
    """Processes of this machine; none beside this one where one is enough, as on one graphics processor."""
    at_once = len(os.sched_getaffinity(0)) if device is Device.CPU else 1
    number = workers or min(at_once, len(wanted.planned))
    return InLine() if number == 1 else WorkerPool(number, note=progress.note)


class _TimeLeft:
    """Progress in lines that also tells how long the rest will take, where no bar does."""

    def __init__(self, watched: Progress) -> None:
        self._watched = watched
        self._steps, self._done, self._since, self._told = 0, 0, monotonic(), monotonic()

    def begin(self, title: str, steps: int) -> None:
        """Name the work that starts."""
        self._steps, self._done, self._since, self._told = steps, 0, monotonic(), monotonic()
        self._watched.begin(title, steps)

    def advance(self, steps: int = 1) -> None:
        """Count steps, and tell the time that is left now and then."""
        self._done += steps
        self._watched.advance(steps)
        now = monotonic()
        if self._done < self._steps and now - self._told >= _TOLD_EVERY_S:
            self._told = now
            left_s = (now - self._since) / self._done * (self._steps - self._done)
            self._watched.note(f"{self._done} of {self._steps} done, about {_in_words(left_s)} left")

    def note(self, sentence: str) -> None:
        """Tell a sentence."""
        self._watched.note(sentence)


def _in_words(duration_s: float) -> str:
    if duration_s < 90:
        return f"{duration_s:.0f} s"
    return f"{duration_s / 60:.0f} min" if duration_s < 5400 else f"{duration_s / 3600:.1f} h"
