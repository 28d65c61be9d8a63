"""The job with everything around it: directory, log, progress, store."""

import platform
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from loopwright import __version__
from loopwright.brief import Brief, DesignSet
from loopwright.cli.app import Pieces
from loopwright.cli.reporting import reporting
from loopwright.cli.store import store_folder
from loopwright.comparison import compare_designs
from loopwright.fields import array_library
from loopwright.formats.run_directory import LOG, finish, growing, write_bench, write_comparison, write_run
from loopwright.formats.store import FolderStore, RefreshingStore, TolerantStore
from loopwright.ground.device import Device
from loopwright.ground.means import Means
from loopwright.ground.progress import PieceStore, Progress
from loopwright.job import carry_out
from loopwright.measurement import AsMeasured, what_to_turn

__all__ = ["carry_into", "compare_into", "growing_here", "kept_in", "measure_into"]


def carry_into(
    destination: Path, *, brief: Brief, text: str, store: Path | None, pieces: Pieces, device: Device
) -> Path:
    """Carry a brief out into a run directory and return its path; ``text`` is the brief as it was read.

    Raises
    ------
    DeviceError
        If the device is not there; nothing has been touched then.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    array_library(device)
    with growing_here(destination) as partial:
        with reporting(partial / LOG) as progress:
            progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {brief.title}")
            if brief.designs is not None:
                progress.note("the brief's designs are left aside here; `loopwright compare-designs` carries them out")
            kept = kept_in(store, pieces, brief.title, progress)
            outcome = carry_out(brief, Means(progress=progress, store=kept, device=device))
            progress.note(f"writing {destination}")
            write_run(partial, brief_text=text, evidence=outcome.evidence, dossier=outcome.dossier, note=progress.note)
        return finish(partial, destination)


def compare_into(
    destination: Path, *, wanted: DesignSet, text: str, store: Path | None, pieces: Pieces, device: Device
) -> Path:
    """Carry the designs of a brief out into a directory and return its path; ``text`` is the brief as it was read.

    Raises
    ------
    DeviceError
        If the device is not there; nothing has been touched then.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    array_library(device)
    with growing_here(destination) as partial:
        with reporting(partial / LOG) as progress:
            progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {wanted.base.title}")
            for refused in wanted.refused:
                progress.note(f"design {refused.name} is refused: {refused.reason}")
            kept = kept_in(store, pieces, wanted.base.title, progress)
            outcome = compare_designs(wanted, Means(progress=progress, store=kept, device=device))
            progress.note(f"writing {destination}")
            write_comparison(
                partial,
                brief_text=text,
                comparison=outcome.comparison,
                dossier=outcome.dossier,
                note=progress.note,
            )
            for answer in outcome.dossier.answers:
                progress.note(f"{answer.question} {answer.answer}")
        return finish(partial, destination)


def measure_into(
    destination: Path,
    *,
    brief: Brief,
    text: str,
    asked: AsMeasured,
    measured: Path,
    store: Path | None,
    pieces: Pieces,
    device: Device,
) -> tuple[tuple[str, ...], Path]:
    """Hold a measurement against a brief; return the answers and the directory. ``measured`` is the file as it lies.

    Raises
    ------
    MeasurementError, DeviceError
        If the measurement cannot be used, or the device is not there.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    array_library(device)
    with growing_here(destination) as partial:
        with reporting(partial / LOG) as progress:
            progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {brief.title}")
            kept = kept_in(store, pieces, brief.title, progress)
            outcome = what_to_turn(brief, asked, Means(progress=progress, store=kept, device=device))
            progress.note(f"writing {destination}")
            write_bench(partial, brief_text=text, measured=measured, evidence=outcome.evidence,
                        dossier=outcome.dossier, note=progress.note)  # fmt: skip
            for caution in outcome.evidence.cautions:
                progress.note(f"mind: {caution}")
        answers = tuple(f"{answer.question} {answer.answer}" for answer in outcome.dossier.answers)
        return answers, finish(partial, destination)


@contextmanager
def growing_here(destination: Path) -> Iterator[Path]:
    """Let a directory grow, and name it where the user cancels."""
    with growing(destination) as partial:
        try:
            yield partial
        except KeyboardInterrupt as cancelled:
            raise KeyboardInterrupt(f"{partial} is left unfinished") from cancelled


def kept_in(folder: Path | None, pieces: Pieces, title: str, progress: Progress) -> PieceStore:
    """Open the store as the user asks."""
    kept = FolderStore(store_folder(folder), note=progress.note, brief=title, tool_version=__version__)
    store = TolerantStore(kept, note=progress.note)
    return store if pieces is Pieces.REUSE else RefreshingStore(store)
