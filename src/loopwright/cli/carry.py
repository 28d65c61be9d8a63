"""The job with everything around it: directory, log, progress, store."""

import platform
from pathlib import Path

import platformdirs

from loopwright import __version__
from loopwright.brief import Brief, DesignSet
from loopwright.cli.app import Pieces
from loopwright.cli.reporting import reporting
from loopwright.comparison import compare_designs
from loopwright.formats.pieces import FolderStore, RefreshingStore
from loopwright.formats.run_directory import LOG, finish, open_partial, write_comparison, write_run
from loopwright.ground.progress import PieceStore, Progress
from loopwright.job import carry_out

__all__ = ["carry_into", "compare_into"]


def carry_into(destination: Path, *, brief: Brief, text: str, store: Path | None, pieces: Pieces) -> Path:
    """Carry a brief out into a run directory and return its path; ``text`` is the brief as it was read.

    Raises
    ------
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    partial = open_partial(destination)
    with reporting(partial / LOG) as progress:
        progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {brief.title}")
        if brief.designs is not None:
            progress.note("the brief's designs are left aside here; `loopwright compare-designs` carries them out")
        outcome = carry_out(brief, progress=progress, store=_store(store, pieces, progress))
        progress.note(f"writing {destination}")
        write_run(partial, brief_text=text, evidence=outcome.evidence, dossier=outcome.dossier)
    return finish(partial, destination)


def compare_into(destination: Path, *, wanted: DesignSet, text: str, store: Path | None, pieces: Pieces) -> Path:
    """Carry the designs of a brief out into a directory and return its path; ``text`` is the brief as it was read.

    Raises
    ------
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    partial = open_partial(destination)
    with reporting(partial / LOG) as progress:
        progress.note(f"loopwright {__version__}, Python {platform.python_version()}: {wanted.base.title}")
        for refused in wanted.refused:
            progress.note(f"design {refused.name} is refused: {refused.reason}")
        outcome = compare_designs(wanted, progress=progress, store=_store(store, pieces, progress))
        progress.note(f"writing {destination}")
        write_comparison(partial, brief_text=text, comparison=outcome.comparison, dossier=outcome.dossier)
    return finish(partial, destination)


def _store(folder: Path | None, pieces: Pieces, progress: Progress) -> PieceStore:
    where = platformdirs.user_cache_path("loopwright") / "pieces" if folder is None else folder
    kept = FolderStore(where, note=progress.note)
    return kept if pieces is Pieces.REUSE else RefreshingStore(kept)
