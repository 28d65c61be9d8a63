"""What every directory of results holds: the brief, one page in two forms, its tables, its pictures, its figures."""

from collections.abc import Callable
from pathlib import Path

from loopwright.dossier import Dossier
from loopwright.formats.bibliography import references_for
from loopwright.formats.html import dossier_html
from loopwright.formats.pdf import PagesError, dossier_pdf
from loopwright.formats.pictures import Picture
from loopwright.formats.summary import summary_json
from loopwright.formats.tables import table_csv

__all__ = ["SUMMARY", "write_page"]

#: Name of the summary; also the mark by which a finished run is known as ours. It is written last.
SUMMARY = "summary.json"


def write_page(
    partial: Path,
    stem: str,
    brief_text: str,
    dossier: Dossier,
    pictures: tuple[Picture, ...],
    note: Callable[[str], None],
) -> None:
    """Write brief, tables, pictures, ``<stem>.html``, ``<stem>.pdf`` and the summary into a growing directory.

    Raises
    ------
    OSError
        If the disk refuses.
    """
    (partial / "brief.yaml").write_text(brief_text, "utf-8")
    _write_tables_and_pictures(partial, dossier, pictures)
    page = dossier_html(dossier, pictures=pictures, references=references_for(dossier.methods))
    (partial / f"{stem}.html").write_text(page, "utf-8")
    _write_pages(partial, stem, dossier, pictures, note)
    (partial / SUMMARY).write_text(summary_json(dossier), "utf-8")


def _write_pages(
    partial: Path, stem: str, dossier: Dossier, pictures: tuple[Picture, ...], note: Callable[[str], None]
) -> None:
    try:
        pages = dossier_pdf(dossier, pictures=pictures, references=references_for(dossier.methods))
    except PagesError as error:
        note(f"{stem}.pdf cannot be set: {error}; the same stands in {stem}.html")
        return
    (partial / f"{stem}.pdf").write_bytes(pages)


def _write_tables_and_pictures(partial: Path, dossier: Dossier, pictures: tuple[Picture, ...]) -> None:
    for folder in ("tables", "pictures"):
        (partial / folder).mkdir()
    for table in dossier.tables:
        (partial / "tables" / f"{table.name}.csv").write_bytes(table_csv(table))
    for picture in pictures:
        (partial / "pictures" / f"{picture.name}.png").write_bytes(picture.png)
