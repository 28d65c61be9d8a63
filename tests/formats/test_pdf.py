"""The dossier in pages tells what the page tells, and text stays text."""

import dataclasses
import io
import re

import pytest
from pypdf import PdfReader

from loopwright.dossier import compile_dossier
from loopwright.formats.bibliography import references_for
from loopwright.formats.html import dossier_html
from loopwright.formats.pdf import dossier_pdf, dossier_png
from loopwright.formats.pictures import Picture
from loopwright.formats.pictures.style import new_figure, png
from synthetic_evidence import synthetic_evidence

HOSTILE = '#panic("x") *b* _i_ $a^2$ \\ "q" <b>&amp; // /* @ref `r` #{1} Ψ≤Ω [y]'


def pictures_of(dossier):
    """One small picture for every name that a section has; no two alike, for a file holds equal ones once."""
    names = [name for section in dossier.sections for name in section.pictures]
    return tuple(
        Picture(name=name, caption=f"caption of {name}", png=png(new_figure(height_in=0.5 + 0.01 * number)))
        for number, name in enumerate(names)
    )


@pytest.fixture(scope="module")
def dossier():
    return compile_dossier(synthetic_evidence(count=16))


@pytest.fixture(scope="module")
def parts(dossier):
    return {"pictures": pictures_of(dossier), "references": references_for(dossier.methods)}


@pytest.fixture(scope="module")
def content(dossier, parts):
    return dossier_pdf(dossier, **parts)


@pytest.fixture(scope="module")
def pages(content):
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def squeezed(text):
    """Without white space and hyphens: lines are broken elsewhere on paper."""
    return re.sub(r"[\s\u00ad\u2010-]+", "", text)


@pytest.fixture(scope="module")
def text(pages):
    """All pages without their head and foot lines."""
    return squeezed("".join(pages))


def test_every_section_caution_answer_and_figure_is_there(text, dossier, parts):
    for number, section in enumerate(dossier.sections, start=1):
        assert squeezed(f"{number} {section.title}") in text
        for caution in section.cautions:
            assert squeezed(f"Mind. {caution}") in text, caution
        for answer in section.answers:
            assert squeezed(answer.question) in text
        for finding in section.findings:
            if not isinstance(finding.value, tuple):
                assert squeezed(finding.label) in text, finding.key
                assert squeezed(finding.text) in text, finding.key
    for reference in parts["references"]:
        assert f"[{reference.key}]" in text


def test_there_are_as_many_headings_tables_and_pictures_as_on_the_page(content, text, dossier, parts):
    page = dossier_html(dossier, **parts)
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.outline) == len(dossier.sections) + 1
    assert sum(len(list(one.images)) for one in reader.pages) == page.count("<img ")
    counts = {kind: max(map(int, re.findall(rf"{kind}(\d+)\.", text))) for kind in ("Table", "Figure")}
    assert counts["Table"] == page.count("Also in") + page.count("all are in")
    assert counts["Figure"] == page.count("<img ")
    for name in ("network", "elements"):
        assert f"tables/{name}.csv" in text


def test_pages_are_numbered_and_the_first_says_what_this_is(pages, dossier):
    assert dossier.title in pages[0]
    assert f"loopwright {dossier.tool_version}" in pages[0]
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page


def test_a_table_longer_than_a_page_repeats_its_heading(dossier):
    table = next(table for table in dossier.tables if table.name == "elements")
    long = dataclasses.replace(table, rows=table.rows * 8, rows_on_page=128)
    section = dataclasses.replace(dossier.sections[0], answers=(), findings=(), tables=(long,), pictures=())
    pages = PdfReader(
        io.BytesIO(dossier_pdf(dataclasses.replace(dossier, sections=(section,)), pictures=(), references=()))
    ).pages
    with_table = [one.extract_text() for one in pages if "circle" in one.extract_text()]
    assert len(with_table) > 1
    assert all("neighbours" in one for one in with_table)


def test_the_same_dossier_gives_the_same_bytes_and_no_date(content, dossier, parts):
    assert dossier_pdf(dossier, **parts) == content
    assert b"CreationDate" not in content


def test_markup_in_a_brief_stays_text(dossier):
    section = dataclasses.replace(
        dossier.sections[0], prose=(HOSTILE,), cautions=(HOSTILE,), answers=(), findings=(), tables=(), pictures=()
    )
    strange = dataclasses.replace(dossier, title=HOSTILE, sections=(section,))
    found = PdfReader(io.BytesIO(dossier_pdf(strange, pictures=(), references=())))
    assert found.metadata.title == HOSTILE
    text = squeezed("".join(page.extract_text() for page in found.pages))
    assert text.count(squeezed(HOSTILE)) >= 3


def test_pages_come_as_pictures_too(dossier):
    bare = dataclasses.replace(dossier, sections=dossier.sections[-1:])
    (page,) = dossier_png(bare, pictures=(), references=(), dots_per_inch=40)
    assert page.startswith(b"\x89PNG")
