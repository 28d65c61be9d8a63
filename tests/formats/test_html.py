"""The page tells what the dossier holds, and keeps strange text harmless."""

import dataclasses
import re
from html import unescape
from pathlib import Path

import pytest
from matplotlib import get_data_path
from PIL import ImageFont

from loopwright.dossier import compile_dossier
from loopwright.formats.bibliography import references_for
from loopwright.formats.html import dossier_html
from loopwright.formats.pictures import Picture
from synthetic_evidence import synthetic_evidence


@pytest.fixture(scope="module")
def dossier():
    return compile_dossier(synthetic_evidence(count=4))


@pytest.fixture(scope="module")
def page(dossier):
    pictures = (Picture(name="layout", caption="the layout", png=b"\x89PNG"),)
    return dossier_html(dossier, pictures=pictures, references=references_for(dossier.methods))


def test_sections_are_numbered_and_linked_from_the_contents(page, dossier):
    for number, section in enumerate(dossier.sections, start=1):
        assert f'<a href="#{section.anchor}">{section.title}</a>' in page
        assert f'<span class="number">{number}</span>{section.title}' in page
    assert f'<span class="number">{len(dossier.sections) + 1}</span>References' in page


def test_a_page_without_references_has_no_section_of_them(dossier):
    assert "References" not in dossier_html(dossier, pictures=(), references=())


def test_tables_fit_the_page_without_scrolling():
    """At a window of 1200 px, 16 of them a scroll bar, the text column is 848 px wide; numbers do not break.

    Widths are those of DejaVu Sans, the widest of the fonts that the page names.
    """
    folder = Path(get_data_path()) / "fonts" / "ttf"
    plain, bold = (ImageFont.truetype(folder / f"{name}.ttf", 128) for name in ("DejaVuSans", "DejaVuSans-Bold"))
    column_px = 1200 - 16 - 2 * 24 - 240 - 48

    def width_px(column, cells):
        words = [*(w for c in cells if isinstance(c, str) for w in c.split(" "))]
        words += [column.text(c) for c in cells if not isinstance(c, str)]
        widths = [plain.getlength(word) for word in words] + [
            bold.getlength(word) for word in column.heading.split(" ")
        ]
        return max(widths) / 10 + 12.8  # drawn at ten times the page's size; .4rem on either side

    for table in compile_dossier(synthetic_evidence(count=16)).tables:
        columns = zip(table.columns, zip(*table.rows, strict=True), strict=True)
        widths = [width_px(column, cells) for column, cells in columns]
        assert sum(widths) <= column_px, (table.name, widths)


def test_every_link_leads_somewhere(page):
    for anchor in re.findall(r'href="#([^"]+)"', page):
        assert f'id="{anchor}"' in page


def test_every_scalar_finding_is_on_the_page(page, dossier):
    text = unescape(page)
    for finding in dossier.findings:
        if not isinstance(finding.value, tuple):
            assert finding.label in text
            assert finding.text in text, finding.key


def test_references_are_those_of_the_methods(page):
    assert "The NMR phased array" in page
    assert "[roemer1990]" in page
    assert "[lee2018]</code></li>" not in page


def test_a_picture_without_a_file_is_left_out_and_one_with_a_file_is_inside(page):
    assert page.count("<img ") == 1
    assert 'alt="the layout"' in page


def test_markup_in_a_title_stays_text(dossier):
    strange = dataclasses.replace(dossier, title="<script>alert(1)</script>")
    page = dossier_html(strange, pictures=(), references=())
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
