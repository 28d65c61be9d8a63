"""The directory that a run leaves behind: whole, or not there.

Everything is written to ``<out>.partial`` and renamed at the end, so that a directory under its final name is a
finished run. What is in it::

    brief.yaml     the brief as run
    summary.json   every figure, for programs
    network.sNp    the element ports before matching
    channels.sNp, parts.csv, circuits/   what circuits do, their parts, a netlist of each; where the brief has one
    maps.nc        fields and maps
    pattern.dxf, pattern.svg   the flat film, true to scale, where a film carries the array; pattern_slit.* with slits
    maps_shell_*.nc  SNR as a fraction of the best of a source shell, complete or covered, on the coarser grid
    tables/        every table of the dossier as CSV
    pictures/      every picture as PNG
    dossier.html   all of it, to be read on a screen
    dossier.pdf    the same in pages, to be printed and filed
    log.txt        what happened

A comparison of designs leaves brief.yaml, summary.json, tables/, pictures/, log.txt, and comparison.html and .pdf
to be read; a study over patients the same with cohort.html and .pdf, and cohort.sqlite; a measurement the same with
bench.html and .pdf, and measured.sNp beside them.
"""

import fcntl
import json
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from loopwright.designs import Comparison
from loopwright.dossier import BenchEvidence, Dossier, Evidence
from loopwright.formats.maps import maps_dataset, write_maps
from loopwright.formats.network_files import write_circuits, write_network
from loopwright.formats.pages import SUMMARY, write_page
from loopwright.formats.patterns import write_patterns
from loopwright.formats.pictures import draw_bench, draw_comparison, draw_pictures
from loopwright.formats.summary import MADE_BY
from loopwright.ground.errors import RunDirectoryError

__all__ = ["LOG", "SUMMARY", "finish", "growing", "partial_path", "write_bench", "write_comparison", "write_run"]

#: Name of the log; also the mark by which an unfinished directory is known as ours.
LOG = "log.txt"


def partial_path(out: Path) -> Path:
    """Return the name under which a run directory grows."""
    return out.with_name(f"{out.name}.partial")


@contextmanager
def growing(out: Path) -> Iterator[Path]:
    """Make an empty directory in which the run can grow, before any time is spent on computing, and keep others out.

    Parameters
    ----------
    out : Path
        Final name of the run directory.

    Yields
    ------
    Path
        ``<out>.partial``, empty but for the log. It stays where the block is left by an error.

    Raises
    ------
    RunDirectoryError
        If ``out`` or ``<out>.partial`` holds something that is not a run of loopwright, another run is writing there,
        or the disk refuses.
    """
    _refuse_foreign(out)
    partial = partial_path(out)
    try:
        partial.mkdir(parents=True, exist_ok=True)
        claim = os.open(partial, os.O_RDONLY)
    except OSError as error:
        raise RunDirectoryError(_cannot_be_made(partial, error)) from error
    try:
        _claim(partial, claim)
        _restore(out)  # only now: until it is ours, another run may be between its two renames
        _empty(partial)
        yield partial
    finally:
        os.close(claim)


def _cannot_be_made(partial: Path, error: OSError) -> str:
    out = partial.name.removesuffix(".partial")
    return f"{partial}, where {out} would grow, cannot be made: {error.strerror or error}; choose another --out"


def _claim(partial: Path, opened: int) -> None:
    """Claim a directory for this process until it closes it or ends, in whatever way.

    A lock of the system, for a file that says "taken" would outlive a process that is killed. Where a network folder
    has no locks, nobody is kept out.
    """
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        taken = not os.path.samestat(os.fstat(opened), partial.stat())  # the other run has finished just now
    except BlockingIOError:
        taken = True
    except FileNotFoundError:
        taken = True
    except OSError:
        taken = False
    if taken:
        raise RunDirectoryError(f"another run is writing into {partial}; wait for its end or choose another --out")


def _empty(partial: Path) -> None:
    """Clear what an unfinished run has left, and begin the log."""
    if not _is_unfinished_run(partial):
        raise RunDirectoryError(f"{partial} is not an unfinished run of loopwright; move it or choose another --out")
    try:
        _clear(partial)
        (partial / LOG).write_bytes(b"")
    except OSError as error:
        raise RunDirectoryError(_cannot_be_made(partial, error)) from error


def write_run(
    partial: Path, *, brief_text: str, evidence: Evidence, dossier: Dossier, note: Callable[[str], None]
) -> None:
    """Write everything but the log into the growing directory.

    ``note`` is called with one sentence where the dossier in pages cannot be set; the run is whole without it.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    pictures = draw_pictures(evidence)
    with _told(partial):
        write_network(partial, evidence)
        write_circuits(partial, evidence, dossier)
        _write_maps(partial, evidence)
        write_patterns(partial, evidence.draped)
        write_page(partial, "dossier", brief_text, dossier, pictures, note)


def _write_maps(partial: Path, evidence: Evidence) -> None:
    named = {"maps.nc": (evidence.maps, evidence.element_names)}
    named |= {f"maps_shell_{shell.coverage}.nc": (shell.maps, ()) for shell in evidence.shells}
    for name, (maps, element_names) in named.items():
        dataset = maps_dataset(
            maps, element_names=element_names, title=evidence.title, tool_version=evidence.tool_version
        )
        write_maps(dataset, partial / name)


def write_comparison(
    partial: Path, *, brief_text: str, comparison: Comparison, dossier: Dossier, note: Callable[[str], None]
) -> None:
    """Write everything but the log of a comparison into the growing directory.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    with _told(partial):
        write_page(partial, "comparison", brief_text, dossier, draw_comparison(comparison), note)


def write_bench(
    partial: Path,
    *,
    brief_text: str,
    measured: Path,
    evidence: BenchEvidence,
    dossier: Dossier,
    note: Callable[[str], None],
) -> None:
    """Write everything but the log of a measurement, the file ``measured`` included, into the growing directory.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    with _told(partial):
        shutil.copyfile(measured, partial / f"measured{measured.suffix.lower()}")
        write_page(partial, "bench", brief_text, dossier, draw_bench(evidence), note)


@contextmanager
def _told(partial: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise RunDirectoryError(f"{partial} cannot be written: {error.strerror or error}") from error


def finish(partial: Path, out: Path) -> Path:
    """Give the finished directory its name; an earlier run of that name is replaced.

    Raises
    ------
    RunDirectoryError
        If something foreign has taken the name meanwhile, or the disk refuses.
    """
    _refuse_foreign(out)
    replaced = _replaced_path(out)
    try:
        _force_to_disk(partial)
        _remove_run(replaced)
        if out.exists():
            out.rename(replaced)
        partial.rename(out)
    except OSError as error:
        raise RunDirectoryError(f"{out} cannot take its name: {error.strerror or error}") from error
    with suppress(OSError):  # the new run has its name; what is left of the old one goes next time
        _remove_run(replaced)
    return out


def _replaced_path(out: Path) -> Path:
    return out.with_name(f"{out.name}.replaced")


def _restore(out: Path) -> None:
    """Give an earlier run its name back where a process was killed between the two renames of `finish`."""
    replaced = _replaced_path(out)
    if not out.exists() and _is_run(replaced):
        with suppress(OSError):
            replaced.rename(out)


def _remove_run(directory: Path) -> None:
    """Remove a run of ours; without its summary first, so that what a kill leaves of it is never taken for whole."""
    if not directory.exists():
        return
    if not (_is_run(directory) or _is_unfinished_run(directory)):
        raise RunDirectoryError(
            f"{directory} is in the way and not a run of loopwright; move it or choose another --out"
        )
    (directory / SUMMARY).unlink(missing_ok=True)
    _clear(directory)
    (directory / LOG).unlink(missing_ok=True)
    directory.rmdir()


def _clear(directory: Path) -> None:
    """Remove everything but the log, by which the directory is known as ours until it is empty."""
    for path in directory.iterdir():
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.name != LOG:
            path.unlink()


def _force_to_disk(directory: Path) -> None:
    """Let no file be named finished whose content a power failure could still take away."""
    for path in directory.rglob("*"):
        if path.is_file():
            with path.open("rb") as file:
                os.fsync(file.fileno())


def _refuse_foreign(out: Path) -> None:
    if not out.exists():
        return
    if not out.is_dir():
        raise RunDirectoryError(f"{out} is a file; choose another --out")
    if any(out.iterdir()) and not _is_run(out):
        raise RunDirectoryError(f"{out} holds files that are not a run of loopwright; choose another --out")


def _is_run(directory: Path) -> bool:
    try:
        content = json.loads((directory / SUMMARY).read_text("utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(content, dict) and content.get("made_by") == MADE_BY


def _is_unfinished_run(directory: Path) -> bool:
    return directory.is_dir() and (not any(directory.iterdir()) or (directory / LOG).is_file())
