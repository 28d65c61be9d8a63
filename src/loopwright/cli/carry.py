"""The job with everything around it: directory, log, progress, store."""

import platform
from pathlib import Path

import platformdirs

from loopwright import __version__
from loopwright.brief import Brief
from loopwright.cli.app import Pieces
from loopwright.cli.reporting import reporting
from loopwright.fields import array_library
from loopwright.formats.pieces import FolderStore, RefreshingStore
from loopwright.formats.run_directory import LOG, finish, open_partial, write_run
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress
from loopwright.job import carry_out

__all__ = ["carry_into"]


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
    partial = open_partial(destination)
    with reporting(partial / LOG) as progress:
        progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {brief.title}")
        outcome = carry_out(brief, progress=progress, store=_store(store, pieces, progress), device=device)
        progress.note(f"writing {destination}")
        write_run(partial, brief_text=text, evidence=outcome.evidence, dossier=outcome.dossier)
    return finish(partial, destination)


def _store(folder: Path | None, pieces: Pieces, progress: Progress) -> PieceStore:
    where = platformdirs.user_cache_path("loopwright") / "pieces" if folder is None else folder
    kept = FolderStore(where, note=progress.note)
    return kept if pieces is Pieces.REUSE else RefreshingStore(kept)
