"""The dossier in numbered pages, to be printed, signed and filed.

The text is set by Typst from a template and from data, and no text is ever put into its language: what stands in a
brief is data, so that nothing in it can be taken for a command. Fonts come with two packages and no clock is asked, so
that the same dossier gives the same bytes on every machine.
"""

import json
from importlib.resources import as_file, files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import typst

from loopwright.dossier import Dossier, Finding, Reference, Section, Table
from loopwright.formats.pictures import Picture

__all__ = ["PagesError", "dossier_pdf", "dossier_png"]

_TEMPLATE = "dossier.typ"
_FONTS = "mpl-data/fonts/ttf"


class PagesError(Exception):
    """The pages cannot be set; nobody's results are lost by it."""


def dossier_pdf(dossier: Dossier, *, pictures: tuple[Picture, ...], references: tuple[Reference, ...]) -> bytes:
    """Set the pages as PDF.

    Parameters
    ----------
    dossier : Dossier
        Sections in order.
    pictures : tuple of Picture
        Those that the sections name are set, others are left out.
    references : tuple of Reference
        Printed as the last section.

    Raises
    ------
    PagesError
        If the setting fails.
    """
    sources = _sources(dossier, pictures, references)
    return _compiled(sources, format="pdf")[0]


def dossier_png(
    dossier: Dossier, *, pictures: tuple[Picture, ...], references: tuple[Reference, ...], dots_per_inch: float
) -> tuple[bytes, ...]:
    """Set the same pages as pictures, one for each page.

    Raises
    ------
    PagesError
        If the setting fails.
    """
    return _compiled(_sources(dossier, pictures, references), format="png", ppi=dots_per_inch)


def _compiled(sources: dict[str, bytes], **form: Any) -> tuple[bytes, ...]:
    # Glyphs that the fonts of Typst lack are looked for in the one that the pictures are lettered with.
    try:
        with TemporaryDirectory(prefix="loopwright-") as folder, as_file(files("matplotlib") / _FONTS) as fonts:
            for name, content in sources.items():
                (Path(folder) / name).write_bytes(content)
            main = Path(folder) / _TEMPLATE
            pages: Any = typst.compile(main, root=folder, ignore_system_fonts=True, font_paths=[fonts], **form)
    except (RuntimeError, OSError, ValueError) as error:
        raise PagesError(" ".join(str(error).split())[:300]) from error
    return tuple(pages) if isinstance(pages, list) else (pages,)


def _sources(dossier: Dossier, pictures: tuple[Picture, ...], references: tuple[Reference, ...]) -> dict[str, bytes]:
    """Template, data and pictures under the names by which the template asks for them."""
    named = {name for section in dossier.sections for name in section.pictures}
    used = {picture.name: picture for picture in pictures if picture.name in named}
    numbers = {section.anchor: number for number, section in enumerate(dossier.sections, start=1)}
    content = {
        "title": dossier.title,
        "tool_version": dossier.tool_version,
        "subject": dossier.subject,
        "sections": [_section(section, used, numbers) for section in dossier.sections],
        "references": [{"text": reference.text, "key": reference.key} for reference in references],
    }
    return {
        _TEMPLATE: (files("loopwright.formats") / "templates" / _TEMPLATE).read_bytes(),
        "dossier.json": json.dumps(content, ensure_ascii=False).encode(),
        **{f"{name}.png": picture.png for name, picture in used.items()},
    }


def _section(section: Section, pictures: dict[str, Picture], numbers: dict[str, int]) -> dict[str, Any]:
    single = [finding for finding in section.findings if not isinstance(finding.value, tuple)]
    return {
        "anchor": section.anchor,
        "title": section.title,
        "prose": section.prose,
        "cautions": section.cautions,
        "answers": [
            {
                "question": answer.question,
                "answer": answer.answer,
                "section": answer.section,
                "number": numbers[answer.section],
            }
            for answer in section.answers
        ],
        "findings": [_finding(finding) for finding in single],
        "elsewhere": len(section.findings) - len(single),
        "pictures": [
            {"file": f"{name}.png", "caption": pictures[name].caption} for name in section.pictures if name in pictures
        ],
        "tables": [_table(table) for table in section.tables if table.rows],
    }


def _finding(finding: Finding) -> dict[str, str]:
    reason = f"; no uncertainty: {finding.no_uncertainty_because}" if finding.no_uncertainty_because else ""
    return {
        "label": finding.label,
        "text": finding.text,
        "how": f"{finding.how}{reason}",
        "source": str(finding.source),
    }


def _table(table: Table) -> dict[str, Any]:
    all_of_it = (
        f" The first {table.rows_on_page} of {len(table.rows)} rows; all are in"
        if len(table.rows) > table.rows_on_page
        else " Also in"
    )
    return {
        "caption": f"{table.caption}{all_of_it} ",
        "file": f"tables/{table.name}.csv",
        "headings": [column.heading for column in table.columns],
        "numeric": [not isinstance(cell, str) for cell in table.rows[0]],
        "rows": [
            [column.text(cell) for column, cell in zip(table.columns, row, strict=True)]
            for row in table.rows[: table.rows_on_page]
        ],
    }
