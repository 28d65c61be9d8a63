"""The directory that a run leaves behind: whole, or not there.

Everything is written to ``<out>.partial`` and renamed at the end, so that a directory under its final name is a
finished run. What is in it::

    brief.yaml     the brief as run
    summary.json   every figure, for programs
    network.sNp    the element ports before matching
    maps.nc        fields and maps
    tables/        every table of the dossier as CSV
    pictures/      every picture as PNG
    dossier.html   all of it, to be read
    log.txt        what happened

A comparison of designs leaves brief.yaml, summary.json, tables/, pictures/, log.txt, and comparison.html to be read.
"""

import json
import shutil
from pathlib import Path

from loopwright.designs import Comparison
from loopwright.dossier import Dossier, Evidence
from loopwright.formats.bibliography import references_for
from loopwright.formats.html import dossier_html
from loopwright.formats.maps import maps_dataset, write_maps
from loopwright.formats.pictures import Picture, draw_comparison, draw_pictures
from loopwright.formats.summary import MADE_BY, summary_json
from loopwright.formats.tables import table_csv
from loopwright.formats.touchstone import touchstone_text
from loopwright.ground.errors import RunDirectoryError

__all__ = ["LOG", "finish", "open_partial", "partial_path", "write_comparison", "write_run"]

#: Name of the log; also the mark by which an unfinished directory is known as ours.
LOG = "log.txt"


def partial_path(out: Path) -> Path:
    """Return the name under which a run directory grows."""
    return out.with_name(f"{out.name}.partial")


def open_partial(out: Path) -> Path:
    """Make an empty directory in which the run can grow, before any time is spent on computing.

    Parameters
    ----------
    out : Path
        Final name of the run directory.

    Returns
    -------
    Path
        ``<out>.partial``, empty but for the log.

    Raises
    ------
    RunDirectoryError
        If ``out`` or ``<out>.partial`` holds something that is not a run of loopwright, or cannot be written.
    """
    _refuse_foreign(out)
    partial = partial_path(out)
    try:
        if partial.exists():
            if not _is_unfinished_run(partial):
                raise RunDirectoryError(
                    f"{partial} is not an unfinished run of loopwright; move it or choose another --out"
                )
            shutil.rmtree(partial)
        partial.mkdir(parents=True)
        (partial / LOG).touch()
    except OSError as error:
        raise RunDirectoryError(f"{partial} cannot be made: {error.strerror or error}") from error
    return partial


def write_run(partial: Path, *, brief_text: str, evidence: Evidence, dossier: Dossier) -> None:
    """Write everything but the log into the growing directory.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    pictures = draw_pictures(evidence)
    try:
        (partial / "brief.yaml").write_text(brief_text, "utf-8")
        _write_network(partial, evidence)
        _write_tables_and_pictures(partial, dossier, pictures)
        maps = maps_dataset(
            evidence.maps,
            element_names=evidence.element_names,
            title=evidence.title,
            tool_version=evidence.tool_version,
        )
        write_maps(maps, partial / "maps.nc")
        page = dossier_html(dossier, pictures=pictures, references=references_for(dossier.methods))
        (partial / "dossier.html").write_text(page, "utf-8")
        (partial / "summary.json").write_text(summary_json(dossier), "utf-8")
    except OSError as error:
        raise RunDirectoryError(f"{partial} cannot be written: {error.strerror or error}") from error


def write_comparison(partial: Path, *, brief_text: str, comparison: Comparison, dossier: Dossier) -> None:
    """Write everything but the log of a comparison into the growing directory.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    pictures = draw_comparison(comparison)
    try:
        (partial / "brief.yaml").write_text(brief_text, "utf-8")
        _write_tables_and_pictures(partial, dossier, pictures)
        page = dossier_html(dossier, pictures=pictures, references=references_for(dossier.methods))
        (partial / "comparison.html").write_text(page, "utf-8")
        (partial / "summary.json").write_text(summary_json(dossier), "utf-8")
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
    replaced = out.with_name(f"{out.name}.replaced")
    try:
        shutil.rmtree(replaced, ignore_errors=True)
        if out.exists():
            out.rename(replaced)
        partial.rename(out)
        shutil.rmtree(replaced, ignore_errors=True)
    except OSError as error:
        raise RunDirectoryError(f"{out} cannot take its name: {error.strerror or error}") from error
    return out


def _refuse_foreign(out: Path) -> None:
    if not out.exists():
        return
    if not out.is_dir():
        raise RunDirectoryError(f"{out} is a file; choose another --out")
    if any(out.iterdir()) and not _is_run(out):
        raise RunDirectoryError(f"{out} holds files that are not a run of loopwright; choose another --out")


def _is_run(directory: Path) -> bool:
    try:
        content = json.loads((directory / "summary.json").read_text("utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(content, dict) and content.get("made_by") == MADE_BY


def _is_unfinished_run(directory: Path) -> bool:
    return directory.is_dir() and (not any(directory.iterdir()) or (directory / LOG).is_file())


def _write_network(partial: Path, evidence: Evidence) -> None:
    network = evidence.network
    text = touchstone_text(
        frequencies_hz=network.frequencies_hz,
        impedance_ohm=network.impedance_ohm,
        port_names=network.port_names,
        tool_version=evidence.tool_version,
        remarks=("element ports before matching, body included", *network.sentences),
    )
    (partial / f"network.s{len(network.port_names)}p").write_text(text, "utf-8")


def _write_tables_and_pictures(partial: Path, dossier: Dossier, pictures: tuple[Picture, ...]) -> None:
    for folder in ("tables", "pictures"):
        (partial / folder).mkdir()
    for table in dossier.tables:
        (partial / "tables" / f"{table.name}.csv").write_bytes(table_csv(table))
    for picture in pictures:
        (partial / "pictures" / f"{picture.name}.png").write_bytes(picture.png)
