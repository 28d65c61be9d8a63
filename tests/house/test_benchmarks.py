"""The page of benchmarks says what the files of figures hold."""

import runpy

from source_tree import REPOSITORY

RENDER = REPOSITORY / "benchmarks" / "render.py"


def test_the_page_is_written_from_the_figures():
    found = runpy.run_path(str(RENDER))
    assert found["PAGE"].read_text("utf-8") == found["page"](), "renew it: python benchmarks/render.py"
